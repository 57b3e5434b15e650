package photo

import (
	"encoding/binary"
	"math"
	"strings"
	"unicode"
	"unicode/utf16"

	"evenhide/calibrate/refusal"
	"evenhide/colour"
)

// hintProfile is the next thing to do with a profile that cannot be used.
const hintProfile = "export the photo as sRGB or Display P3 and use that"

// profile is an ICC profile of the matrix/curve kind (ICC.1:2022, 8.3.3 and
// 8.4.3), for RGB or for grey.
type profile struct {
	name   string
	grey   bool
	curves [3]curve
	toXYZ  colour.Matrix // linear RGB to the connection space, under colour.ICCWhite
}

const (
	profileHeader = 128
	maxTags       = 1000
	// whiteSlack is how far the three colorants may be from adding up to the
	// connection space's white. Rounding to 1/65536 moves the sum by 5e-5 at most;
	// some makers' measured primaries miss by a hundredth.
	whiteSlack = 0.03
)

// parseProfile reads the profile b. Tables of colours, printers' profiles and
// damaged ones are refused with ErrProfile.
func parseProfile(b []byte) (*profile, error) {
	if len(b) < profileHeader+4 || string(b[36:40]) != "acsp" {
		return nil, refusal.New(ErrProfile, hintProfile, "damaged colour profile: %d bytes that are no ICC profile", len(b))
	}
	if size := binary.BigEndian.Uint32(b); uint64(size) > uint64(len(b)) {
		return nil, refusal.New(ErrProfile, hintProfile, "damaged colour profile: %d of its %d bytes are there", len(b), size)
	}
	tags, err := profileTags(b)
	if err != nil {
		return nil, err
	}
	p := &profile{name: description(tags["desc"])}
	space, class, pcs := signature(b[16:20]), signature(b[12:16]), signature(b[20:24])
	refuse := func(format string, args ...any) (*profile, error) {
		return nil, refusal.New(ErrProfile, hintProfile, "colour profile %q is "+format, append([]any{p.name}, args...)...)
	}
	switch {
	case space != "RGB" && space != "GRAY":
		return refuse("for %s, not for RGB or grey", space)
	case class != "mntr" && class != "scnr" && class != "spac":
		return refuse("of the class %q, not a display's or a camera's", class)
	case tags["A2B0"] != nil || tags["A2B1"] != nil:
		return refuse("built from a table of colours, not from three primaries and curves")
	case space == "GRAY":
		c := parseCurve(tags["kTRC"])
		if c == nil {
			return refuse("damaged: it has no usable grey curve")
		}
		p.grey, p.curves = true, [3]curve{c, c, c}
		return p, nil
	case pcs != "XYZ":
		return refuse("built on %s, not on XYZ", pcs)
	}
	for i, channel := range [...]string{"red", "green", "blue"} {
		x, c := tags[channel[:1]+"XYZ"], parseCurve(tags[channel[:1]+"TRC"])
		if len(x) < 20 || string(x[:4]) != "XYZ " || c == nil {
			return refuse("damaged: it has no usable %s primary or curve", channel)
		}
		p.curves[i] = c
		for j := range 3 {
			p.toXYZ[j][i] = fixed(x[8+4*j:])
		}
	}
	if sum := p.toXYZ.Apply([3]float64{1, 1, 1}); !nearWhite(sum) {
		return refuse("damaged: its primaries add up to XYZ %.4f %.4f %.4f, not to the white 0.9642 1 0.8249", sum[0], sum[1], sum[2])
	}
	if _, ok := p.toXYZ.Inverse(); !ok {
		return refuse("damaged: its primaries lie on a line")
	}
	return p, nil
}

func nearWhite(sum [3]float64) bool {
	w := colour.ICCWhite()
	return math.Abs(sum[0]-w.X) < whiteSlack && math.Abs(sum[1]-w.Y) < whiteSlack && math.Abs(sum[2]-w.Z) < whiteSlack
}

// profileTags returns the profile's tags by name, the first of each.
func profileTags(b []byte) (map[string][]byte, error) {
	count := binary.BigEndian.Uint32(b[profileHeader:])
	if count > maxTags || profileHeader+4+12*int(count) > len(b) {
		return nil, refusal.New(ErrProfile, hintProfile, "damaged colour profile: it says it has %d tags in %d bytes", count, len(b))
	}
	tags := make(map[string][]byte, count)
	for i := range int(count) {
		entry := b[profileHeader+4+12*i:]
		name := string(entry[:4])
		from, size := uint64(binary.BigEndian.Uint32(entry[4:])), uint64(binary.BigEndian.Uint32(entry[8:]))
		if from+size > uint64(len(b)) {
			return nil, refusal.New(ErrProfile, hintProfile, "damaged colour profile: its tag %q ends at byte %d of %d", name, from+size, len(b))
		}
		if _, ok := tags[name]; !ok {
			tags[name] = b[from : from+size : from+size]
		}
	}
	return tags, nil
}

// signature is a four-letter code as text, without its padding.
func signature(b []byte) string { return strings.TrimSpace(printable(string(b))) }

// description reads the profile's name from a version 2 textDescriptionType or
// a version 4 multiLocalizedUnicodeType, of which English goes first. It is
// "unnamed" when it cannot be read.
func description(b []byte) string {
	name := ""
	switch {
	case len(b) >= 12 && string(b[:4]) == "desc":
		n := uint64(binary.BigEndian.Uint32(b[8:]))
		name = string(b[12:min(12+n, uint64(len(b)))])
	case len(b) >= 16 && string(b[:4]) == "mluc":
		name = localised(b)
	case len(b) >= 8 && string(b[:4]) == "text":
		name = string(b[8:])
	}
	if name = printable(name); name == "" {
		return "unnamed"
	}
	return name
}

func localised(b []byte) string {
	const record = 12
	count := min(uint64(binary.BigEndian.Uint32(b[8:])), uint64(len(b)-16)/record)
	name := ""
	for i := range int(count) {
		r := b[16+record*i:]
		size, from := uint64(binary.BigEndian.Uint32(r[4:])), uint64(binary.BigEndian.Uint32(r[8:]))
		if from+size > uint64(len(b)) || name != "" && string(r[:2]) != "en" {
			continue
		}
		text := b[from : from+min(size, 2*maxName)]
		units := make([]uint16, len(text)/2)
		for j := range units {
			units[j] = binary.BigEndian.Uint16(text[2*j:])
		}
		name = string(utf16.Decode(units))
		if string(r[:2]) == "en" {
			break
		}
	}
	return name
}

const maxName = 80 // runes of a name taken from a file

// printable returns s up to its first 0 byte, without what would disturb a
// terminal or a page, at most maxName runes.
func printable(s string) string {
	s, _, _ = strings.Cut(s, "\x00")
	s = strings.Map(func(r rune) rune {
		if r == unicode.ReplacementChar || !unicode.IsPrint(r) {
			return -1
		}
		return r
	}, s[:min(len(s), 4*maxName)])
	if runes := []rune(s); len(runes) > maxName {
		s = string(runes[:maxName])
	}
	return strings.TrimSpace(s)
}

// encoding returns what the profile says of a photo's codes. A grey profile has
// a curve only; its white is the working space's.
func (p *profile) encoding() *encoding {
	e := &encoding{name: p.name, decode: p.curves}
	if p.grey {
		e.same = true
		working := colour.WorkingSpace()
		return e.adapted(working.ToXYZ, working.White)
	}
	return e.adapted(p.toXYZ, colour.ICCWhite())
}
