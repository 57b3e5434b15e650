package calibrate

import (
	"image"
	"math"
	"slices"

	"evenhide/colour/surface"
)

// Piece is one thing found on the sheet.
type Piece struct {
	// Region is what to measure: cells of the field well inside the outline,
	// without holes, fittings and whatever else is much lighter than the rest.
	Region surface.Region
	// Outline runs round the piece, holes ignored, in cells. It is the piece as it
	// lies in the photo, no margin taken off.
	Outline Polygon
	Box     image.Rectangle // of the outline, in cells
	Area    float64         // within the outline, in cells
	// Edge is how wide the piece's edge is, in cells: the wider the more blurred.
	Edge float64
	// Faults say in plain words why readings of the piece may be wrong: it is half
	// out of the photo, in a shadow, blurred. Empty for a good piece.
	Faults []string
	// Beside is by how much log light the sheet right round the piece is brighter than
	// Sheet.Light says, less the same round the card.
	Beside float64
}

// PieceOptions says how pieces are looked for. The zero value is a good choice
// when no scale is known.
type PieceOptions struct {
	// CellsPerMM is the photo's scale in the middle of the sheet; 0 says that none is
	// known.
	CellsPerMM float64
	// MarginMM is how far inside the outline a piece is measured; 0 means 1.5 mm, and
	// 0.4 % of the photo's longer side without a scale.
	MarginMM float64
}

// What makes a piece.
const (
	leastPieceMM2   = 150.0  // smaller ones are dirt, offcuts, letters
	leastPieceShare = 0.0005 // of the photo, without a scale
	usualMarginMM   = 1.5    // a burnished edge, and what the lens blurs
	usualMargin     = 0.004  // of the photo's longer side
	leastCore       = 0.2    // share of a piece's nodes with all eight around in it too: print and creases are thinner
)

// Pieces returns what lies on the sheet beside the card, in reading order: rows
// from the top, within a row from the left. What touches counts as one piece. What
// differs from the sheet neither in tint nor in lightness, by more than the photo's
// noise, cannot be seen; and of what reaches over the sheet's edge only the part
// on the sheet is found.
func (s *Sheet) Pieces(o PieceOptions) []Piece {
	n := s.n
	least := leastPieceShare * float64(n.f.W) * float64(n.f.H)
	margin := usualMargin * float64(max(n.f.W, n.f.H))
	if o.CellsPerMM > 0 && !math.IsInf(o.CellsPerMM, 0) {
		least = leastPieceMM2 * o.CellsPerMM * o.CellsPerMM
		margin = usualMarginMM * o.CellsPerMM
		if o.MarginMM > 0 {
			margin = o.MarginMM * o.CellsPerMM
		}
	}
	card := s.besideCard()
	blobs := s.blobs(least / float64(n.side*n.side))
	found := make([]Piece, len(blobs))
	inBands(len(blobs), func(from, to int) {
		for i := from; i < to; i++ {
			found[i] = s.piece(blobs[i], margin)
			found[i].Beside -= card
		}
	})
	found = slices.DeleteFunc(found, func(p Piece) bool { return p.Area < least })
	return inReadingOrder(found)
}

// inReadingOrder sorts pieces into rows from the top, and within a row from the
// left. A row holds what has its middle beside its topmost piece.
func inReadingOrder(p []Piece) []Piece {
	middle := func(p Piece) image.Point { return p.Box.Min.Add(p.Box.Max).Div(2) }
	slices.SortStableFunc(p, func(a, b Piece) int { return middle(a).Y - middle(b).Y })
	for from := 0; from < len(p); {
		to := from + 1
		for to < len(p) && middle(p[to]).Y < p[from].Box.Max.Y {
			to++
		}
		slices.SortStableFunc(p[from:to], func(a, b Piece) int { return middle(a).X - middle(b).X })
		from = to
	}
	return p
}
