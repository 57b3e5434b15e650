package photo

import (
	"errors"
	"io"
	"strings"
	"time"

	"github.com/bep/imagemeta"
)

// about is what a photo's EXIF says of it.
type about struct {
	orientation orientation
	taken       time.Time
	camera      string
	adobeRGB    bool
}

// maxMetadataReads bounds the reads and seeks the metadata reader may make: each
// is at most its buffer of 4 kB. A phone's EXIF takes a few hundred; directories
// that point at each other can ask for millions.
const maxMetadataReads = 20000

// readAbout reads a TIFF structure, which may be nil. Damage costs only what
// comes after it: a photo with unreadable EXIF is one without, and is upright as
// stored.
func readAbout(exif io.ReadSeeker) about {
	found := about{orientation: 1}
	if exif == nil {
		return found
	}
	text := map[string]string{}
	colourSpace := 0
	imagemeta.Decode(imagemeta.Options{ // its error says only where the damage begins
		R: &limitedReads{r: exif, left: maxMetadataReads}, ImageFormat: imagemeta.TIFF, Sources: imagemeta.EXIF,
		LimitNumTags: 2000, LimitTagSize: 1000,
		ShouldHandleTag: func(t imagemeta.TagInfo) bool { return wanted(t.Namespace, t.Tag) },
		HandleTag: func(t imagemeta.TagInfo) error {
			switch v := t.Value.(type) {
			case string:
				text[t.Tag] = printable(v)
			case uint16:
				switch {
				case t.Tag == "Orientation" && v >= 1 && v <= 8:
					found.orientation = orientation(v)
				case t.Tag == "ColorSpace":
					colourSpace = int(v)
				}
			}
			return nil
		},
	})
	found.taken = takenAt(text)
	found.camera = cameraName(text["Make"], text["Model"])
	found.adobeRGB = colourSpace != 1 && text[interopIndex] == "R03"
	return found
}

// interopIndex is the name the metadata reader gives to tag 1 in any directory.
const interopIndex = "GPSLatitudeRef"

// wanted keeps to the photo's own directories: a thumbnail's, in IFD1, may say
// something else.
func wanted(directory, tag string) bool {
	switch tag {
	case "Orientation", "ModifyDate", "Make", "Model":
		return directory == "IFD0"
	case "DateTimeOriginal", "OffsetTimeOriginal", "ColorSpace":
		return directory == "IFD0/ExifIFDP"
	case interopIndex:
		return strings.HasSuffix(directory, "/InteroperabilityIFD")
	}
	return false
}

// takenAt returns when the shutter opened, or when the file was written where
// only that is recorded; local time unless the offset is recorded.
func takenAt(text map[string]string) time.Time {
	const layout = "2006:01:02 15:04:05"
	if t, err := time.Parse(layout+"-07:00", text["DateTimeOriginal"]+text["OffsetTimeOriginal"]); err == nil {
		return t
	}
	for _, tag := range []string{"DateTimeOriginal", "ModifyDate"} {
		if t, err := time.ParseInLocation(layout, text[tag], time.Local); err == nil {
			return t
		}
	}
	return time.Time{}
}

// cameraName joins make and model, which often begins with the make.
func cameraName(maker, model string) string {
	if strings.HasPrefix(strings.ToLower(model), strings.ToLower(maker)) {
		return model
	}
	return strings.TrimSpace(maker + " " + model)
}

// limitedReads fails after a number of reads and seeks.
type limitedReads struct {
	r    io.ReadSeeker
	left int
}

var errTooManyReads = errors.New("too many reads")

func (l *limitedReads) Read(p []byte) (int, error) {
	if l.left--; l.left < 0 {
		return 0, errTooManyReads
	}
	return l.r.Read(p)
}

func (l *limitedReads) Seek(offset int64, whence int) (int64, error) {
	if l.left--; l.left < 0 {
		return 0, errTooManyReads
	}
	return l.r.Seek(offset, whence)
}
