package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"

	"evenhide/calibrate/scene"
	"evenhide/calibrate/scene/cardprint"
)

// render returns JPEGs of one colour's pieces on the card: the same scene in
// several lights, each with dyeing, paper and noise of its own.
func render(scenes, width int) (photos [][]byte, err error) {
	spectra, err := scene.Load(os.DirFS("testdata/spectra"))
	if err != nil {
		return nil, err
	}
	print, err := cardprint.New("4F7K2Q")
	if err != nil {
		return nil, err
	}
	lights := []string{scene.D65, scene.D50, scene.NeutralLED, scene.WarmLED}
	for i := range scenes {
		sc := scene.RandomOn(print, 3, scene.Calm).In(lights[i%len(lights)])
		sc.Layers[0].Seed = sc.Seed // one print of the card
		sc.Seed += uint64(i)
		sc.Width, sc.Height = width, width*3/4
		picture, _, err := scene.Render(sc, spectra)
		if err != nil {
			return nil, err
		}
		var file bytes.Buffer
		if err := scene.WriteJPEG(&file, picture, scene.File{Quality: 90}); err != nil {
			return nil, err
		}
		photos = append(photos, file.Bytes())
	}
	return photos, nil
}

// copies writes n photos into a new folder: the rendered ones in turn, each with a
// comment of its own in the file, so that no two have the same bytes. Rendering
// all of them would take an hour and try nothing more.
func copies(dir string, n int, photos [][]byte) error {
	if err := os.RemoveAll(dir); err != nil {
		return err
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return err
	}
	for i := range n {
		photo := photos[i%len(photos)]
		text := fmt.Sprintf("photo %06d", i)
		comment := append([]byte{0xff, 0xfe, 0, byte(2 + len(text))}, text...)
		data := append(append(append([]byte{}, photo[:2]...), comment...), photo[2:]...) // after the marker that begins a JPEG
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("IMG_%04d.jpg", i)), data, 0o666); err != nil {
			return err
		}
	}
	return nil
}
