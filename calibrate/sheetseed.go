package calibrate

import (
	"math"
	"slices"

	"evenhide/calibrate/refusal"
	"evenhide/colour/order"
)

// What a smooth area must be to be taken for the sheet.
const (
	leastArea    = 0.008 // of the photo, of one smooth area
	leastBright  = 0.3   // of the brightest smooth area's light
	mostChroma   = 0.4   // log ratio of channels, greys being neutral: cream paper in light a step away from the greys'
	surroundings = 3     // nodes around the card that are looked at
)

// area is a set of nodes that hang together smoothly.
type area struct {
	count, ring int
	log         [3]float64 // sum
}

// areas are smooth areas by label.
type areas []area

// seed makes guesses at the bare sheet from the smooth area that looks most like it,
// and returns the label of every node's smooth area.
func (s *Sheet) seed(card []Polygon) ([]int32, error) {
	n := s.n
	var ring []bool
	if len(card) > 0 {
		ring = n.inside(card, 1+surroundings)
	}
	label, count := s.labels()
	found := make(areas, count)
	clipped := 0
	for i, l := range label {
		if n.bad[i] && n.log[i][1] > -1 {
			clipped++
		}
		if l < 0 {
			continue
		}
		a := &found[l]
		a.count++
		for k, v := range n.log[i] {
			a.log[k] += float64(v)
		}
		if ring != nil && ring[i] {
			a.ring++
		}
	}
	best := choose(found, len(label), ring != nil)
	if best < 0 && ring != nil { // the card lies in shade, or on something else
		best = choose(found, len(label), false)
	}
	if best < 0 || found[best].count < leastProbes {
		if clipped > len(label)/10 {
			return nil, refusal.New(ErrSheet, "take the photo again with less exposure", "the sheet is clipped: it is too bright to tell its light")
		}
		return nil, refuseSmall(0)
	}
	s.guesses = nil
	for _, like := range []map[int32]bool{{best: true}, n.like(found, label, best), found.alike(best, len(label))} {
		bare, in := make([]bool, len(label)), make([]bool, count)
		for l := range like {
			in[l] = true
		}
		for i, l := range label {
			bare[i] = l >= 0 && in[l]
		}
		if len(s.guesses) == 0 || !slices.Equal(bare, s.guesses[len(s.guesses)-1]) {
			s.guesses = append(s.guesses, bare)
		}
	}
	return label, nil
}

// alike returns the areas that are about as bright and of about the same tint as the
// best one, wherever they lie.
func (found areas) alike(best int32, nodes int) map[int32]bool {
	const share, mostLevel, mostTint = leastArea / 8, .35, .1
	like := map[int32]bool{best: true}
	level, tint := found[best].mean()
	for l := range found {
		a := &found[l]
		lv, tn := a.mean()
		if float64(a.count) > share*float64(nodes) && math.Abs(lv-level) < mostLevel &&
			math.Hypot(tn[0]-tint[0], tn[1]-tint[1]) < mostTint {
			like[int32(l)] = true
		}
	}
	return like
}

// like returns the areas that may be the same sheet as the best one, cut off from it
// by a crease or a strap: those that go on beyond the cut about as they began. What
// else is as bright, a pale piece or the sheet in a shadow, the fit has to find out.
func (n *nodes) like(found areas, label []int32, best int32) map[int32]bool {
	const share, gap, mostStep, mostTint = leastArea / 8, 8, .25, .06
	least := int(share * float64(len(label)))
	large := make([]bool, len(found))
	for l := range found {
		large[l] = found[l].count > least
	}
	type pair struct{ a, b int32 }
	steps := map[pair]*area{}
	look := func(i, j int) {
		a, b := label[i], label[j]
		if a == b || a < 0 || b < 0 || !large[a] || !large[b] {
			return
		}
		if a > b {
			a, b, i, j = b, a, j, i
		}
		p := steps[pair{a, b}]
		if p == nil {
			p = &area{}
			steps[pair{a, b}] = p
		}
		p.count++
		for k := range p.log {
			p.log[k] += float64(n.log[i][k] - n.log[j][k])
		}
	}
	for i := range label {
		if i%n.w >= gap {
			look(i, i-gap)
		}
		if i >= gap*n.w {
			look(i, i-gap*n.w)
		}
	}
	like := map[int32]bool{best: true}
	for grown := true; grown; {
		grown = false
		for p, s := range steps {
			if like[p.a] != like[p.b] {
				if l, t := s.mean(); s.count >= gap && math.Abs(l) < mostStep && math.Hypot(t[0], t[1]) < mostTint {
					like[p.a], like[p.b], grown = true, true, true
				}
			}
		}
	}
	return like
}

// mean returns an area's level and the log of red and blue over green.
func (a *area) mean() (level float64, tint [2]float64) {
	n := float64(a.count)
	r, g, b := a.log[0]/n, a.log[1]/n, a.log[2]/n
	return .3*r + .6*g + .1*b, [2]float64{r - g, b - g}
}

// choose returns the area that is large, bright, nearly neutral and, where there
// is a card and ringed asks for it, around it; -1 when none will do.
func choose(found areas, nodes int, ringed bool) int32 {
	const leastRing = .1 // of what is seen round the card
	top := math.Inf(-1)
	for i := range found {
		a := &found[i]
		if float64(a.count) > leastArea*float64(nodes) {
			level, _ := a.levelTint()
			top = max(top, level)
		}
	}
	rings := 1
	for i := range found {
		rings += found[i].ring
	}
	const brightly = 3 // a bench half as bright must be eight times as large
	best, bestScore := int32(-1), 0.0
	for l := range found {
		a := &found[l]
		level, tint := a.levelTint()
		if float64(a.count) < leastArea*float64(nodes) || level < top+math.Log(leastBright) || tint > mostChroma {
			continue
		}
		if ringed && float64(a.ring) < leastRing*float64(rings) {
			continue
		}
		score := float64(a.count) * math.Exp(brightly*(level-top)-tint/mostChroma) * (1 + 8*float64(a.ring)/float64(rings))
		if score > bestScore {
			best, bestScore = int32(l), score
		}
	}
	return best
}

func (a *area) levelTint() (level, tint float64) {
	var mean [3]float32
	for k, v := range a.log {
		mean[k] = float32(v / float64(a.count))
	}
	l, t := levelTint(mean)
	return float64(l), float64(t)
}

// labels labels the nodes outside of the card by smooth area: neighbours hang
// together where they differ by no more than noise makes them. Labels run from 0;
// -1 is no area, or crumbs of one.
func (s *Sheet) labels() (label []int32, count int) {
	n := s.n
	limit := n.smoothness()
	parent := make([]int32, len(n.log))
	for i := range parent {
		parent[i] = int32(i)
		if n.bad[i] || s.card[i] {
			parent[i] = -1
			continue
		}
		if x := i % n.w; x > 0 && parent[i-1] >= 0 && near(n.log[i], n.log[i-1], limit) {
			unite(parent, int32(i), int32(i-1))
		}
		if i >= n.w && parent[i-n.w] >= 0 && near(n.log[i], n.log[i-n.w], limit) {
			unite(parent, int32(i), int32(i-n.w))
		}
	}
	return numbered(parent)
}

func near(a, b, limit [3]float32) bool {
	for k := range a {
		if d := a[k] - b[k]; d > limit[k] || -d > limit[k] {
			return false
		}
	}
	return true
}

func root(parent []int32, i int32) int32 {
	for parent[i] != i {
		parent[i] = parent[parent[i]]
		i = parent[i]
	}
	return i
}

func unite(parent []int32, a, b int32) {
	a, b = root(parent, a), root(parent, b)
	parent[max(a, b)] = min(a, b)
}

// smoothness returns by how much neighbouring nodes of a plain sheet may differ.
func (n *nodes) smoothness() [3]float32 {
	var limit [3]float32
	for k, noise := range n.noise {
		const least, most = .03, .15
		limit[k] = float32(min(max(5*noise, least), most)) // five deviations keep an area in one piece
	}
	return limit
}

// findNoise returns the noise from the quieter differences among the brightest
// nodes, as a sheet's are.
func (n *nodes) findNoise() (noise [3]float64) {
	green := make([]float64, 0, len(n.log)/11+1)
	for i := 0; i < len(n.log); i += 11 {
		if !n.bad[i] {
			green = append(green, float64(n.log[i][1]))
		}
	}
	bright := float32(order.Quantile(green, .75))
	d := make([]float64, 0, len(n.log)/5+1)
	for k := range noise {
		d = d[:0]
		for i := 1; i < len(n.log); i += 5 {
			if n.log[i][1] >= bright && i%n.w > 0 && !n.bad[i] && !n.bad[i-1] {
				d = append(d, math.Abs(float64(n.log[i][k]-n.log[i-1][k])))
			}
		}
		// A quarter of normal noise is within 0.32 of its deviation.
		noise[k] = order.Quantile(d, .25) / .32
	}
	return noise
}
