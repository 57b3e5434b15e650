package scene

import (
	"math"

	"evenhide/colour"
)

// toLab returns the CIELAB colour (CIE 15:2018, 8.2.1) of tristimulus values
// under a white, both with Y = 1 for the perfect diffuser. It is written out
// here so that the truth does not rest on the code it judges.
func toLab(xyz, white [3]float64) colour.Lab {
	var f [3]float64
	for i := range f {
		t := xyz[i] / white[i]
		if t > 216.0/24389 {
			f[i] = math.Cbrt(t)
		} else {
			f[i] = (24389.0/27*t + 16) / 116
		}
	}
	return colour.Lab{L: 116*f[1] - 16, A: 500 * (f[0] - f[1]), B: 200 * (f[1] - f[2])}
}

// fromLab returns the tristimulus values of c under a white.
func fromLab(c colour.Lab, white [3]float64) [3]float64 {
	fy := (c.L + 16) / 116
	f := [3]float64{fy + c.A/500, fy, fy - c.B/200}
	var out [3]float64
	for i, v := range f {
		if v > 6.0/29 {
			out[i] = v * v * v * white[i]
		} else {
			out[i] = (116*v - 16) * 27 / 24389 * white[i]
		}
	}
	return out
}

// deltaE2000 returns the CIEDE2000 difference of two CIELAB colours, all
// parametric factors 1 (Sharma, Wu, Dalal 2005, equations 2 to 22).
func deltaE2000(p, q colour.Lab) float64 {
	cBar := (math.Hypot(p.A, p.B) + math.Hypot(q.A, q.B)) / 2
	g := 1.5 - 0.5*math.Sqrt(pow7(cBar)/(pow7(cBar)+pow7(25)))
	c1, h1 := math.Hypot(g*p.A, p.B), hueOf(g*p.A, p.B)
	c2, h2 := math.Hypot(g*q.A, q.B), hueOf(g*q.A, q.B)
	dh, hBar := h2-h1, (h1+h2)/2
	const half = 180 + 1e-9 // opposite hues: rounding must not choose the side
	switch {
	case c1*c2 == 0:
		dh, hBar = 0, h1+h2
	case dh > half:
		dh, hBar = dh-360, hBar+180
	case dh < -half:
		dh, hBar = dh+360, hBar+180
	}
	dL, dC := q.L-p.L, c2-c1
	dH := 2 * math.Sqrt(c1*c2) * math.Sin(radians(dh/2))
	lBar, cMean := (p.L+q.L)/2, (c1+c2)/2
	t := 1 - 0.17*math.Cos(radians(hBar-30)) + 0.24*math.Cos(radians(2*hBar)) +
		0.32*math.Cos(radians(3*hBar+6)) - 0.20*math.Cos(radians(4*hBar-63))
	l50 := (lBar - 50) * (lBar - 50)
	sL := 1 + 0.015*l50/math.Sqrt(20+l50)
	sC, sH := 1+0.045*cMean, 1+0.015*cMean*t
	turn := (math.Mod(hBar, 360) - 275) / 25
	rT := -2 * math.Sqrt(pow7(cMean)/(pow7(cMean)+pow7(25))) * math.Sin(radians(60*math.Exp(-turn*turn)))
	l, c, h := dL/sL, dC/sC, dH/sH
	return math.Sqrt(max(0, l*l+c*c+h*h+rT*c*h))
}

func hueOf(a, b float64) float64 {
	h := math.Atan2(b, a) * 180 / math.Pi
	if h < 0 {
		h += 360
	}
	return h
}

func pow7(v float64) float64          { return v * v * v * v * v * v * v }
func radians(degrees float64) float64 { return degrees * math.Pi / 180 }
