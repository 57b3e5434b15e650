package dye

import "math"

// short is the kind of build-up that ends where it ends, which may be short of the
// reference.
const short = 3

// kind is what is assumed of a colour's build-up before anything is read, and how
// likely: over colours the mean of two numbers, and the standard deviation of their
// logarithms. The first is the coats in which a piece is as strong as the reference,
// for the kind short Full; the second is Rate, or Power.
type kind struct {
	weight float64
	mean   [2]float64
	vary   [2]float64
}

// kinds returns what is assumed: the usual number of coats, give or take a fifth, or
// four, give or take a half, where none is usual (0), are as strong as the reference, by
// sites alike, by sites that differ, or as a power of the coats between
// the root, as what seeps into something thick does, and all that each adds; or for one
// in ten, whose mix is thin, 70 % is where it ends, give or take a third (common
// practice, no source).
func kinds(usual int) [short + 1]kind {
	coats, vary := float64(usual), .2
	if usual == 0 {
		coats, vary = 4, .4
	}
	return [...]kind{
		{.3, [2]float64{coats, 2.5}, [2]float64{vary, .5}},
		{.3, [2]float64{coats, 3.5}, [2]float64{vary, .5}},
		{.3, [2]float64{coats, .75}, [2]float64{vary, .2}},
		{.1, [2]float64{.7, 2}, [2]float64{.3, .5}},
	}
}

// varies returns by what share pieces of one colour may differ in what they take up,
// and in how fast (standard deviation), each as likely: a tenth, more or less (common
// practice, no source).
func varies() []float64 { return []float64{.07, .14, .28} }

// buildUp returns the build-up of a kind with two numbers.
func buildUp(kind int, at [2]float64) BuildUp {
	switch kind {
	case short:
		return BuildUp{Full: at[0], Rate: at[1]}
	case 2:
		return BuildUp{Full: math.Pow(at[0], -at[1]), Rate: 1, Power: at[1]}
	}
	b := BuildUp{Full: 1, Rate: at[1], Shape: float64(kind)}
	b.Full = 1 / b.filled(at[0])
	return b
}

// candidates returns build-ups spread over three standard deviations of each kind, each
// way, with -2 ln of each one's probability.
func candidates(usual int) (all []BuildUp, misfits []float64) {
	const side, reach = 35, 3.
	for k, of := range kinds(usual) {
		for i := range side * side {
			x := reach * (2*float64(i%side)/(side-1) - 1)
			y := reach * (2*float64(i/side)/(side-1) - 1)
			all = append(all, buildUp(k, [2]float64{of.mean[0] * math.Exp(of.vary[0]*x), of.mean[1] * math.Exp(of.vary[1]*y)}))
			misfits = append(misfits, x*x+y*y-2*math.Log(of.weight))
		}
	}
	return all, misfits
}
