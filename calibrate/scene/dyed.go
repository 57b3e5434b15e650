package scene

import (
	"cmp"

	"evenhide/colour"
)

// Dyed returns the colour under D65 of the usual hide, evenly dyed with a blend at a
// strength, for the law of a Scene.
func (s *Spectra) Dyed(b Blend, strength, law float64) colour.Lab {
	return s.dyed(b.absorption(), strength, cmp.Or(law, 1))
}
