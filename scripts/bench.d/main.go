// Command bench.d times evenhide check as a person runs it, process start and all,
// against a process that only decodes the same JPEG with image/jpeg. The two take
// turns, so that whatever else the machine does falls on both.
package main

import (
	"bufio"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"

	"github.com/disintegration/imaging"
)

func main() {
	var err error
	switch os.Args[1] {
	case "decode":
		err = decode(os.Args[2])
	case "paint":
		err = paint(os.Args[2])
	case "enlarge":
		err = enlarge(os.Args[2])
	default:
		err = run(os.Args[1], os.Args[2])
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

// decode is the yardstick.
func decode(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	_, err = jpeg.Decode(bufio.NewReaderSize(f, 1<<16))
	return err
}

func run(program, dir string) error {
	fmt.Printf("%-16s %12s %11s %7s %11s %10s\n", "photo", "decode alone", "whole check", "ratio", "decode peak", "check peak")
	for _, p := range []struct {
		name, made string
		width      int
		places     []string
		rounds     int
	}{
		{"12 MP", "paint", 4000, places(4000), 15},
		{"48 MP", "paint", 8000, places(8000), 7},
		{"12 MP, the card", "enlarge", 4000, nil, 15},
	} {
		path := filepath.Join(dir, fmt.Sprintf("bench-%s-%d.jpg", p.made, p.width))
		// In a process of its own: what this one holds would count in the peaks of those it starts.
		if out, err := exec.Command(os.Args[0], p.made, path).CombinedOutput(); err != nil {
			return fmt.Errorf("%w\n%s", err, out)
		}
		args := append([]string{"check", path}, p.places...)
		var bare, whole sample
		for range p.rounds {
			if err := bare.add(os.Args[0], "decode", path); err != nil {
				return err
			}
			if err := whole.add(program, args...); err != nil {
				return err
			}
		}
		fmt.Printf("%-16s %9.0f ms %8.0f ms %7.2f %8.0f MB %7.0f MB\n",
			p.name, bare.ms(), whole.ms(), whole.ms()/bare.ms(), bare.peak, whole.peak)
	}
	return nil
}

// sample gathers the runs of one program.
type sample struct {
	times []time.Duration
	peak  float64 // MB, the largest resident set of any run
}

func (s *sample) add(program string, args ...string) error {
	cmd := exec.Command(program, args...)
	start := time.Now()
	out, err := cmd.CombinedOutput()
	s.times = append(s.times, time.Since(start))
	var exit *exec.ExitError
	if errors.As(err, &exit) && exit.ExitCode() == 1 { // a piece that does not ship
		err = nil
	}
	if err != nil {
		return fmt.Errorf("%s: %w\n%s", program, err, out)
	}
	if usage, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage); ok {
		s.peak = max(s.peak, float64(usage.Maxrss)/1024)
	}
	return nil
}

func (s *sample) ms() float64 {
	t := slices.Sorted(slices.Values(s.times))
	return float64(t[len(t)/2].Microseconds()) / 1000
}

// steps are the lightnesses of the painted grey steps and their 8-bit codes.
func steps() []step { return []step{{90, 226}, {70, 171}, {50, 119}, {30, 71}} }

type step struct {
	l    float64
	code uint8
}

// places are the options that name what paint fills in a photo of that width.
func places(width int) []string {
	u := width / 40
	args := []string{"--swatch", fmt.Sprintf("%d,%d,%d,%d", 20*u, 2*u, 6*u, 4*u),
		"--piece", fmt.Sprintf("left=%d,%d,%d,%d", 3*u, 10*u, 15*u, 16*u),
		"--piece", fmt.Sprintf("right=%d,%d,%d,%d", 21*u, 10*u, 15*u, 16*u)}
	for i, s := range steps() {
		args = append(args, "--grey", fmt.Sprintf("%d,%d,%d,%d=%g", (2+4*i)*u, 2*u, 3*u, 3*u, s.l))
	}
	return args
}

// widthIn returns the width that a photo's path ends with.
func widthIn(path string) (width int, err error) {
	_, err = fmt.Sscanf(path[strings.LastIndex(path, "-")+1:], "%d.jpg", &width)
	return width, err
}

// enlarge writes a demo photo, whose card and pieces are found, larger.
func enlarge(path string) error {
	width, err := widthIn(path)
	if err != nil {
		return err
	}
	small, err := imaging.Open("testdata/demo/bench.jpg")
	if err != nil {
		return err
	}
	return imaging.Save(imaging.Resize(small, width, width*3/4, imaging.Linear), path, imaging.JPEGQuality(92))
}

// paint writes a photo-like JPEG, 4:2:0 at quality 92: a lit sheet with noise,
// grey steps, a swatch and two grained brown pieces.
func paint(path string) error {
	width, err := widthIn(path)
	if err != nil {
		return err
	}
	height := width * 3 / 4
	img := image.NewYCbCr(image.Rect(0, 0, width, height), image.YCbCrSubsampleRatio420)
	r := rand.New(rand.NewPCG(1, 1))
	u := width / 40
	in := func(x, y, w, h, px, py int) bool { return px >= x*u && px < (x+w)*u && py >= y*u && py < (y+h)*u }
	for y := range height {
		for x := range width {
			c := color.RGBA{215, 213, 210, 255}
			grain := 2.0
			for i, s := range steps() {
				if in(2+4*i, 2, 3, 3, x, y) {
					c = color.RGBA{s.code, s.code, s.code, 255}
				}
			}
			switch {
			case in(20, 2, 6, 4, x, y), in(3, 10, 15, 16, x, y):
				c, grain = color.RGBA{120, 78, 48, 255}, 6
			case in(21, 10, 15, 16, x, y):
				c, grain = color.RGBA{128, 84, 52, 255}, 6
			}
			n := grain * (r.Float64() + r.Float64() - 1) * 2
			shade := 1 - .1*float64(x)/float64(width)
			lit := func(v uint8) uint8 { return uint8(math.Max(0, math.Min(250, float64(v)*shade+n))) }
			yy, cb, cr := color.RGBToYCbCr(lit(c.R), lit(c.G), lit(c.B))
			img.Y[img.YOffset(x, y)] = yy
			if x%2 == 0 && y%2 == 0 {
				img.Cb[img.COffset(x, y)], img.Cr[img.COffset(x, y)] = cb, cr
			}
		}
	}
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer f.Close()
	return jpeg.Encode(f, img, &jpeg.Options{Quality: 92})
}
