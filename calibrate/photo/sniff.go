package photo

import (
	"bytes"

	"evenhide/calibrate/refusal"
)

// sniff tells a photo's format from its first bytes, whatever its name ends in.
// It returns the function that reads the header, or the refusal.
func sniff(src *source) (func(*source) (*header, error), error) {
	if src.size == 0 {
		return nil, refusal.New(ErrNotPhoto, hintCopy, "empty file")
	}
	b := src.bytes(0, min(src.size, 16), 16)
	switch {
	case bytes.HasPrefix(b, []byte("\xff\xd8\xff")):
		return openJPEG, nil
	case bytes.HasPrefix(b, []byte(pngSignature)):
		return openPNG, nil
	case bytes.HasPrefix(b, []byte("II*\x00")) && len(b) > 9 && string(b[8:10]) == "CR":
		return nil, refusal.New(ErrUnsupported, "export it as a JPEG", "a raw photo (CR2) is not supported")
	case bytes.HasPrefix(b, []byte("II*\x00")), bytes.HasPrefix(b, []byte("MM\x00*")):
		return openTIFF, nil
	}
	if len(b) >= 12 && string(b[4:8]) == "ftyp" {
		return nil, refuseContainer(string(b[8:12]))
	}
	for prefix, name := range map[string]string{
		"GIF8": "GIF", "RIFF": "WebP", "BM": "BMP", "%PDF": "PDF", "8BPS": "Photoshop (PSD)",
		"\xff\x0a": "JPEG XL", "\x00\x00\x00\x0cJXL ": "JPEG XL", "\x00\x00\x00\x0cjP  ": "JPEG 2000",
		"II+\x00": "BigTIFF", "MM\x00+": "BigTIFF", "FUJIFILMCCD-RAW": "raw (RAF)",
	} {
		if bytes.HasPrefix(b, []byte(prefix)) && (name != "WebP" || len(b) >= 12 && string(b[8:12]) == "WEBP") {
			return nil, refusal.New(ErrUnsupported, "export it as a JPEG", "%s is not supported; JPEG, PNG and TIFF are", name)
		}
	}
	return nil, refusal.New(ErrNotPhoto, "name a JPEG, PNG or TIFF file", "not a photo: it begins with %.8q", b)
}

// refuseContainer names the kind of ISO base media file from its brand.
func refuseContainer(brand string) error {
	name := ""
	switch brand {
	case "heic", "heix", "hevc", "hevx", "heim", "heis", "mif1", "msf1":
		name = "HEIC"
	case "avif", "avis":
		name = "AVIF"
	case "crx ":
		return refusal.New(ErrUnsupported, "export it as a JPEG", "a raw photo (CR3) is not supported")
	default:
		return refusal.New(ErrNotPhoto, "name a JPEG, PNG or TIFF file", "a video or other media file (%q), not a photo", brand)
	}
	return refusal.New(ErrUnsupported, `set the phone's camera to save JPEG ("most compatible"), or export this photo as a JPEG`,
		"%s is not supported; JPEG, PNG and TIFF are", name)
}
