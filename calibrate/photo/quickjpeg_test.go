package photo

import (
	"bytes"
	"image"
	"image/jpeg"
	"io"
	"math/rand/v2"
	"testing"
)

// quick returns what quickJPEG makes of a file, nil where it leaves it to the strict
// decoder.
func quick(t *testing.T, data []byte) image.Image {
	t.Helper()
	src, err := newSource(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	seg := readSegments(src)
	return quickJPEG(src, seg.codedEnd(src), nil)
}

// mostApart returns how far the samples of two decodings are apart at most; -1 where
// they are not of one kind or size.
func mostApart(a, b image.Image) int {
	planes := func(m image.Image) ([][]uint8, []int) {
		switch m := m.(type) {
		case *image.Gray:
			return [][]uint8{m.Pix}, []int{m.Stride}
		case *image.YCbCr:
			return [][]uint8{m.Y, m.Cb, m.Cr}, []int{m.YStride, m.CStride, m.CStride}
		}
		return nil, nil
	}
	p, ps := planes(a)
	q, qs := planes(b)
	if len(p) != len(q) || a.Bounds() != b.Bounds() {
		return -1
	}
	most := 0
	for i := range p {
		w, h := a.Bounds().Dx(), a.Bounds().Dy()
		if c, chroma := a.(*image.YCbCr); chroma && i > 0 {
			w, h = (c.COffset(w-1, 0)-c.COffset(0, 0))+1, (c.COffset(0, h-1)-c.COffset(0, 0))/c.CStride+1
		}
		for y := range h {
			for x := range w {
				d := int(p[i][y*ps[i]+x]) - int(q[i][y*qs[i]+x])
				most = max(most, d, -d)
			}
		}
	}
	return most
}

// Two sound decoders may round a sample differently (ITU-T T.83 allows it), so one code.
func TestQuickDecoderReadsWhatTheStrictOneReads(t *testing.T) {
	for name, want := range map[string]bool{"411.jpg": true, "420.jpg": true, "422.jpg": true, "440.jpg": true, "444.jpg": true,
		"grey.jpg": true, "progressive.jpg": false, "grey-progressive.jpg": false, "cmyk.jpg": false} {
		data := read(t, name)
		strict, err := jpeg.Decode(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		got := quick(t, data)
		if (got != nil) != want {
			t.Errorf("%s: read by the quick decoder: %t, want %t", name, got != nil, want)
		}
		if got != nil && (mostApart(got, strict) < 0 || mostApart(got, strict) > 1) {
			t.Errorf("%s: samples %d codes apart", name, mostApart(got, strict))
		}
	}
}

// What the strict decoder refuses the quick one must leave to it, except where no more
// is missing than the end of the very last block.
func TestQuickDecoderForgivesNoDamage(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	whole := jpegOf(t, textured(image.Pt(200, 160)))
	src, err := newSource(bytes.NewReader(whole))
	if err != nil {
		t.Fatal(err)
	}
	seg := readSegments(src)
	from := int(seg.end) + 14 // past the header of the scan
	refused, kept := 0, 0
	tries := damages()
	for i := range tries {
		data := bytes.Clone(whole)
		at := from + r.IntN(len(data)-2-from)
		switch i % 4 {
		case 0: // cut short, and ended
			data = append(data[:at], 0xff, 0xd9)
		case 1: // a hole
			data = append(data[:at], data[min(at+1+r.IntN(200), len(data)-2):]...)
		case 2: // a byte altered
			data[at] ^= 1 << r.IntN(8)
		case 3: // a stretch of one value, as a bad block of a disk gives
			clear(data[at:min(at+512, len(data)-2)])
		}
		_, err := jpeg.Decode(bytes.NewReader(data))
		got := quick(t, data)
		switch {
		case err != nil && got != nil:
			filled, missing := withEnd(data)
			if missing != nil || mostApart(lessLastBlocks(got), lessLastBlocks(filled)) > 1 {
				t.Fatalf("damage %d at %d is read; the strict decoder says %v", i%4, at, err)
			}
		case err != nil:
			refused++
		case got != nil:
			kept++
		}
	}
	if refused < tries/6 || kept < tries/6 {
		t.Fatalf("%d refused and %d read of %d: these damages test too little", refused, kept, tries)
	}
}

// damages is how many damaged files are tried of one: fewer under the race detector,
// which makes each 20 times as slow.
func damages() int {
	if testing.Short() {
		return 150
	}
	return 3000
}

// Nor where a byte before the coded data is wrong. (Both read many such files, of other
// colours: what a byte should have been they cannot know.)
func TestQuickDecoderForgivesNoDamagedHeader(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	const mostLast = 3 // of 9000: those wrong in the very last block, whatever follows it
	refused, kept, last := 0, 0, 0
	for _, whole := range [][]byte{jpegOf(t, textured(image.Pt(64, 48))), read(t, "420.jpg"), read(t, "444.jpg")} {
		src, err := newSource(bytes.NewReader(whole))
		if err != nil {
			t.Fatal(err)
		}
		seg := readSegments(src)
		for range damages() {
			data := bytes.Clone(whole)
			at := 2 + r.IntN(int(seg.end)+12)
			data[at] = byte(r.IntN(256))
			_, err := jpeg.Decode(bytes.NewReader(data))
			got := quick(t, data)
			switch {
			case err != nil && got != nil:
				if _, missing := withEnd(data); missing != nil {
					last++
					t.Logf("byte %d of %d made %#x is read; the strict decoder says %v", at, seg.end, data[at], err)
				}
			case err != nil:
				refused++
			case got != nil:
				kept++
			}
		}
	}
	if last > mostLast {
		t.Errorf("%d are read that the strict decoder refuses", last)
	}
	if n := damages(); refused < n/6 || kept < n/6 { // of three files
		t.Fatalf("%d refused and %d read: these damages test too little", refused, kept)
	}
}

// withEnd strictly decodes a file to whose coded data some end of a block is added.
func withEnd(data []byte) (img image.Image, err error) {
	for _, filler := range []byte{0, 0x55, 0xaa} { // bits that some code of any table begins with
		end := append(bytes.Repeat([]byte{filler}, 128), 0xff, 0xd9)
		if img, err = jpeg.Decode(bytes.NewReader(append(data[:len(data)-2:len(data)-2], end...))); err == nil {
			break
		}
	}
	return img, err
}

// lessLastBlocks returns a 4:2:0 picture without its last row of blocks.
func lessLastBlocks(m image.Image) image.Image {
	b := m.Bounds()
	b.Max.Y -= 16
	return m.(*image.YCbCr).SubImage(b)
}

// A photo may carry another behind its end: it is not read on.
func TestCodedEndIsTheFirstPicturesEnd(t *testing.T) {
	whole := read(t, "420.jpg")
	src, err := newSource(bytes.NewReader(append(bytes.Clone(whole), whole...)))
	if err != nil {
		t.Fatal(err)
	}
	seg := readSegments(src)
	if end := seg.codedEnd(src); end != int64(len(whole)) {
		t.Errorf("ends after %d bytes, want %d", end, len(whole))
	}
	if r := (sized{io.LimitReader(bytes.NewReader(whole), 9), 9}); r.Len() != 9 {
		t.Errorf("length %d", r.Len())
	}
}
