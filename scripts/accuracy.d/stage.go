package main

import (
	"bytes"
	"encoding/json"
	"os"
	"sync"

	"evenhide/calibrate/scene"
	"evenhide/calibrate/scene/cardprint"
)

// serial is the card's.
const serial = "4F7K2Q"

// stage makes photos of the printed card in a folder.
type stage struct {
	print   scene.Print
	spectra *scene.Spectra
	level   scene.Disturbance
	dir     string

	mu    sync.Mutex
	shots map[string]*shot // by path
}

// shot is a photo, taken once.
type shot struct {
	once  sync.Once
	truth scene.Truth
	err   error
}

func newStage(level scene.Disturbance, dir string) (*stage, error) {
	print, err := cardprint.New(serial)
	if err != nil {
		return nil, err
	}
	spectra, err := scene.Load(os.DirFS("testdata/spectra"))
	if err != nil {
		return nil, err
	}
	return &stage{dir: dir, shots: map[string]*shot{}, level: level, spectra: spectra, print: print}, nil
}

// scene draws the seed-th scene in the given light.
func (st *stage) scene(seed uint64, light string) scene.Scene {
	return scene.RandomOn(st.print, seed, st.level).In(light)
}

// again draws another photo of the colour of sc, by the same phone with the same
// card, in the given light: laid out anew and lit from elsewhere.
func (st *stage) again(sc scene.Scene, seed uint64, light string) scene.Scene {
	out := st.scene(seed, light)
	out.Layers[0].Seed, out.Layers[0].Paper, out.Layers[0].Error = sc.Seed, sc.Layers[0].Paper, sc.Layers[0].Error
	was := sc.Camera
	out.Camera.Sensor, out.Camera.MatrixLight, out.Camera.Tone, out.Camera.P3 = was.Sensor, was.MatrixLight, was.Tone, was.P3
	out.Law = sc.Law
	materials := map[scene.Kind][]scene.Material{}
	for _, it := range sc.Items {
		materials[it.Kind] = append(materials[it.Kind], it.Material)
	}
	for i := range out.Items {
		it := &out.Items[i]
		if of := materials[it.Kind]; len(of) > 0 {
			it.Material = of[i%len(of)]
		}
	}
	return out
}

// shoot renders sc into a JPEG at path, with the truth beside it. What was shot
// before, in this run or an earlier one, is taken as it is.
func (st *stage) shoot(sc scene.Scene, path string) (scene.Truth, error) {
	st.mu.Lock()
	s := st.shots[path]
	if s == nil {
		s = new(shot)
		st.shots[path] = s
	}
	st.mu.Unlock()
	s.once.Do(func() { s.truth, s.err = st.render(sc, path) })
	return s.truth, s.err
}

func (st *stage) render(sc scene.Scene, path string) (truth scene.Truth, err error) {
	if text, err := os.ReadFile(path + ".truth"); err == nil && json.Unmarshal(text, &truth) == nil {
		return truth, nil
	}
	img, truth, err := scene.Render(sc, st.spectra)
	if err != nil {
		return truth, err
	}
	truth.Levels = nil // large, and of no use here
	var buf bytes.Buffer
	if err := scene.WriteJPEG(&buf, img, scene.File{Quality: 80 + int(sc.Seed%16), P3: sc.Camera.P3}); err != nil {
		return truth, err
	}
	text, err := json.Marshal(truth)
	if err != nil {
		return truth, err
	}
	if err := os.WriteFile(path, buf.Bytes(), 0o644); err != nil {
		return truth, err
	}
	return truth, os.WriteFile(path+".truth", text, 0o644)
}
