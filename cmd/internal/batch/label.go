package batch

import (
	"path/filepath"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"evenhide/cmd/internal/shadebook"
)

// labels names photos within a batch, by SHA-256: the file's name without folder
// and ending, and where several different photos have the same, `~` and the first 4
// hex digits of the hash, more where those do not tell them apart. So a photo's
// label depends on the set of photos alone, not on which came first.
func labels(photos []shadebook.PhotoFile) map[string]string {
	base := map[string]string{} // by hash
	sharing := map[string][]string{}
	for _, p := range photos {
		if _, known := base[p.SHA256]; !known {
			b := baseName(p.File)
			base[p.SHA256] = b
			sharing[b] = append(sharing[b], p.SHA256)
		}
	}
	out := map[string]string{}
	for hash, b := range base {
		out[hash] = b
		for digits := 4; len(sharing[b]) > 1 && digits <= len(hash); digits *= 2 {
			out[hash] = b + "~" + hash[:digits]
			if len(sharing[out[hash]]) == 0 && alone(hash[:digits], sharing[b]) {
				break
			}
		}
	}
	return out
}

// alone reports whether only one of the hashes begins with prefix.
func alone(prefix string, hashes []string) bool {
	n := 0
	for _, h := range hashes {
		if strings.HasPrefix(h, prefix) {
			n++
		}
	}
	return n == 1
}

// baseName returns a file's name without folder and ending, as text that any
// record or screen takes.
func baseName(path string) string {
	name := filepath.Base(path)
	if cut := strings.TrimSuffix(name, filepath.Ext(name)); cut != "" {
		name = cut
	}
	name = strings.ToValidUTF8(name, "�")
	name = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return '�'
		}
		return r
	}, name)
	return norm.NFC.String(name)
}
