package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"evenhide/cmd/internal/check"
	"evenhide/cmd/internal/picture"
)

// pictures draws each photo of a check into a file of its own.
type pictures struct {
	paths []string // by photo
	err   error    // the first picture that could not be written
}

// newPictures names the pictures of the photos after path, numbered when there
// are several photos. It refuses names that cannot be written or are of files that are
// no such pictures. It returns nil for no path.
func newPictures(path string, photos []string) (*pictures, error) {
	if path == "" {
		return nil, nil
	}
	p := &pictures{}
	for i := range photos {
		name := path
		if len(photos) > 1 {
			ending := filepath.Ext(path)
			name = fmt.Sprintf("%s-%d%s", strings.TrimSuffix(path, ending), i+1, ending)
		}
		if err := picture.Check(name); err != nil {
			return nil, err
		}
		p.paths = append(p.paths, name)
	}
	return p, nil
}

// shown returns rq with the picture of the i-th photo drawn.
func (p *pictures) shown(i int, rq check.Request) check.Request {
	if p != nil {
		rq.Show = func(s picture.Subject) { p.draw(i, s) }
	}
	return rq
}

// draw writes the picture of the i-th photo.
func (p *pictures) draw(i int, s picture.Subject) {
	if err := picture.Write(p.paths[i], picture.Draw(s)); err != nil && p.err == nil {
		p.err = err
	}
}

// failed returns why a picture is missing.
func (p *pictures) failed() error {
	if p == nil {
		return nil
	}
	return p.err
}
