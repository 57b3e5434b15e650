package scene

import (
	"fmt"
	"io/fs"
	"math"
)

// Spectra holds the measured data that scenes are rendered from. It is read only
// once loaded and may be shared.
type Spectra struct {
	observer [3]Spectrum // CIE 1931 2°: x-bar, y-bar, z-bar
	lights   map[string]Spectrum
	cameras  map[string][3]Spectrum
	chart    []column // 24 patches
}

// The names of lights and cameras that Load reads.
const (
	D65          = "D65"    // CIE daylight, 6500 K
	D50          = "D50"    // CIE daylight, 5000 K
	Tungsten     = "A"      // CIE A, 2856 K
	CoolWhite    = "FL2"    // CIE FL2, halophosphate fluorescent, 4230 K
	Triphosphor  = "FL11"   // CIE FL11, three-band fluorescent, 4000 K
	NeutralLED   = "LED-B3" // CIE LED-B3, phosphor white, 4100 K
	WarmLED      = "PHOS-1" // NIST, phosphor white, 3000 K
	Ideal        = "ideal"  // the colorimetric camera: sees what the observer sees
	Nikon5100    = "nikon_5100"
	SigmaMerrill = "sigma_sd_merrill"
	IMX219       = "imx219" // a phone's sensor behind an infrared filter
)

// Lights returns the names of the lights.
func Lights() []string {
	return []string{D65, D50, NeutralLED, WarmLED, CoolWhite, Triphosphor, Tungsten}
}

// MatrixLights returns the lights for which a phone may have made the colour
// matrix that it uses in a light: it guesses how warm the light is and no more, so
// it takes daylight's by day, tungsten's by warm lamps, and either between. "" is
// the light itself.
func MatrixLights(light string) []string {
	switch light {
	case D65, D50:
		return []string{"", D65}
	case WarmLED, Tungsten:
		return []string{"", Tungsten}
	}
	return []string{"", D65, Tungsten}
}

// Cameras returns the names of the measured cameras.
func Cameras() []string { return []string{IMX219, Nikon5100, SigmaMerrill} }

// Load reads the spectra from the folder fsys, which is testdata/spectra of this
// module. The error names the file and what is wrong with it.
func Load(fsys fs.FS) (*Spectra, error) {
	s := &Spectra{lights: map[string]Spectrum{}, cameras: map[string][3]Spectrum{}}
	observer, err := readTriple(fsys, "observer_1931_2deg.csv")
	if err != nil {
		return nil, err
	}
	s.observer = observer
	lights, err := readTable(fsys, "lights.csv")
	if err != nil {
		return nil, err
	}
	for _, c := range lights {
		s.lights[c.name] = c.spectrum
	}
	for _, name := range Lights() {
		if sum(s.lights[name]) <= 0 {
			return nil, fmt.Errorf("spectra: lights.csv: no light called %s", name)
		}
	}
	for _, name := range Cameras() {
		if s.cameras[name], err = readTriple(fsys, "camera_"+name+".csv"); err != nil {
			return nil, err
		}
	}
	s.cameras[IMX219] = infraredCut(s.cameras[IMX219])
	s.chart, err = readTable(fsys, "chart24_reflectance.csv")
	return s, err
}

// readTriple reads a table of exactly three spectra, none of them all zero.
func readTriple(fsys fs.FS, name string) ([3]Spectrum, error) {
	columns, err := readTable(fsys, name)
	if err != nil {
		return [3]Spectrum{}, err
	}
	if len(columns) != 3 {
		return [3]Spectrum{}, fmt.Errorf("spectra: %s: %d spectra found, 3 wanted", name, len(columns))
	}
	var out [3]Spectrum
	for i, c := range columns {
		if sum(c.spectrum) <= 0 {
			return out, fmt.Errorf("spectra: %s: column %s holds nothing", name, c.name)
		}
		out[i] = c.spectrum
	}
	return out, nil
}

// infraredCut puts the filter before a bare sensor that a phone has: half
// transmission at 650 nm, falling from 0.9 to 0.1 within about 35 nm (invented).
func infraredCut(camera [3]Spectrum) [3]Spectrum {
	for c := range camera {
		for i := range camera[c] {
			camera[c][i] /= 1 + math.Exp((wavelength(i)-650)/8)
		}
	}
	return camera
}

func sum(s Spectrum) float64 {
	total := 0.0
	for _, v := range s {
		total += v
	}
	return total
}

// light returns the named light, "" being D65.
func (s *Spectra) light(name string) (Spectrum, error) {
	if name == "" {
		name = D65
	}
	l, ok := s.lights[name]
	if !ok {
		return l, fmt.Errorf("scene: no light called %q; there are %v", name, Lights())
	}
	return l, nil
}

// xyz returns the tristimulus values of a reflectance under a light, the perfect
// diffuser having Y = 1.
func (s *Spectra) xyz(reflectance, light *Spectrum) [3]float64 {
	var out [3]float64
	var k float64
	for i, l := range light {
		k += l * s.observer[1][i]
		for c := range out {
			out[c] += l * reflectance[i] * s.observer[c][i]
		}
	}
	for c := range out {
		out[c] /= k
	}
	return out
}

// white returns the tristimulus values of the perfect diffuser under a light.
func (s *Spectra) white(light *Spectrum) [3]float64 {
	perfect := spectrumOf(func(float64) float64 { return 1 })
	return s.xyz(&perfect, light)
}
