package tolerance

import "math"

// Dated is a figure with its expanded uncertainty (k = 2) and the day it was read.
type Dated struct{ Day, Value, U float64 }

// Fall is by how much a figure fell from the first reading to the last, with the
// expanded uncertainty of that (k = 2).
type Fall struct{ By, U float64 }

// Falling returns how far figures, in the order of their days, fell over their time:
// along the straight line that misses them least in squares weighted by 1/U², whose
// fall has the uncertainty that theirs give it (for two readings their difference). It
// reports false where the fall is not larger than that, where fewer than two
// readings are certain, and where no time lies between them. How far they scatter
// about the line is not looked at: a figure that falls at once falls as well.
func Falling(readings []Dated) (Fall, bool) {
	var weights, days, values float64
	for _, r := range readings {
		w := 1 / (r.U * r.U)
		weights, days, values = weights+w, days+w*r.Day, values+w*r.Value
	}
	day, value := days/weights, values/weights
	var square, product float64
	for _, r := range readings {
		w := 1 / (r.U * r.U)
		square += w * (r.Day - day) * (r.Day - day)
		product += w * (r.Day - day) * (r.Value - value)
	}
	if !(square > 0) || math.IsInf(square, 0) {
		return Fall{}, false
	}
	time := readings[len(readings)-1].Day - readings[0].Day
	out := Fall{By: -product / square * time, U: time / math.Sqrt(square)}
	return out, out.By > out.U
}
