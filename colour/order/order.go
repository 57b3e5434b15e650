// Package order picks values by rank without sorting them.
package order

// Ranked returns the value that would stand at index k of the sorted vals, which
// it reorders. It is Hoare's selection, several times faster than sorting; the
// pivot's place varies so that no order of values makes it slow. vals must hold
// numbers only, and k be one of its indices.
func Ranked(vals []float64, k int) float64 {
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

// Quantile returns the value of vals, which it reorders, below which a share of
// them lies, 0 to 1; 0 without any. Of an even number the half is the upper middle.
func Quantile(vals []float64, share float64) float64 {
	if len(vals) == 0 {
		return 0
	}
	return Ranked(vals, min(int(share*float64(len(vals))), len(vals)-1))
}

// Median returns the upper middle of vals, which it reorders; 0 without any.
func Median(vals []float64) float64 { return Quantile(vals, .5) }
