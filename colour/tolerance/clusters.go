package tolerance

import "math"

// clusters are groups of samples on their way to being joined. The distance of two
// groups is that of their furthest members.
type clusters struct {
	members [][]int     // none: joined to another
	apart   [][]float64 // apart[i][j] for j < i
	nearest []int       // the closest of those before it; -1 without any
}

func newClusters(n int, distance func(i, j int) float64) *clusters {
	c := &clusters{make([][]int, n), make([][]float64, n), make([]int, n)}
	for i := range n {
		c.members[i], c.apart[i] = []int{i}, make([]float64, i)
		for j := range i {
			c.apart[i][j] = distance(j, i)
		}
		c.seek(i)
	}
	return c
}

// at returns where the distance of two different groups stands.
func (c *clusters) at(i, j int) *float64 {
	if i < j {
		i, j = j, i
	}
	return &c.apart[i][j]
}

// seek finds the nearest of those before i.
func (c *clusters) seek(i int) {
	c.nearest[i] = -1
	for j, d := range c.apart[i] {
		if len(c.members[j]) > 0 && (c.nearest[i] < 0 || d < c.apart[i][c.nearest[i]]) {
			c.nearest[i] = j
		}
	}
}

// join makes the closest two groups one, unless they are further apart than limit.
func (c *clusters) join(limit float64) bool {
	from, least := -1, math.Inf(1)
	for i, j := range c.nearest {
		if len(c.members[i]) > 0 && j >= 0 && c.apart[i][j] < least {
			from, least = i, c.apart[i][j]
		}
	}
	if from < 0 || least > limit {
		return false
	}
	to := c.nearest[from]
	c.members[to], c.members[from] = append(c.members[to], c.members[from]...), nil
	for k := range c.members {
		if k != to && len(c.members[k]) > 0 {
			*c.at(to, k) = max(*c.at(to, k), *c.at(from, k))
		}
	}
	c.seek(to)
	for k := to + 1; k < len(c.members); k++ { // distances have only grown: no other becomes nearer
		if j := c.nearest[k]; len(c.members[k]) > 0 && (j == to || j == from) {
			c.seek(k)
		}
	}
	return true
}
