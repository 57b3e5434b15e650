package photo

import "image"

// orientation is the EXIF tag 0112 (CIPA DC-008): how to turn the stored picture
// to have it upright. Only 1 to 8 occur.
//
//	1 as it is            5 mirrored on the main diagonal
//	2 mirrored sideways   6 turned a quarter clockwise
//	3 turned half round   7 mirrored on the other diagonal
//	4 mirrored top-down   8 turned a quarter anticlockwise
type orientation int

// transposes reports whether stored rows are upright columns.
func (o orientation) transposes() bool { return o >= 5 }

// flips reports whether the stored x axis, and the stored y axis, run against
// the upright axis on which they lie.
func (o orientation) flips() (x, y bool) {
	switch o {
	case 2, 8:
		return true, false
	case 3, 7:
		return true, true
	case 4, 6:
		return false, true
	}
	return false, false
}

// upright returns the size of the turned picture.
func (o orientation) upright(stored image.Point) image.Point {
	if o.transposes() {
		return image.Pt(stored.Y, stored.X)
	}
	return stored
}
