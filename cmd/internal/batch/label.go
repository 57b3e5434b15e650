package batch

import (
	"path/filepath"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/shadebook"
)

// labels names photos within a batch, by SHA-256: the file's name without folder
// and ending, and where several different photos have the same, `~` and the first 4
// hex digits of the hash, more where those do not tell them apart. Case alone does not
// make a name another. So a photo's
// label depends on the set of photos alone, not on which came first.
func labels(photos []shadebook.PhotoFile) map[string]string {
	base := map[string]string{} // by hash
	sharing := map[string][]string{}
	for _, p := range photos {
		if _, known := base[p.SHA256]; !known {
			b := BaseName(p.File)
			base[p.SHA256] = b
			sharing[shadebook.Folded(b)] = append(sharing[shadebook.Folded(b)], p.SHA256)
		}
	}
	out := map[string]string{}
	for hash, b := range base {
		out[hash] = b
		same := sharing[shadebook.Folded(b)]
		for digits := 4; len(same) > 1 && digits <= len(hash); digits *= 2 {
			out[hash] = b + "~" + hash[:digits]
			if len(sharing[shadebook.Folded(out[hash])]) == 0 && alone(hash[:digits], same) {
				break
			}
		}
	}
	return out
}

// The longest names of a batch and of a photo in it, in characters, so that a piece
// named by both stays within what a record takes.
const longestBatch, longestPhoto = 80, 80

// CheckName refuses a name that is too long for a batch, whose pieces are called
// by it.
func CheckName(name string) error {
	if n := utf8.RuneCountInString(strings.TrimSpace(name)); n > longestBatch {
		return refusal.New(nil, "shorten it: its pieces are called by it", "the batch's name has %d characters, at most %d may be", n, longestBatch)
	}
	return nil
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

// BaseName returns a file's name without folder and ending, as text that any
// record or screen takes.
func BaseName(path string) string {
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
	runes := []rune(norm.NFC.String(name))
	return string(runes[:min(len(runes), longestPhoto)])
}
