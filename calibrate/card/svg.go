package card

import (
	"bytes"
	"fmt"
	"html"
	"io"
)

// WriteSVG writes the card alone as an SVG drawing, one user unit a millimetre.
func WriteSVG(w io.Writer, serial string) error {
	l := NewLayout()
	d, err := l.draw(serial)
	if err != nil {
		return err
	}
	types, err := newTypefaces()
	if err != nil {
		return err
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%gmm" height="%gmm" viewBox="0 0 %g %g">`+"\n",
		l.W, l.H, l.W, l.H)
	fmt.Fprintf(&b, "<title>%s %s</title>\n", Mark, serial)
	fmt.Fprintf(&b, `<rect width="%g" height="%g" fill="#fff"/>`+"\n", l.W, l.H)
	for i, f := range d.fills {
		// Boxes of one grey are one path: drawn singly, neighbours show a seam.
		if i == 0 || f.grey != d.fills[i-1].grey {
			if i > 0 {
				b.WriteString(`"/>` + "\n")
			}
			fmt.Fprintf(&b, `<path fill="%s" d="`, svgGrey(f.grey))
		}
		fmt.Fprintf(&b, "M%.6g %.6gh%.6gv%.6gh%.6gz", f.box.X, f.box.Y, f.box.W, f.box.H, -f.box.W)
	}
	b.WriteString(`"/>` + "\n")
	for _, t := range d.labels {
		width, err := types.width(t)
		if err != nil {
			return err
		}
		weight := ""
		if t.bold {
			weight = ` font-weight="bold"`
		}
		// The length is given so that another typeface keeps to its place.
		fmt.Fprintf(&b, `<text x="%.6g" y="%.6g" font-family="Go, Helvetica, Arial, sans-serif" font-size="%.6g"%s fill="%s" textLength="%.5g" lengthAdjust="spacingAndGlyphs">%s</text>`+"\n",
			t.start(width), t.at.Y, t.size, weight, svgGrey(t.grey), width, html.EscapeString(t.text))
	}
	b.WriteString("</svg>\n")
	if _, err := w.Write(b.Bytes()); err != nil {
		return fmt.Errorf("card as svg: %w", err)
	}
	return nil
}

func svgGrey(g uint8) string { return fmt.Sprintf("#%02x%02x%02x", g, g, g) }
