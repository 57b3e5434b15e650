package batch

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"evenhide/cmd/internal/shadebook"
)

func hash(begin string) string { return begin + strings.Repeat("0", 64-len(begin)) }

func TestLabels(t *testing.T) {
	for name, c := range map[string]struct {
		photos map[string]string // file by the beginning of its hash
		want   map[string]string
	}{
		"alone":                     {map[string]string{"aaaa": "in/wallet.jpg", "bbbb": "in/strap.JPG"}, map[string]string{"aaaa": "wallet", "bbbb": "strap"}},
		"two of one name":           {map[string]string{"aaaa1": "a/wallet.jpg", "bbbb1": "b/wallet.png"}, map[string]string{"aaaa1": "wallet~aaaa", "bbbb1": "wallet~bbbb"}},
		"hashes begin alike":        {map[string]string{"aaaa1": "a/w.jpg", "aaaa2": "b/w.jpg"}, map[string]string{"aaaa1": "w~aaaa1000", "aaaa2": "w~aaaa2000"}},
		"a file has such a name":    {map[string]string{"aaaa1": "a/w.jpg", "bbbb1": "b/w.jpg", "cccc": "a/w~aaaa.jpg"}, map[string]string{"aaaa1": "w~aaaa1000", "bbbb1": "w~bbbb", "cccc": "w~aaaa"}},
		"an accent in two spelling": {map[string]string{"aaaa1": "a/cafe\u0301.jpg", "bbbb1": "b/caf\u00e9.jpg"}, map[string]string{"aaaa1": "caf\u00e9~aaaa", "bbbb1": "caf\u00e9~bbbb"}},
		"in another case":           {map[string]string{"aaaa1": "a/Strap  É.jpg", "bbbb1": "b/STRAP é.jpg"}, map[string]string{"aaaa1": "Strap  É~aaaa", "bbbb1": "STRAP é~bbbb"}},
		"no text":                   {map[string]string{"aaaa": "a/\xff\n.jpg", "bbbb": "a/.jpg"}, map[string]string{"aaaa": "��", "bbbb": ".jpg"}},
		"an ending more":            {map[string]string{"aaaa": "a/no. 4.final.jpg"}, map[string]string{"aaaa": "no. 4.final"}},
	} {
		t.Run(name, func(t *testing.T) {
			var photos []shadebook.PhotoFile
			want := map[string]string{}
			for begin, file := range c.photos {
				photos = append(photos, shadebook.PhotoFile{File: file, SHA256: hash(begin)})
				want[hash(begin)] = c.want[begin]
			}
			if diff := cmp.Diff(want, labels(photos)); diff != "" {
				t.Error(diff)
			}
		})
	}
}
