package photo

import (
	"encoding/binary"
	"math"
)

// curve turns a code, 0..1, into light, 0..1.
type curve func(float64) float64

// parseCurve reads a curveType or parametricCurveType (ICC.1:2022, 10.6 and
// 10.18). It returns nil for any other type, for one cut short, and for one that
// does not lead from darker to lighter.
func parseCurve(b []byte) curve {
	if len(b) < 12 {
		return nil
	}
	var c curve
	switch string(b[:4]) {
	case "curv":
		c = sampledCurve(b)
	case "para":
		c = parametricCurve(b)
	}
	if c == nil {
		return nil
	}
	dark, light := c(0), c(1)
	for i := range 257 { // an even spread: a pole between the ends shows as NaN or infinity
		if v := c(float64(i) / 256); math.IsNaN(v) || math.IsInf(v, 0) {
			return nil
		}
	}
	if !(light > dark) {
		return nil
	}
	return c
}

// sampledCurve reads the type "curv": no entry is a straight line, one a power,
// more are samples at even steps.
func sampledCurve(b []byte) curve {
	count := binary.BigEndian.Uint32(b[8:])
	if uint64(len(b)) < 12+2*uint64(count) {
		return nil
	}
	switch count {
	case 0:
		return func(v float64) float64 { return v }
	case 1:
		gamma := float64(binary.BigEndian.Uint16(b[12:])) / 256
		return func(v float64) float64 { return math.Pow(v, gamma) }
	}
	table := make([]float64, count)
	for i := range table {
		table[i] = float64(binary.BigEndian.Uint16(b[12+2*i:])) / 65535
	}
	return func(v float64) float64 {
		at := min(max(v, 0), 1) * float64(count-1)
		i := min(int(at), int(count)-2)
		return table[i] + (at-float64(i))*(table[i+1]-table[i])
	}
}

// parametricCurve reads the type "para", functions 0 to 4: a power with, by
// function, an offset, a cut to a constant, a straight part near black.
func parametricCurve(b []byte) curve {
	function := int(binary.BigEndian.Uint16(b[8:]))
	if function > 4 {
		return nil
	}
	n := [...]int{1, 3, 4, 5, 7}[function]
	if len(b) < 12+4*n {
		return nil
	}
	var p [7]float64
	for i := range n {
		p[i] = fixed(b[12+4*i:])
	}
	g, a, b1, c, d, e, f := p[0], p[1], p[2], p[3], p[4], p[5], p[6]
	switch function {
	case 0:
		return func(v float64) float64 { return math.Pow(v, g) }
	case 1: // (aX+b)^g from X = -b/a up, else 0
		c, d, e, f = 0, -b1/a, 0, 0
	case 2: // (aX+b)^g + c from X = -b/a up, else c
		c, d, e, f = 0, -b1/a, p[3], p[3]
	}
	return func(v float64) float64 {
		if v >= d {
			return math.Pow(max(a*v+b1, 0), g) + e
		}
		return c*v + f
	}
}

// fixed reads an s15Fixed16Number.
func fixed(b []byte) float64 { return float64(int32(binary.BigEndian.Uint32(b))) / 65536 }
