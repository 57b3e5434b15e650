package card

import (
	"errors"
	"testing"

	"pgregory.net/rapid"
)

func TestCheckSerial(t *testing.T) {
	for _, bad := range []string{"", "4F7K2", "4F7K2QQ", "4f7k2q", "4F7K20", "4F7K2I", "4F 7K2", "ÄÄÄ"} {
		if err := CheckSerial(bad); !errors.Is(err, ErrSerial) {
			t.Errorf("%q: %v, wanted a refusal", bad, err)
		}
	}
	if err := CheckSerial(testSerial); err != nil {
		t.Error(err)
	}
}

func TestCodeTextComesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := codeText{layoutVersion, end(rapid.IntRange(0, 1).Draw(t, "end")),
			rapid.StringOfN(rapid.RuneFrom([]rune(SerialAlphabet)), SerialLength, SerialLength, -1).Draw(t, "serial")}
		s, err := newSymbol(want.String())
		if err != nil {
			t.Fatal(err)
		}
		// The correction mends three wrong modules anywhere: each spoils at
		// most one of the five codewords that level M can mend.
		for range 3 {
			x, y := rapid.IntRange(9, 20).Draw(t, "x"), rapid.IntRange(9, 20).Draw(t, "y")
			s[y][x] = !s[y][x]
		}
		text, mirrored, ok := s.read()
		if got, ours := parseCodeText(text); !ok || mirrored || !ours || got != want {
			t.Fatalf("%q came back as %q, ok %v, mirrored %v", want, text, ok, mirrored)
		}
	})
}

func TestParseCodeTextRefusesOthers(t *testing.T) {
	for _, s := range []string{"", "EVENHIDE", "EVENHIDE 0 L 4F7K2Q", "EVENHIDE 1 X 4F7K2Q", "EVENHIDE 1  4F7K2Q",
		"EVENHIDE 1 L 4F7K2O", "EVENHIDE 1 LR 4F7K2Q", "EVENHIDE 1 L 4F7K2Q ", "evenhide 1 L 4F7K2Q", "HTTPS://A.EXAMPLE"} {
		if got, ok := parseCodeText(s); ok {
			t.Errorf("%q was taken for %v", s, got)
		}
	}
	if got, ok := parseCodeText("EVENHIDE 7 SOMETHING NEW"); !ok || got.version != 7 {
		t.Errorf("a later layout was read as %v, %v", got, ok)
	}
}

// Whatever the modules, reading them ends without a panic.
func FuzzReadSymbol(f *testing.F) {
	f.Add([]byte{0}, []byte{0})
	f.Add([]byte{255, 3}, []byte{9})
	f.Fuzz(func(t *testing.T, bits, keep []byte) {
		s, err := newSymbol(codeText{layoutVersion, left, testSerial}.String())
		if err != nil || len(bits) == 0 || len(keep) == 0 {
			return
		}
		for i := range codeModules * codeModules {
			if keep[i%len(keep)]>>(i%8)&1 == 0 {
				s[i/codeModules][i%codeModules] = bits[i/8%len(bits)]>>(i%8)&1 == 1
			}
		}
		if text, _, ok := s.read(); ok && len(text) > 64 {
			t.Errorf("%d characters from a code that holds 41", len(text))
		}
	})
}
