package surface

import "math"

// ranked returns the value that would stand at index k of the sorted vals, which
// it reorders. It is Hoare's selection, several times faster than sorting; the
// pivot's place varies so that no order of values makes it slow. vals must hold
// numbers only, and k be one of its indices.
func ranked(vals []float64, k int) float64 {
	lo, hi, hash := 0, len(vals)-1, uint32(1)
	for lo < hi {
		hash = hash*1664525 + 1013904223
		pivot := vals[lo+int(hash>>8)%(hi-lo+1)]
		i, j := lo, hi
		for i <= j {
			for vals[i] < pivot {
				i++
			}
			for vals[j] > pivot {
				j--
			}
			if i <= j {
				vals[i], vals[j] = vals[j], vals[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return vals[k]
		}
	}
	return vals[k]
}

// median returns the upper middle of vals, which it reorders; 0 without any.
func median(vals []float64) float64 {
	if len(vals) == 0 {
		return 0
	}
	return ranked(vals, len(vals)/2)
}

// spread returns the robust standard deviation of vals about centre: 1.4826
// times the median distance, which is sigma for a normal distribution.
func spread(vals []float64, centre float64) float64 {
	away := make([]float64, len(vals))
	for i, x := range vals {
		away[i] = math.Abs(x - centre)
	}
	return 1.4826 * median(away)
}
