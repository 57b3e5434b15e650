package card

import (
	"fmt"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode/decoder"
	"rsc.io/qr"
)

// symbol is the module pattern of a code, row by row; true is dark.
type symbol [codeModules][codeModules]bool

// newSymbol returns the code for text: version 1, error correction M, which
// holds 20 letters and digits.
func newSymbol(text string) (symbol, error) {
	var s symbol
	code, err := qr.Encode(text, qr.M)
	if err != nil {
		return s, fmt.Errorf("code %q: %w", text, err)
	}
	if code.Size != codeModules {
		return s, fmt.Errorf("code %q needs %d modules, the card has room for %d", text, code.Size, codeModules)
	}
	for y := range s {
		for x := range s[y] {
			s[y][x] = code.Black(x, y)
		}
	}
	return s, nil
}

// read returns the text of s, corrected, and whether s was seen in a mirror.
func (s *symbol) read() (text string, mirrored, ok bool) {
	bits, err := gozxing.NewSquareBitMatrix(codeModules)
	if err != nil {
		return "", false, false
	}
	for y := range s {
		for x, dark := range s[y] {
			if dark {
				bits.Set(x, y)
			}
		}
	}
	result, err := decoder.NewDecoder().Decode(bits, nil)
	if err != nil {
		return "", false, false
	}
	meta, _ := result.GetOther().(*decoder.QRCodeDecoderMetaData)
	return result.GetText(), meta != nil && meta.IsMirrored(), true
}

// at returns whether the module in column x, row y is dark; outside is the quiet
// zone, which is light.
func (s *symbol) at(x, y int) bool {
	return x >= 0 && y >= 0 && x < codeModules && y < codeModules && s[y][x]
}
