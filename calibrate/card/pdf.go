package card

import (
	"errors"
	"fmt"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"

	"evenhide/calibrate/refusal"
)

// Paper is a paper size that the card can be printed on.
type Paper string

// The papers, both upright.
const (
	A4     Paper = "a4"     // 210 mm × 297 mm
	Letter Paper = "letter" // 215.9 mm × 279.4 mm
)

// ErrPaper is the kind of refusal for a paper that is not known.
var ErrPaper = errors.New("paper")

// WritePDF writes two pages: the card in exact millimetres with cut marks, and
// how to use it. The same serial and paper always give the same bytes. All
// colour is DeviceGray. It is an ErrSerial or ErrPaper refusal if an argument
// is not usable.
func WritePDF(w io.Writer, serial string, paper Paper) error {
	if paper != A4 && paper != Letter {
		return refusal.New(ErrPaper, "use a4 or letter", "paper %q is not known", string(paper))
	}
	l := NewLayout()
	d, err := l.draw(serial)
	if err != nil {
		return err
	}
	p := newPage(paper, serial)
	p.AddPage()
	p.cardPage(l, d)
	p.AddPage()
	p.guide()
	if err := p.Output(w); err != nil {
		return fmt.Errorf("card as pdf: %w", err)
	}
	return nil
}

// page is a PDF with the card's type set up.
type page struct{ *fpdf.Fpdf }

func newPage(paper Paper, serial string) page {
	p := page{fpdf.New("P", "mm", string(paper), "")}
	p.AddUTF8FontFromBytes("go", "", goregular.TTF)
	p.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	p.SetAutoPageBreak(false, 0)
	p.SetCatalogSort(true)
	day := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC) // fixed: the same card gives the same bytes
	p.SetCreationDate(day)
	p.SetModificationDate(day)
	p.SetTitle(Mark+" "+serial, true)
	p.SetCreator(Mark, false)
	p.SetLang("en-GB")
	return p
}

func (p page) grey(g uint8) {
	p.SetFillColor(int(g), int(g), int(g))
	p.SetTextColor(int(g), int(g), int(g))
}

// print sets a label, moved by the offset.
func (p page) print(l label, by Point) {
	style := ""
	if l.bold {
		style = "B"
	}
	p.SetFont("go", style, 0)
	p.SetFontUnitSize(float64(l.size))
	p.grey(l.grey)
	p.Text(float64(by.X+l.start(Millimetres(p.GetStringWidth(l.text)))), float64(by.Y+l.at.Y), l.text)
}

func (p page) fill(f fill, by Point) {
	p.grey(f.grey)
	p.Rect(float64(by.X+f.box.X), float64(by.Y+f.box.Y), float64(f.box.W), float64(f.box.H), "F")
}

const cardTop = Millimetres(34) // of the card on its page

func (p page) cardPage(l Layout, d drawing) {
	width, _ := p.GetPageSize()
	at := Point{(Millimetres(width) - l.W) / 2, cardTop}
	p.print(label{Point{0, 18}, 4.6, true, fromLeft, ink, "Your evenhide card"}, Point{X: at.X})
	p.print(label{Point{0, 24.5}, 3.2, false, fromLeft, ink,
		"Print this page at 100 %, without “fit to page”. Cut along the marks. The next page says how to use it."}, Point{X: at.X})
	for _, f := range d.fills {
		p.fill(f, at)
	}
	for _, t := range d.labels {
		p.print(t, at)
	}
	for _, f := range cutMarks(l) {
		p.fill(f, at)
	}
	for i, line := range []string{
		"Lay a ruler on the card's scale: 100 mm must measure 100 mm, give or take half a millimetre.",
		"If it does not, the printer has scaled the page: print again at 100 %.",
	} {
		p.print(label{Point{0, l.H + 12 + 5*Millimetres(i)}, 3.2, false, fromLeft, ink, line}, at)
	}
}

// cutMarks returns hairlines that run away from each corner of the card.
func cutMarks(l Layout) []fill {
	const gap, long = 1, 5
	var out []fill
	for _, c := range (Box{0, 0, l.W, l.H}).Corners() {
		x, y := c.X-gap-long, c.Y-gap-long
		if c.X > 0 {
			x = c.X + gap
		}
		if c.Y > 0 {
			y = c.Y + gap
		}
		out = append(out, fill{Box{x, c.Y - hairline/2, long, hairline}, ink},
			fill{Box{c.X - hairline/2, y, hairline, long}, ink})
	}
	return out
}

// guide sets the instructions.
func (p page) guide() {
	const edge, lead = Millimetres(22), Millimetres(5)
	width, _ := p.GetPageSize()
	measure := width - 2*float64(edge) - 6
	y := Millimetres(26)
	p.print(label{Point{edge, y}, 6, true, fromLeft, ink, "How to use the card"}, Point{})
	y += 4
	for _, part := range instructions() {
		y += 8
		p.print(label{Point{edge, y}, 4, true, fromLeft, ink, part.heading}, Point{})
		y += 1.2
		for _, item := range part.items {
			y += 0.8
			p.SetFont("go", "", 0)
			p.SetFontUnitSize(3.5)
			for i, line := range p.SplitText(item, measure) {
				y += lead
				if i == 0 {
					p.fill(fill{Box{edge, y - 1.6, 1.1, 1.1}, ink}, Point{})
				}
				p.print(label{Point{edge + 4, y}, 3.5, false, fromLeft, ink, line}, Point{})
			}
		}
	}
}
