package report

import (
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// A table is folded only where it may be, and is as wide as it is elsewhere.
func TestATableIsNotFoldedElsewhere(t *testing.T) {
	words := strings.Repeat("words ", 30)
	var out strings.Builder
	err := table(&out, "note|by", [][]string{{words, "Ana"}})
	if want := "  note" + strings.Repeat(" ", len(words)-2) + "by\n  " + words + "  Ana\n"; err != nil || out.String() != want {
		t.Errorf("%v, got\n%swant\n%s", err, out.String(), want)
	}
}

// What costs the fewest lines is folded: here the verdict, of which one is long, by the 2
// characters that the line has more than 120.
func TestAWideTableIsFoldedWhereItCostsLeast(t *testing.T) {
	words := strings.Repeat("x", 40)
	var out strings.Builder
	err := table(&out, "~verdict|~it is|"+words+"|photo", [][]string{
		{"shake and dab again", "much lighter", words, words}, {"use", "much darker", words, ""}, {"", "much redder", blank, words}})
	want := strings.Join([]string{"  verdict         it is          " + words + "   photo", "  shake and dab   much lighter   " + words + "   " + words,
		"  again", "  use             much darker    " + words + "   –", "  –               much redder    " + strings.Repeat(" ", 43) + words, ""}, "\n")
	if err != nil || out.String() != want {
		t.Errorf("%v, got\n%swant\n%s", err, out.String(), want)
	}
}

// A table keeps every word, each column's in their order, and is no wider than a line as
// long as its longest words allow.
func TestATableLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		columns := rapid.IntRange(1, 6).Draw(t, "columns")
		cell := rapid.StringMatching(`[a-zé]{1,9}( [a-zé]{1,9}){0,7}`)
		line := rapid.SliceOfN(cell, columns, columns)
		lines := append([][]string{line.Draw(t, "headings")}, rapid.SliceOfN(line, 1, 5).Draw(t, "lines")...)
		var out strings.Builder
		if err := table(&out, "~"+strings.Join(lines[0], "|~"), lines[1:]); err != nil {
			t.Fatal(err)
		}
		g := newGrid(append([][]string{strings.Split("~"+strings.Join(lines[0], "|~"), "|")}, lines[1:]...))
		g.narrow()
		var got, want [][]string
		for range columns {
			got, want = append(got, nil), append(want, nil)
		}
		for _, printed := range strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n") {
			if n := utf8.RuneCountInString(printed); n > lineLength {
				t.Fatalf("%d characters: %s", n, printed)
			}
			text := []rune(printed)
			at := margin
			for i, wide := range g.wide {
				if at < len(text) {
					got[i] = append(got[i], strings.Fields(string(text[at:min(len(text), at+wide)]))...)
				}
				at += wide + gutter
			}
		}
		for _, l := range lines {
			for i, c := range l {
				want[i] = append(want[i], strings.Fields(c)...)
			}
		}
		for i := range want {
			if strings.Join(got[i], " ") != strings.Join(want[i], " ") {
				t.Fatalf("column %d: %v, want %v\n%s", i, got[i], want[i], out.String())
			}
		}
	})
}
