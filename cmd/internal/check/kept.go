package check

import (
	"fmt"
	"time"

	"evenhide/cmd/internal/report"
	"evenhide/colour"
	"evenhide/colour/tolerance"
)

// Kept is a swatch of a colour that earlier photos have read.
type Kept struct {
	Colour string // its name
	Lab    colour.Lab
	Cov    colour.Matrix // of Lab, with the same card
	Print  colour.Matrix // what comes to it with another card
	// Light, Camera and Card are those of the photos it was read in; "" is unknown.
	// Measured says that the card's greys were measured.
	Light, Camera, Card string
	Measured            bool
	Read                time.Time // when those photos were taken
}

// OtherColour is the ΔE00 between two readings of swatches from which they are not of
// one colour: the light alone moves a reading by 3 at most in 95 % of rendered photos,
// and twice that is another colour, or no swatch.
const OtherColour = 6

// doubted says that the swatch in the photo, which reads seen, is not the one kept;
// "" when it may be, or none is.
func (k *Kept) doubted(seen colour.Lab) string {
	if k == nil {
		return ""
	}
	return Doubt(k.Colour, k.Lab, seen)
}

// Doubt says that the swatch in a photo, which reads seen, is not the one kept of a
// colour; "" when it may be.
func Doubt(name string, kept, seen colour.Lab) string {
	apart := colour.DeltaE2000(kept, seen, colour.UnitWeights())
	if apart <= OtherColour {
		return ""
	}
	return fmt.Sprintf("the swatch in the photo differs by ΔE00 %.0f from the one kept of %s: is it of another colour?", apart, name)
}

// kept returns k as the reference of this photo, for what it is worth in its light.
func (b *bench) kept(k Kept) reference {
	b.bare = true
	ref := reference{
		Estimate: tolerance.Estimate{Lab: k.Lab, Cov: k.Cov}, model: tolerance.OtherLight(),
		told: report.Reference{Source: report.Kept, Lab: report.Triple(k.Lab), Colour: k.Colour,
			Light: k.Light, Camera: k.Camera, Kept: report.Time(k.Read)},
	}
	ref.from = b.middle()
	serial := ""
	if b.found != nil {
		serial = b.found.Serial
	}
	sameCard := k.Card == serial && k.Measured == b.measured
	if !sameCard {
		ref.Cov = ref.Cov.Add(k.Print)
	}
	if ref.told.SameLight, ref.note = b.sameLight(k); ref.told.SameLight {
		ref.model, ref.sameCard = tolerance.SameLight(), sameCard
	}
	f := ref.model.Floor * ref.model.Floor
	ref.doubt = colour.Diagonal(f, f, f)
	return ref
}

// sameLight tells whether this photo was taken in the light and with the camera of
// k, and when it was not, why the interval is wide.
func (b *bench) sameLight(k Kept) (bool, string) {
	const wide = ", and the interval allows for it: for a narrow one lay the swatch in the card's window"
	unknown := k.Camera == "" || b.camera == ""
	switch {
	case !unknown && k.Camera != b.camera:
		return false, "the kept swatch was read with another camera" + wide
	case b.rq.SameLight:
		return true, ""
	case b.rq.Light == "" || b.rq.Light != k.Light:
		return false, "the kept swatch may have been read in another light" + wide + ", or give --light NAME where it is the same"
	case unknown:
		return false, "no telling whether the kept swatch was read with this camera" + wide + ", or give --same-light where light and camera are the same"
	}
	return true, ""
}
