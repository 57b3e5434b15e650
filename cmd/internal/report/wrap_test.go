package report

import (
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestWrapped(t *testing.T) {
	long := strings.Repeat("é", widest)
	for _, c := range []struct{ names, want []string }{
		{nil, []string{""}},
		{[]string{"bench/1", "bench/2 (hold)", "strap/1", "strap/2"}, []string{"bench/1, 2 (hold), strap/1, 2"}},
		{[]string{"a/b/1", "a/b/2", "a/c/2"}, []string{"a/b/1, 2, a/c/2"}},
		{[]string{"one", "two", long, "three"}, []string{"one, two,", long + ",", "three"}},
		// a line begins with the photo's name
		{[]string{long[:len(long)-4] + "/1", long[:len(long)-4] + "/2"}, []string{long[:len(long)-4] + "/1,", long[:len(long)-4] + "/2"}},
	} {
		if diff := cmp.Diff(c.want, wrapped(c.names)); diff != "" {
			t.Errorf("%q: %s", c.names, diff)
		}
	}
}

// Every name can be read back, and no line is much longer than it should be.
func TestWrappedLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var names []string
		for photo := range rapid.IntRange(1, 30).Draw(t, "photos") {
			for piece := range rapid.IntRange(1, 12).Draw(t, "pieces") {
				names = append(names, fmt.Sprintf("IMG_%04d/%d", photo, piece+1))
			}
		}
		var got []string
		for _, line := range wrapped(names) {
			if n := utf8.RuneCountInString(line); n > widest+3 { // two commas and a space
				t.Fatalf("%d characters: %s", n, line)
			}
			photo := ""
			for _, name := range strings.Split(strings.TrimSuffix(line, ","), ", ") {
				if at := strings.IndexByte(name, '/'); at >= 0 {
					photo, name = name[:at+1], name[at+1:]
				}
				got = append(got, photo+name)
			}
		}
		if diff := cmp.Diff(names, got); diff != "" {
			t.Fatal(diff)
		}
	})
}

// A batch of many photos stays readable, with the pieces of a photo in their order.
func TestALargeBatchHasShortLines(t *testing.T) {
	b := Batch{Name: "belts", Count: map[string]int{"hold": 1200}, Photos: 101, Mean: &[3]float64{}, Lots: [][]string{make([]string, 1200)},
		NotJudged: []NotJudged{{Photo: "blurred.jpg", Why: "no card"}}}
	for photo := range 100 {
		for piece := range 12 {
			b.Pieces = append(b.Pieces, BatchPiece{Name: fmt.Sprintf("belts/IMG_%04d/%d", photo, piece+1), Verdict: "hold", Lot: 1})
		}
	}
	var out strings.Builder
	if err := b.WriteText(&out); err != nil {
		t.Fatal(err)
	}
	const wide = 100 // characters
	for line := range strings.Lines(out.String()) {
		if n := utf8.RuneCountInString(line); n > wide {
			t.Errorf("%d characters: %s", n, line)
		}
	}
	for _, want := range []string{"hold           1200      IMG_0000/1, 2, 3, ", "IMG_0099/8 (hold), 9 (hold), 10 (hold)", "retake         1 photo   below\n", "photo blurred.jpg: no card\n"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("lacks %q", want)
		}
	}
}

// A sentence is folded between words and loses none; one that fits stays.
func TestFolded(t *testing.T) {
	const most = 120
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOfN(rapid.StringMatching(`[a-zé*%]{1,30}`), 1, 60).Draw(t, "words")
		indent := strings.Repeat(" ", rapid.IntRange(0, 4).Draw(t, "indent"))
		sentence := indent + strings.Join(words, " ")
		got := Folded(sentence)
		if utf8.RuneCountInString(sentence) <= most && got != sentence {
			t.Fatalf("%q became %q", sentence, got)
		}
		if diff := cmp.Diff(words, strings.Fields(got)); diff != "" {
			t.Fatal(diff)
		}
		for i, line := range strings.Split(got, "\n") {
			if n := utf8.RuneCountInString(line); n > most || !strings.HasPrefix(line, indent) || i > 0 && !strings.HasPrefix(line, indent+"  ") {
				t.Fatalf("%d characters in %q", n, line)
			}
		}
	})
	long := strings.Repeat("x", most)
	if got := Folded("  see " + long); got != "  see\n    "+long {
		t.Errorf("%q", got)
	}
}
