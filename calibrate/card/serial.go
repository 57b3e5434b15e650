package card

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"evenhide/calibrate/refusal"
)

// ErrSerial is the kind of refusal for a serial that cannot be printed.
var ErrSerial = errors.New("card serial")

// SerialAlphabet holds the characters of a serial: digits and capitals without
// those that are mistaken for one another (0 O, 1 I L, 2 Z, 5 S, 6 G, 8 B, U V).
const SerialAlphabet = "234679ACDEFHJKMNPQRTVWXY"

// SerialLength is the number of characters in a serial.
const SerialLength = 6

// CheckSerial returns an ErrSerial refusal unless s is a serial.
func CheckSerial(s string) error {
	const hint = "use six characters of " + SerialAlphabet
	if len(s) != SerialLength {
		return refusal.New(ErrSerial, hint, "card serial %.20q has %d characters, wanted %d", s, len(s), SerialLength)
	}
	if i := strings.IndexFunc(s, func(r rune) bool { return !strings.ContainsRune(SerialAlphabet, r) }); i >= 0 {
		return refusal.New(ErrSerial, hint, "card serial %q has %q, which a serial does not use", s, s[i:i+1])
	}
	return nil
}

// end says which end of the card a code stands at.
type end int

const (
	left end = iota
	right
)

func (e end) String() string { return [2]string{"left", "right"}[e] }

// codeText is what a code says: the layout's version, the end, the serial.
type codeText struct {
	version int
	end     end
	serial  string
}

const codeName = "EVENHIDE"

func (c codeText) String() string {
	return fmt.Sprintf("%s %d %s %s", codeName, c.version, [2]string{"L", "R"}[c.end], c.serial)
}

// parseCodeText returns what a code says and whether it is one of ours. Of
// another layout version only the version is known to be right.
func parseCodeText(s string) (codeText, bool) {
	parts := strings.Split(s, " ")
	if len(parts) < 2 || parts[0] != codeName {
		return codeText{}, false
	}
	version, err := strconv.Atoi(parts[1])
	if err != nil || version < 1 {
		return codeText{}, false
	}
	if version != layoutVersion {
		return codeText{version: version}, true
	}
	if len(parts) != 4 || CheckSerial(parts[3]) != nil {
		return codeText{}, false
	}
	side := strings.Index("LR", parts[2])
	return codeText{version, end(side), parts[3]}, side >= 0 && len(parts[2]) == 1
}
