package surface

import (
	"math"

	"evenhide/colour/order"
)

// spread returns the robust standard deviation of vals about centre: 1.4826
// times the median distance, which is sigma for a normal distribution.
func spread(vals []float64, centre float64) float64 {
	away := make([]float64, len(vals))
	for i, x := range vals {
		away[i] = math.Abs(x - centre)
	}
	return 1.4826 * order.Median(away)
}
