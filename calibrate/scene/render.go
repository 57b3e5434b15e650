package scene

import (
	"image"
	"math"
	"math/rand/v2"
	"runtime"
	"sync"
	"sync/atomic"

	"evenhide/colour"
)

// bandRows is how many rows are rendered together; the lens blur needs a few
// more on either side, so that memory stays small at 50 megapixels.
const bandRows = 64

// Render returns the photo of a scene, as the camera encodes it, and the truth
// about what it shows. It uses every processor, and the picture does not depend
// on how many there are. An unknown light or camera, a picture under 16 or over
// 100 million pixels, and an item without an area are errors.
func Render(sc Scene, spectra *Spectra) (*image.RGBA, Truth, error) {
	s, err := newStage(&sc, spectra)
	if err != nil {
		return nil, Truth{}, err
	}
	img := image.NewRGBA(image.Rect(0, 0, sc.Width, sc.Height))
	d := s.newDeveloper()
	bands := (sc.Height + bandRows - 1) / bandRows
	parallel(bands, func(k int) { s.band(img, d, k*bandRows, min((k+1)*bandRows, sc.Height)) })
	return img, s.truth(), nil
}

// parallel calls do(0) to do(n-1) on every processor and waits for them.
func parallel(n int, do func(i int)) {
	var next atomic.Int64
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	wait.Wait()
}

// band renders rows y0..y1 of the picture.
func (s *stage) band(img *image.RGBA, d *developer, y0, y1 int) {
	kernel := gaussian(s.Camera.Blur)
	reach := len(kernel) - 1
	top, bottom := max(y0-reach, 0), min(y1+reach, s.Height)
	stride := 3 * s.Width
	light := make([]float32, stride*(bottom-top))
	bodies := s.within(top, bottom)
	row := make([]float32, stride)
	for y := top; y < bottom; y++ {
		out := light[(y-top)*stride:][:stride]
		s.row(row, y, bodies)
		blurRow(out, row, kernel)
	}
	for y := y0; y < y1; y++ {
		clear(row)
		for k, weight := range kernel {
			for _, at := range [2]int{y - k, y + k} {
				from := light[(min(max(at, top), bottom-1)-top)*stride:][:stride]
				for i := range row {
					row[i] += weight * from[i]
				}
				if k == 0 {
					break
				}
			}
		}
		d.row(img.Pix[y*img.Stride:][:4*s.Width], row, y)
	}
}

// within returns the bodies that may be seen in rows top..bottom.
func (s *stage) within(top, bottom int) []*body {
	var out []*body
	for _, b := range s.bodies {
		lo, hi := bounds(s.outlinePixels(b))
		if hi.Y >= float64(top)-2 && lo.Y <= float64(bottom)+2 {
			out = append(out, b)
		}
	}
	return out
}

// row fills out with the light of picture row y, before the lens blur.
func (s *stage) row(out []float32, y int, bodies []*body) {
	for x := range s.Width {
		c := s.ray(s.toMM.At(Point{float64(x) + .5, float64(y) + .5}), bodies)
		out[3*x], out[3*x+1], out[3*x+2] = c[0], c[1], c[2]
	}
}

// blurRow blurs one row of three channels; the edge pixels go on beyond it.
func blurRow(out, in []float32, kernel []float32) {
	n := len(in) / 3
	for x := range n {
		for c := range 3 {
			v := kernel[0] * in[3*x+c]
			for k := 1; k < len(kernel); k++ {
				v += kernel[k] * (in[3*max(x-k, 0)+c] + in[3*min(x+k, n-1)+c])
			}
			out[3*x+c] = v
		}
	}
}

// developer turns the light on the sensor into a picture.
type developer struct {
	*stage
	exposure, corner float64
	veil             [3]float64
	matrix           [3][3]float32
	codes            []uint8
}

// codeSteps is the fineness of the table from light to code: at the steepest
// part of the curve a step is a twentieth of a code.
const codeSteps = 1 << 16

func (s *stage) newDeveloper() *developer {
	c := &s.Camera
	d := &developer{stage: s, exposure: math.Exp2(c.Exposure), codes: c.Tone.codes(codeSteps)}
	d.corner = math.Hypot(float64(s.Width), float64(s.Height)) / 2
	matrix := colour.Diagonal(1+c.WhiteBalance[0], 1, 1+c.WhiteBalance[1]).Mul(s.eye.develop)
	if c.P3 {
		matrix = srgbToP3().Mul(matrix)
	}
	for i, row := range matrix {
		for j, v := range row {
			d.matrix[i][j] = float32(v)
		}
	}
	if c.Flare > 0 {
		mean := s.meanLight()
		for i := range d.veil {
			d.veil[i] = c.Flare * mean[i]
		}
	}
	return d
}

// srgbToP3 returns linear sRGB to linear Display P3, from the primaries of both
// (the matrices agree with the published ones to seven decimals).
func srgbToP3() colour.Matrix {
	p3 := colour.Matrix{
		{.4865709, .2656677, .1982173}, {.2289746, .6917385, .0792869}, {0, .0451134, 1.0439444},
	}
	toP3, _ := p3.Inverse()
	toXYZ, _ := linearSRGB().Inverse()
	return toP3.Mul(toXYZ)
}

// meanLight returns the picture's mean light from every 16th pixel each way.
func (s *stage) meanLight() [3]float64 {
	var mean [3]float64
	n := 0.0
	for y := 8; y < s.Height; y += 16 {
		for x := 8; x < s.Width; x += 16 {
			c := s.ray(s.toMM.At(Point{float64(x) + .5, float64(y) + .5}), s.bodies)
			for i := range mean {
				mean[i] += float64(c[i])
			}
			n++
		}
	}
	for i := range mean {
		mean[i] /= n
	}
	return mean
}

// row develops one row of light into RGBA codes. The sensor clips at full scale
// before the colour matrix, as real ones do; noise is put in after it, as much as
// is left of it in a photo.
func (d *developer) row(pix []uint8, light []float32, y int) {
	rng := rand.New(rand.NewPCG(d.Seed, 1<<32+uint64(y)))
	c := &d.Camera
	noisy := c.Shot > 0 || c.Read > 0
	dy := float64(y) + .5 - float64(d.Height)/2
	for x := range d.Width {
		dx := float64(x) + .5 - float64(d.Width)/2
		k := d.exposure * (1 - c.Vignette*(dx*dx+dy*dy)/(d.corner*d.corner))
		var raw [3]float32
		for i := range raw {
			raw[i] = float32(min((float64(light[3*x+i])+d.veil[i])*k, 1))
		}
		for i, m := range d.matrix {
			v := float64(m[0]*raw[0] + m[1]*raw[1] + m[2]*raw[2])
			if noisy {
				v += math.Sqrt(c.Shot*max(v, 0)+c.Read*c.Read) * rng.NormFloat64()
			}
			pix[4*x+i] = d.codes[int(min(max(v, 0), 1)*(codeSteps-1)+.5)]
		}
		pix[4*x+3] = 255
	}
}
