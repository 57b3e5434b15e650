package main

import (
	"fmt"
	"image"
	"math"
	"strconv"
	"strings"

	"evenhide/calibrate/refusal"
	"evenhide/cmd/internal/check"
	"evenhide/colour"
)

// greyPlaces reads the values of --grey, X,Y,W,H=L. The same place may not be
// given twice: the second L* would contradict the first.
func greyPlaces(command string, texts []string) ([]check.Place, error) {
	var places []check.Place
	for _, text := range texts {
		option := "--grey " + text
		where, lightness, found := strings.Cut(text, "=")
		if !found {
			return nil, misuse(command, "%s: wanted X,Y,W,H=L with the grey's L*", option)
		}
		rect, err := parseRect(command, "--grey", where)
		if err != nil {
			return nil, err
		}
		l, err := strconv.ParseFloat(lightness, 64)
		if err != nil || !(l > 0 && l <= 100) {
			return nil, misuse(command, "%s: L* %q is not a number above 0 and up to 100", option, lightness)
		}
		if lightness == "18" || l < 1 {
			return nil, refusal.New(nil, "L* runs from 0 to 100: a grey that reflects 18 % has L* 49.5; write 18.0 if the grey really is that dark",
				"%s: that looks like a reflectance, not L*", option)
		}
		for _, other := range places {
			if other.Rect == rect {
				return nil, misuse(command, "%s: that place is given twice", option)
			}
		}
		places = append(places, check.Place{Option: option, L: l, Rect: rect})
	}
	return places, nil
}

// piecePlaces reads the values of --piece, [NAME=]X,Y,W,H, and of --zone,
// NAME=X,Y,W,H. Pieces without a name are numbered; no name may come twice.
func piecePlaces(pieces, zones []string) (p, z []check.Place, err error) {
	seen := map[string]bool{}
	read := func(option, text, name string) (check.Place, error) {
		where := text
		if at := strings.LastIndex(text, "="); at >= 0 {
			name, where = text[:at], text[at+1:]
		}
		rect, err := parseRect("check", option, where)
		switch {
		case err != nil:
			return check.Place{}, err
		case name == "":
			return check.Place{}, misuse("check", "%s %s: it has no name", option, text)
		case seen[name]:
			return check.Place{}, misuse("check", "%s %s: the name is given twice", option, text)
		}
		seen[name] = true
		return check.Place{Option: option + " " + text, Name: name, Rect: rect}, nil
	}
	for i, text := range pieces {
		place, err := read("--piece", text, strconv.Itoa(i+1))
		if err != nil {
			return nil, nil, err
		}
		p = append(p, place)
	}
	for _, text := range zones {
		place, err := read("--zone", text, "")
		if err != nil {
			return nil, nil, err
		}
		z = append(z, place)
	}
	return p, z, nil
}

// parseRect reads X,Y,W,H, whole pixels: X, Y from 0, W, H from 1.
func parseRect(command, option, text string) (image.Rectangle, error) {
	fields := strings.Split(text, ",")
	if len(fields) != 4 {
		return image.Rectangle{}, misuse(command, "%s %s: wanted four whole numbers X,Y,W,H, found %d", option, text, len(fields))
	}
	var v [4]int
	for i, f := range fields {
		n, err := strconv.Atoi(strings.TrimSpace(f))
		const most = 1 << 20 // pixels: no photo is that wide
		switch {
		case err != nil:
			return image.Rectangle{}, misuse(command, "%s %s: %q is not a whole number", option, text, f)
		case n < 0 || n > most:
			return image.Rectangle{}, misuse(command, "%s %s: %d is not between 0 and %d", option, text, n, most)
		case n == 0 && i >= 2:
			return image.Rectangle{}, misuse(command, "%s %s: the place has no size", option, text)
		}
		v[i] = n
	}
	return image.Rect(v[0], v[1], v[0]+v[2], v[1]+v[3]), nil
}

// parseLab reads L,a,b.
func parseLab(command, option, text string) (colour.Lab, error) {
	fields := strings.Split(text, ",")
	if len(fields) != 3 {
		return colour.Lab{}, misuse(command, "%s %s: wanted three numbers L,a,b, found %d", option, text, len(fields))
	}
	var v [3]float64
	for i, f := range fields {
		n, err := strconv.ParseFloat(strings.TrimSpace(f), 64)
		const most = 200 // no real surface's a* or b* comes near
		if err != nil || !(math.Abs(n) <= most) || (i == 0 && !(n >= 0 && n <= 100)) {
			return colour.Lab{}, misuse(command, "%s %s: %s", option, text, fmt.Sprintf("%q is no L*, a* or b*", f))
		}
		v[i] = n
	}
	return colour.Lab{L: v[0], A: v[1], B: v[2]}, nil
}
