package photo

// plainHead reports whether all that stands before a JPEG's coded data is as the
// strict decoder wants it of one baseline scan (ITU-T T.81, B.2): segments that
// cameras write, and sound tables for every component of the frame. head is the file
// up to the scan's marker, scan what follows from there.
func plainHead(head, scan []byte) bool {
	var t tables
	for at := 2; at < len(head); {
		if at+4 > len(head) || head[at] != 0xff {
			return false
		}
		n := int(head[at+2])<<8 + int(head[at+3])
		if n < 2 || at+2+n > len(head) {
			return false
		}
		if !t.add(head[at+1], head[at+4:at+2+n]) {
			return false
		}
		at += 2 + n
	}
	return t.serve(scan)
}

// tables are the tables that a JPEG defines, and its frame's components.
type tables struct {
	quantised [4]bool
	coded     [2][2]bool // of DC and AC coefficients, by number
	frame     []byte     // three bytes a component: its name, sampling, table of steps
}

// add takes up a segment; it reports false for one that is unsound or unusual.
func (t *tables) add(marker byte, b []byte) bool {
	switch {
	case marker == 0xc0:
		if t.frame != nil || len(b) < 6 || b[0] != 8 || len(b) != 6+3*int(b[5]) {
			return false
		}
		t.frame = b[6:]
		return true
	case marker == 0xc4:
		for len(b) > 0 {
			if b = t.huffman(b); b == nil {
				return false
			}
		}
		return true
	case marker == 0xdb:
		const size = 1 + 64
		for ; len(b) >= size && b[0] < 4; b = b[size:] {
			t.quantised[b[0]] = true
		}
		return len(b) == 0
	}
	return marker >= 0xe0 && marker <= 0xef || marker == 0xfe // of applications; a comment
}

// huffman takes up a table of codes and returns what follows it; nil when it is not
// one of 8-bit baseline samples (T.81, C.2, F.1.2): more codes than their lengths have
// room for, or symbols of more bits than coefficients have.
func (t *tables) huffman(b []byte) []byte {
	const counts, mostDC, mostAC = 17, 11, 10
	if len(b) < counts || b[0]&15 > 1 || b[0]>>4 > 1 {
		return nil
	}
	n, room := 0, 1<<16
	for i, c := range b[1:counts] {
		n += int(c)
		room -= int(c) << (15 - i)
	}
	if n == 0 || n > 256 || room < 0 || len(b) < counts+n {
		return nil
	}
	for _, symbol := range b[counts : counts+n] {
		run, bits := symbol>>4, symbol&15
		ac := b[0]>>4 == 1
		if !ac && symbol > mostDC || ac && (bits > mostAC || bits == 0 && run != 0 && run != 15) {
			return nil
		}
	}
	t.coded[b[0]>>4][b[0]&15] = true
	return b[counts+n:]
}

// serve reports whether the scan is of all components at once, with tables that are
// there.
func (t *tables) serve(scan []byte) bool {
	n := len(t.frame) / 3
	if n != 1 && n != 3 || len(scan) < 8+2*n || int(scan[2])<<8+int(scan[3]) != 6+2*n || int(scan[4]) != n {
		return false
	}
	for i := range n {
		c, s := t.frame[3*i:], scan[5+2*i:]
		if c[0] != s[0] || c[2] > 3 || s[1]>>4 > 1 || s[1]&15 > 1 ||
			!t.quantised[c[2]] || !t.coded[0][s[1]>>4] || !t.coded[1][s[1]&15] {
			return false
		}
	}
	end := scan[5+2*n:]
	return end[0] == 0 && end[1] == 63 && end[2] == 0 // all coefficients, at full depth
}
