// Package report holds the result of a check as plain structs and prints it: as
// text for the bench, as JSON for other programs.
package report

import (
	"encoding/json"
	"io"
	"time"

	"evenhide/colour"
	"evenhide/colour/tolerance"
)

// Version is the version of the JSON that Report becomes.
const Version = 1

// Report is the result of one check of some photos.
type Report struct {
	Version int     `json:"version"`
	Photos  []Photo `json:"photos"`
}

// Photo is what one photo gave. Error, with Hint, says why it gave nothing.
type Photo struct {
	File        string       `json:"file"`
	Width       int          `json:"width"` // upright pixels
	Height      int          `json:"height"`
	Profile     string       `json:"profile"` // "" when the photo has none and sRGB was taken
	Taken       string       `json:"taken"`   // RFC 3339, or "" when the photo does not say
	Camera      string       `json:"camera"`
	Error       string       `json:"error"`
	Hint        string       `json:"hint,omitempty"`
	Card        *Card        `json:"card"`
	Sheet       *Sheet       `json:"sheet"`
	Calibration *Calibration `json:"calibration"`
	Reference   *Reference   `json:"reference"`
	Hide        *BareHide    `json:"hide,omitempty"` // in the card's window
	Pieces      []Piece      `json:"pieces"`
	// Kept is the number of the check that the shade book keeps of this photo, and
	// KeptPieces what the pieces are called there; KeptBefore says that it did so already.
	Kept       int64    `json:"kept,omitempty"`
	KeptPieces []string `json:"kept_pieces,omitempty"`
	KeptBefore bool     `json:"kept_before,omitempty"`
}

// Whole returns the pieces in reading order, without the zones, which are parts of them.
func (p *Photo) Whole() (whole []*Piece) {
	for i := range p.Pieces {
		if !p.Pieces[i].Zone {
			whole = append(whole, &p.Pieces[i])
		}
	}
	return whole
}

// Numbered returns the piece of that number in reading order, from 1; nil for none.
func (p *Photo) Numbered(number int) *Piece {
	if whole := p.Whole(); number >= 1 && number <= len(whole) {
		return whole[number-1]
	}
	return nil
}

// Card is the card that was found in the photo; nil when greys were given.
type Card struct {
	Serial     string        `json:"serial"`
	Codes      int           `json:"codes"` // read: 2, or 1 when the other was hidden
	ResidualPx float64       `json:"residual_px"`
	EdgeMM     float64       `json:"edge_mm"`  // width of its print's edges as seen, 10 to 90 %; 0 when none could be followed
	Measured   bool          `json:"measured"` // its greys' L* were measured, not nominal
	Outline    [4][2]float64 `json:"outline"`  // pixels, clockwise from its own top left
}

// Sheet is what the sheet told of the light; nil when no sheet could be used and
// the light was taken for even.
type Sheet struct {
	UnevenPercent float64 `json:"uneven_percent"` // brightest over darkest place, less 100 %
	SharePercent  float64 `json:"share_percent"`  // of the photo that shows bare sheet
}

// Calibration says how the camera was undone.
type Calibration struct {
	Method         string   `json:"method"`
	Steps          []Step   `json:"steps"`
	LeftOutL       float64  `json:"left_out_L"` // RMS L* by which the others miss a step; 0 for one step
	ClippedPercent float64  `json:"clipped_percent"`
	Warnings       []string `json:"warnings"`
}

// Step is one neutral step.
type Step struct {
	L         float64    `json:"L"`
	Linear    [3]float64 `json:"linear"` // as the camera wrote it
	ResidualL float64    `json:"residual_L"`
	Used      bool       `json:"used"`
}

// Reference is the colour that pieces are held against.
type Reference struct {
	Source string     `json:"source"` // InFrame, Given or Kept
	Lab    [3]float64 `json:"lab"`
	// Of a kept one, whose it is, and the light, camera and time it was read in, RFC
	// 3339; SameLight says that this photo's light and camera are the same.
	Colour    string `json:"colour,omitempty"`
	Light     string `json:"light,omitempty"`
	Camera    string `json:"camera,omitempty"`
	Kept      string `json:"kept,omitempty"`
	SameLight bool   `json:"same_light,omitempty"`
}

// BareHide is the undyed hide that strengths are told against.
type BareHide struct {
	Lab [3]float64 `json:"lab"`
}

// Where a reference comes from.
const (
	InFrame = "in frame"
	Given   = "given"
	Kept    = "kept"
)

// Piece is one piece and its verdict. A piece that could not be measured has a
// verdict of retake and no Measures.
type Piece struct {
	Name string `json:"name"`
	Zone bool   `json:"zone,omitempty"` // a part judged on its own
	// Box is X, Y, W, H of what was measured, Outline runs round the whole piece;
	// both in pixels of the upright photo.
	Box     [4]int   `json:"box"`
	Outline [][2]int `json:"outline"`
	*Measures
	LeftOut LeftOut           `json:"left_out_percent"`
	Verdict tolerance.Verdict `json:"verdict"`
	Reasons []string          `json:"reasons"`
	Hint    string            `json:"hint,omitempty"`
}

// Measures are a piece's figures: L*, a*, b* under D65, 2°; ΔE00 and its parts,
// piece less reference; U is half the width of Interval, which holds the true
// ΔE00 with 95 % probability.
type Measures struct {
	Lab [3]float64 `json:"lab"`
	// LabCov is the covariance of Lab less the reference's, as far as no other photo
	// against the same reference has it in common: with it pieces of two photos can be compared.
	LabCov   [3][3]float64 `json:"lab_cov"`
	DE00     float64       `json:"de00"`
	DL       float64       `json:"dL"`
	DC       float64       `json:"dC"`
	DH       float64       `json:"dH"`
	U        float64       `json:"u"`
	Interval [2]float64    `json:"interval"`
	Words    string        `json:"words"`
	Depth    *Depth        `json:"depth,omitempty"` // with bare hide in the photo
	Blotch   Blotch        `json:"blotch"`
}

// Depth is how strongly a piece or a dab is dyed, 1 as strongly as its reference, and the
// ΔE00 that is left at equal strength, each with its 95 % interval. It is relative, read
// from a camera's three channels, and no strength after ISO 105-Z10.
type Depth struct {
	Strength      float64    `json:"strength"`
	Interval      [2]float64 `json:"interval"`
	ShadeDE00     float64    `json:"shade_de00"`
	ShadeInterval [2]float64 `json:"shade_interval"`
	Words         string     `json:"words"`
}

// Blotch is how uneven a piece is.
type Blotch struct {
	RMS             float64 `json:"rms_de00"`
	P95             float64 `json:"p95_de00"`
	MottleL         float64 `json:"mottle_L"`
	GraininessL     float64 `json:"graininess_L"`
	LuminanceCV     float64 `json:"luminance_cv"`
	SlopeL          float64 `json:"slope_L"`
	StreakCoherence float64 `json:"streak_coherence"`
	StreakDeg       float64 `json:"streak_deg"`
	Streaky         bool    `json:"streaky"`
	Tile            string  `json:"tile"`
}

// LeftOut is the share of a piece's surface that was not measured.
type LeftOut struct {
	Glare   float64 `json:"glare"`
	Clipped float64 `json:"clipped"`
}

// Triple returns c as the JSON has it.
func Triple(c colour.Lab) [3]float64 { return [3]float64{c.L, c.A, c.B} }

// Time returns t as the JSON has it.
func Time(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.RFC3339)
}

// WriteJSON prints a result, or a list of records, as one JSON object.
func WriteJSON(w io.Writer, result any) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", " ")
	enc.SetEscapeHTML(false)
	return enc.Encode(result)
}
