package main

import "math/rand/v2"

// draw returns n pairs of Lab colours and n encoded RGB colours, the same ones
// for the same seed. Six pairs in ten are any two colours; of the rest, one in
// four each are close together, close together and near neutral, exactly opposite
// in hue, and with an exact neutral. One RGB colour in ten is a grey.
func draw(seed uint64, n int) question {
	r := rand.New(rand.NewPCG(seed, seed))
	span := func(from, to float64) float64 { return from + (to-from)*r.Float64() }
	anywhere := func(reach float64) [3]float64 {
		return [3]float64{span(0, 100), span(-reach, reach), span(-reach, reach)}
	}
	beside := func(c [3]float64) [3]float64 {
		return [3]float64{c[0] + span(-1, 1), c[1] + span(-1, 1), c[2] + span(-1, 1)}
	}
	var q question
	for i := range n {
		one := anywhere(100)
		two := anywhere(100)
		switch i % 10 {
		case 6:
			two = beside(one)
		case 7:
			one = anywhere(3)
			two = beside(one)
		case 8:
			two = [3]float64{two[0], -one[1], -one[2]}
		case 9:
			two = [3]float64{two[0], 0, 0}
		}
		q.Pairs = append(q.Pairs, [2][3]float64{one, two})
		rgb := [3]float64{r.Float64(), r.Float64(), r.Float64()}
		if i%10 == 9 {
			rgb = [3]float64{rgb[0], rgb[0], rgb[0]}
		}
		q.RGB = append(q.RGB, rgb)
	}
	return q
}
