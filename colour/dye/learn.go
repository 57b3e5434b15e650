package dye

// LearnPrior returns what the readings of earlier pieces of a colour say of the next
// one: the mean and covariance of ln Full and ln Rate over pieces, found by
// expectation and maximisation. Each piece counts as far as its own readings tell,
// and DefaultPrior as much as two pieces, so that a few alike are not taken for
// certainty. The error is FitCoats'.
func LearnPrior(earlier [][]Coat) (Prior, error) {
	const (
		assumed = 2.0
		rounds  = 6 // each takes off most of what is left; the first half of the pieces' own spread
	)
	start := DefaultPrior()
	p := start
	n := float64(len(earlier)) + assumed
	for range rounds {
		next := Prior{Mean: [2]float64{assumed * start.Mean[0] / n, assumed * start.Mean[1] / n}}
		of := make([]Prior, len(earlier))
		for i, coats := range earlier {
			c, err := FitCoats(coats, p)
			if err != nil {
				return Prior{}, err
			}
			of[i] = c.moments()
			for k, m := range of[i].Mean {
				next.Mean[k] += m / n
			}
		}
		next.spread(start, assumed/n)
		for _, piece := range of {
			next.spread(piece, 1/n)
		}
		p = next
	}
	return p, nil
}

// spread adds to p's covariance what a member of it, of the given weight, varies by
// itself and lies away from the mean.
func (p *Prior) spread(member Prior, weight float64) {
	for i := range p.Cov {
		for j := range p.Cov {
			p.Cov[i][j] += weight * (member.Cov[i][j] + (member.Mean[i]-p.Mean[i])*(member.Mean[j]-p.Mean[j]))
		}
	}
}
