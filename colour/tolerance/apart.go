package tolerance

import "evenhide/colour"

// CovFrom returns the covariance of the Lab of e less that of ref: what moves both
// alike leaves their difference as it is.
func (e Estimate) CovFrom(ref Estimate) colour.Matrix {
	cov := e.Cov.Add(ref.Cov)
	for k := range max(len(e.Shared), len(ref.Shared)) {
		var v vector
		if k < len(e.Shared) {
			v = vector{e.Shared[k].L, e.Shared[k].A, e.Shared[k].B}
		}
		if k < len(ref.Shared) {
			s := ref.Shared[k]
			v = vector{v[0] - s.L, v[1] - s.A, v[2] - s.B}
		}
		cov = cov.Add(colour.Outer(v))
	}
	return cov
}
