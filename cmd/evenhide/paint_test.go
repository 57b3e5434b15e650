package main

import (
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"
)

// paint makes a picture for a script: paint FILE WxH [X,Y,W,H=R,G,B]..., on white
// that no camera clips.
func paint(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: paint FILE WxH [X,Y,W,H=R,G,B]...")
	}
	number := func(s string) int {
		n, err := strconv.Atoi(s)
		ts.Check(err)
		return n
	}
	numbers := func(s, sep string) (out []int) {
		for _, f := range strings.Split(s, sep) {
			out = append(out, number(f))
		}
		return out
	}
	size := numbers(args[1], "x")
	img := image.NewRGBA(image.Rect(0, 0, size[0], size[1]))
	fill := func(r image.Rectangle, c []int) {
		draw.Draw(img, r, image.NewUniform(color.RGBA{uint8(c[0]), uint8(c[1]), uint8(c[2]), 255}), image.Point{}, draw.Src)
	}
	fill(img.Rect, []int{240, 240, 240})
	for _, a := range args[2:] {
		where, colour, _ := strings.Cut(a, "=")
		p := numbers(where, ",")
		fill(image.Rect(p[0], p[1], p[0]+p[2], p[1]+p[3]), numbers(colour, ","))
	}
	f, err := os.Create(ts.MkAbs(args[0]))
	ts.Check(err)
	defer f.Close()
	if filepath.Ext(args[0]) == ".png" {
		ts.Check(png.Encode(f, img))
		return
	}
	ts.Check(jpeg.Encode(f, img, &jpeg.Options{Quality: 95}))
}
