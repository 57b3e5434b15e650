package scene

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"time"

	"github.com/disintegration/imaging"
)

// File is how a photo is stored.
type File struct {
	Quality     int       // JPEG quality 1..100; 0 is 90
	Orientation int       // EXIF 1..8; 0 writes none. The pixels are turned to match
	P3          bool      // embed a Display P3 profile; the picture must be encoded so
	Taken       time.Time // capture time for EXIF; zero writes none
	Camera      string    // its name for EXIF; "" writes none
}

// WriteJPEG writes the upright picture as a JPEG, with EXIF and a colour profile
// where the file asks for them.
func WriteJPEG(w io.Writer, img *image.RGBA, f File) error {
	if f.Orientation < 0 || f.Orientation > 8 {
		return fmt.Errorf("scene: orientation %d; 0..8 wanted", f.Orientation)
	}
	var buf bytes.Buffer
	quality := f.Quality
	if quality == 0 {
		quality = 90
	}
	if err := jpeg.Encode(&buf, stored(img, f.Orientation), &jpeg.Options{Quality: quality}); err != nil {
		return err
	}
	data := buf.Bytes()
	out := append([]byte{}, data[:2]...) // start of image
	if f.Orientation > 0 || !f.Taken.IsZero() || f.Camera != "" {
		out = append(out, segmentOf(0xE1, exif(f))...)
	}
	if f.P3 {
		out = append(out, segmentOf(0xE2, append([]byte("ICC_PROFILE\x00\x01\x01"), profileP3()...))...)
	}
	if _, err := w.Write(out); err != nil {
		return err
	}
	_, err := w.Write(data[2:])
	return err
}

// stored returns the picture turned so that a viewer that obeys the EXIF
// orientation shows it upright.
func stored(img *image.RGBA, orientation int) image.Image {
	turn := map[int]func(image.Image) *image.NRGBA{
		2: imaging.FlipH, 3: imaging.Rotate180, 4: imaging.FlipV, 5: imaging.Transpose,
		6: imaging.Rotate90, 7: imaging.Transverse, 8: imaging.Rotate270,
	}[orientation]
	if turn == nil {
		return img
	}
	n := turn(img) // opaque, so its bytes are those of an RGBA, which encodes faster
	return &image.RGBA{Pix: n.Pix, Stride: n.Stride, Rect: n.Rect}
}

func segmentOf(marker byte, payload []byte) []byte {
	head := []byte{0xFF, marker, 0, 0}
	binary.BigEndian.PutUint16(head[2:], uint16(len(payload)+2))
	return append(head, payload...)
}

// exif returns an EXIF block with camera, orientation and capture time (CIPA DC-008).
func exif(f File) []byte {
	order := binary.BigEndian
	b := []byte("Exif\x00\x00MM\x00*\x00\x00\x00\x08")
	entry := func(tag, kind uint16, count, value uint32) {
		b = order.AppendUint32(order.AppendUint32(order.AppendUint16(order.AppendUint16(b, tag), kind), count), value)
	}
	const short, ascii, long = 3, 2, 4
	firstIFD := uint32(8 + 2 + 2*12 + 4) // where the second directory starts
	var camera []byte
	if f.Camera != "" {
		camera = append([]byte(f.Camera), 0, 0, 0, 0, 0) // too long to stand in the entry itself
		camera = camera[:len(camera)&^1]                 // offsets are even
		firstIFD += 12
		b = order.AppendUint16(b, 3)
		entry(0x0110, ascii, uint32(len(camera)), firstIFD)
		firstIFD += uint32(len(camera))
	} else {
		b = order.AppendUint16(b, 2)
	}
	entry(0x0112, short, 1, uint32(max(f.Orientation, 1))<<16)
	entry(0x8769, long, 1, firstIFD)
	b = append(order.AppendUint32(b, 0), camera...)
	if f.Taken.IsZero() {
		return append(b, 0, 0, 0, 0, 0, 0)
	}
	b = order.AppendUint16(b, 1)
	entry(0x9003, ascii, 20, firstIFD+2+12+4)
	b = order.AppendUint32(b, 0)
	return append(append(b, f.Taken.Format("2006:01:02 15:04:05")...), 0)
}
