package photo

import (
	"bufio"
	"bytes"
	"image"
	"io"

	"github.com/gen2brain/jpegn"
)

// Two decoders read JPEGs. The standard library's is strict: what is damaged it
// refuses. jpegn takes less than half of the time and forgives damage: it fills what it
// could not read with one colour. So it gets the files that cameras write, one baseline
// scan with sound tables, and its picture counts only where its last block was read, in
// part at least. All other files, and the word on what is wrong with one, are the strict
// decoder's.

// quickJPEG returns what jpegn makes of the photo's first size bytes with its start
// replaced by head; nil where the strict decoder must be asked, as when size is 0.
func quickJPEG(src *source, size int64, head []byte) (img image.Image) {
	if size == 0 {
		return nil
	}
	defer func() {
		if recover() != nil { // damage that it did not foresee
			img = nil
		}
	}()
	from := int64(len(head))
	body := io.NewSectionReader(src.at, from, size-from)
	read, err := jpegn.Decode(sized{io.MultiReader(bytes.NewReader(head), body), int(size)})
	if err != nil || !endsInDetail(read) {
		return nil
	}
	return read
}

// sized is a reader that knows its length, so that jpegn sets memory aside once.
type sized struct {
	io.Reader
	n int
}

func (s sized) Len() int { return s.n }

// endsInDetail reports whether the picture's last blocks hold more than one value. What
// jpegn could not read is even up to the end of the picture, and so are those of some
// sound photos, which then only take longer.
func endsInDetail(img image.Image) bool {
	switch img := img.(type) {
	case *image.Gray:
		return lastBlockVaries(img.Pix, img.Stride)
	case *image.YCbCr:
		return lastBlockVaries(img.Y, img.YStride) || lastBlockVaries(img.Cb, img.CStride) || lastBlockVaries(img.Cr, img.CStride)
	}
	return false
}

// lastBlockVaries looks at the last 8×8 samples of a plane of whole blocks.
func lastBlockVaries(plane []uint8, stride int) bool {
	const side = 8
	if len(plane) < side*stride {
		return false
	}
	for y := 1; y <= side; y++ {
		end := len(plane) - (y-1)*stride
		for _, v := range plane[end-side : end] {
			if v != plane[len(plane)-1] {
				return true
			}
		}
	}
	return false
}

// codedEnd returns how many bytes of the file hold a picture of one baseline scan; 0
// when it is any other, or does not end.
func (s *segments) codedEnd(src *source) int64 {
	if s.end == 0 {
		return 0
	}
	const scanHeader = 14 // bytes of three components'
	head := src.bytes(0, s.end+scanHeader, mostHeader)
	if head == nil || !plainHead(head[:s.end], head[s.end:]) {
		return 0
	}
	at := s.end + 2
	r := bufio.NewReaderSize(io.NewSectionReader(src.at, at, src.size-at), 64<<10)
	for {
		skipped, err := r.ReadSlice(0xff)
		at += int64(len(skipped))
		if err == bufio.ErrBufferFull {
			continue
		} else if err != nil {
			return 0
		}
		next, err := r.ReadByte()
		at++
		switch {
		case err == nil && next == 0: // an 0xff of the coded data
		case err == nil && next == 0xd9:
			return at
		default:
			return 0
		}
	}
}
