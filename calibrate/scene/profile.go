package scene

import (
	"encoding/binary"
	"math"

	"evenhide/colour"
)

// profileP3 returns a matrix profile (ICC.1:2022, version 4) of Display P3: its
// primaries adapted from D65 to D50 by Bradford, and the sRGB curve.
func profileP3() []byte {
	bradford := toProfileWhite()
	toD50 := bradford.Mul(colour.Matrix{
		{.4865709, .2656677, .1982173}, {.2289746, .6917385, .0792869}, {0, .0451134, 1.0439444},
	})
	column := func(c int) []byte { return numbers("XYZ ", toD50[0][c], toD50[1][c], toD50[2][c]) }
	var chad []float64
	for _, row := range bradford {
		chad = append(chad, row[:]...)
	}
	curve := append([]byte("para\x00\x00\x00\x00\x00\x03\x00\x00"), // type 3: gamma, a, b, c, d
		numbers("", 2.4, 1/1.055, 0.055/1.055, 1/12.92, 0.04045)...)
	return assemble([]tag{
		{"desc", text("Display P3")}, {"cprt", text("No copyright, use freely")},
		{"wtpt", numbers("XYZ ", .9642, 1, .8249)}, {"chad", numbers("sf32", chad...)},
		{"rXYZ", column(0)}, {"gXYZ", column(1)}, {"bXYZ", column(2)},
		{"rTRC", curve}, {"gTRC", curve}, {"bTRC", curve},
	})
}

type tag struct {
	name string
	data []byte
}

// numbers returns values as s15Fixed16 under a type signature, "" being none.
func numbers(signature string, values ...float64) []byte {
	var b []byte
	if signature != "" {
		b = append([]byte(signature), 0, 0, 0, 0)
	}
	for _, v := range values {
		b = binary.BigEndian.AppendUint32(b, uint32(int32(math.Round(v*65536))))
	}
	return b
}

// text returns a one-language text tag.
func text(s string) []byte {
	b := []byte("mluc\x00\x00\x00\x00\x00\x00\x00\x01\x00\x00\x00\x0cenUS")
	b = binary.BigEndian.AppendUint32(b, uint32(2*len(s)))
	b = binary.BigEndian.AppendUint32(b, 28)
	for _, r := range s {
		b = binary.BigEndian.AppendUint16(b, uint16(r))
	}
	return b
}

// assemble puts header, tag table and tags together, each tag on a multiple of
// four bytes.
func assemble(tags []tag) []byte {
	b := make([]byte, 128)
	order := binary.BigEndian
	copy(b[8:], "\x04\x40\x00\x00mntrRGB XYZ ")
	order.PutUint16(b[24:], 2026) // creation date: 1 January
	b[27], b[29] = 1, 1
	copy(b[36:], "acsp")
	copy(b[68:], numbers("", .9642, 1, .8249))
	b = order.AppendUint32(b, uint32(len(tags)))
	at := 128 + 4 + 12*len(tags)
	for _, t := range tags {
		b = append(b, t.name...)
		b = order.AppendUint32(b, uint32(at))
		b = order.AppendUint32(b, uint32(len(t.data)))
		at += (len(t.data) + 3) &^ 3
	}
	for _, t := range tags {
		b = append(b, t.data...)
		b = append(b, make([]byte, (4-len(t.data)%4)%4)...)
	}
	order.PutUint32(b, uint32(len(b)))
	return b
}

// toProfileWhite returns the Bradford adaptation from D65 to the white of the
// profile connection space, 0.9642, 1, 0.8249.
func toProfileWhite() colour.Matrix {
	cones := colour.Matrix{{.8951, .2664, -.1614}, {-.7502, 1.7135, .0367}, {.0389, -.0685, 1.0296}}
	from, to := cones.Apply([3]float64{.95045593, 1, 1.08905775}), cones.Apply([3]float64{.9642, 1, .8249})
	back, _ := cones.Inverse()
	return back.Mul(colour.Diagonal(to[0]/from[0], to[1]/from[1], to[2]/from[2])).Mul(cones)
}
