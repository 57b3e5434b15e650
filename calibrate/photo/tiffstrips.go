package photo

import (
	"io"
	"maps"
	"slices"
)

// stripBytes is about how large the strips are that splitStrip makes.
const stripBytes = 1 << 20

// splitStrip presents a TIFF whose picture is one uncompressed strip, as many
// editors write it, as the same picture in many: the decoder holds a whole strip
// beside the picture, which would double or triple what a photo needs. It
// returns nil for any other TIFF.
func (d directory) splitStrip(src *source, h *header) io.ReaderAt {
	offset, counted := d.entries[273], d.entries[279]
	if d.first(259, 1) > 1 || d.first(322, 0) != 0 || offset.count != 1 || counted.count != 1 {
		return nil
	}
	samples := max(uint64(d.entries[258].count), 1)
	row := (uint64(h.width)*samples*uint64(d.first(258, 1)) + 7) / 8
	rows := max(stripBytes/row, 1)
	strips := (uint64(h.height) + rows - 1) / rows
	dirAt := uint64(src.size + src.size&1)
	if strips < 2 || uint64(offset.value)+row*uint64(h.height) > dirAt || dirAt > 1<<31 {
		return nil
	}
	lists := dirAt + 2 + 12*uint64(len(d.entries)+1) + 4
	long := func(tag uint16, count, value uint64) {
		b := d.order.AppendUint16(d.order.AppendUint16(nil, tag), 4)
		b = d.order.AppendUint32(d.order.AppendUint32(b, uint32(count)), uint32(value))
		d.entries[tag] = entry{uint32(count), uint32(value), b}
	}
	d.entries = maps.Clone(d.entries)
	long(278, 1, rows)
	long(273, strips, lists)
	long(279, strips, lists+4*strips)
	tail := make([]byte, src.size&1, lists-dirAt+8*strips+1)
	tail = d.order.AppendUint16(tail, uint16(len(d.entries)))
	for _, tag := range slices.Sorted(maps.Keys(d.entries)) {
		tail = append(tail, d.entries[tag].raw...)
	}
	tail = append(tail, make([]byte, int(lists-dirAt)+int(src.size&1)-len(tail))...)
	for i := range strips {
		tail = d.order.AppendUint32(tail, uint32(uint64(offset.value)+i*rows*row))
	}
	for i := range strips {
		tail = d.order.AppendUint32(tail, uint32(min(rows, uint64(h.height)-i*rows)*row))
	}
	head := append(src.bytes(0, 4, 4), d.order.AppendUint32(nil, uint32(dirAt))...)
	return &spliced{head, src.at, src.size, tail}
}

// spliced is a file with other bytes for its first, and more after its last.
type spliced struct {
	head []byte
	at   io.ReaderAt
	size int64
	tail []byte
}

func (s *spliced) ReadAt(p []byte, off int64) (int, error) {
	n := 0
	for n < len(p) {
		switch at := off + int64(n); {
		case at < int64(len(s.head)):
			n += copy(p[n:], s.head[at:])
		case at < s.size:
			m, err := s.at.ReadAt(p[n:min(int64(len(p)), int64(n)+s.size-at)], at)
			n += m
			if m == 0 {
				return n, err
			}
		case at < s.size+int64(len(s.tail)):
			n += copy(p[n:], s.tail[at-s.size:])
		default:
			return n, io.EOF
		}
	}
	return n, nil
}
