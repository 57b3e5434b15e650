package tolerance

import "math"

// Dated is a figure with its expanded uncertainty (k = 2) and the day it was read.
type Dated struct{ Day, Value, U float64 }

// Fall is by how much a figure fell from the first reading to the last, with the
// expanded uncertainty of that (k = 2).
type Fall struct{ By, U float64 }

// Falling returns how far figures, in the order of their days, fell over their time:
// along the straight line that misses them least in squares weighted by 1/U², whose
// fall has the uncertainty that theirs give it, or that their scatter about the line
// does where that is larger (the Birge ratio); for two readings it is their
// difference. It reports false where the fall is not larger than its uncertainty,
// where fewer than two readings are certain, and where no time lies between them.
func Falling(readings []Dated) (Fall, bool) {
	var weights, days, values float64
	for _, r := range readings {
		w := r.weight()
		weights, days, values = weights+w, days+w*r.Day, values+w*r.Value
	}
	day, value := days/weights, values/weights
	var square, product, scatter float64
	for _, r := range readings {
		square += r.weight() * (r.Day - day) * (r.Day - day)
		product += r.weight() * (r.Day - day) * (r.Value - value)
	}
	if !(square > 0) || math.IsInf(square, 0) {
		return Fall{}, false
	}
	slope := product / square
	for _, r := range readings {
		off := r.Value - value - slope*(r.Day-day)
		scatter += r.weight() * off * off
	}
	const k = 2 // U is twice the standard uncertainty
	birge := max(1, k*math.Sqrt(scatter/float64(max(len(readings)-2, 1))))
	time := readings[len(readings)-1].Day - readings[0].Day
	out := Fall{By: -slope * time, U: birge * time / math.Sqrt(square)}
	return out, out.By > out.U
}

func (d Dated) weight() float64 { return 1 / (d.U * d.U) }
