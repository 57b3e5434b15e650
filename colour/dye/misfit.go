package dye

import "slices"

// Misfit is ErrTogether that knows where.
type Misfit struct {
	View int // its number among those of a palette; 0 of a blend in hand
	Dab  int // the number in the view of the one without which it goes together; -1 when it is more than one, or one of many
}

func (m *Misfit) Error() string { return ErrTogether.Error() }

// Unwrap returns ErrTogether.
func (m *Misfit) Unwrap() error { return ErrTogether }

// manyDabs are too many to try one after the other: eighteen take a quarter of a minute.
const manyDabs = 12

// mostStrain is in standard deviations; right names stay under rightStrain.
const mostStrain, rightStrain = 6, 4

// misfit finds the dab of a view without which camera and greys would have to be off by
// least. Of two under each other's names that is as often a third, so it counts only when
// the others go together.
func (p *Palette) misfit(v View) *Misfit {
	worst, least := -1, float64(rightStrain)
	if len(v.Dabs) > manyDabs {
		return &Misfit{Dab: worst}
	}
	for i := range v.Dabs {
		others := v
		others.Dabs = slices.Delete(slices.Clone(v.Dabs), i, i+1)
		l, g := p.fit(others.sight())
		if strain := l.strain(g.mean); strain < least {
			worst, least = i, strain
		}
	}
	return &Misfit{Dab: worst}
}
