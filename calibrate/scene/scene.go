package scene

import (
	"image"

	"evenhide/colour"
)

// Scene is what lies before the camera and how it is photographed. Lengths are
// in mm, angles in degrees clockwise as seen, unless a field says otherwise.
type Scene struct {
	Seed          uint64
	Width, Height int // pixels of the picture
	View          View
	Light         Lighting
	Camera        Camera
	Sheet         Sheet
	Layers        []Layer // printed pictures, on the sheet, under the items
	Items         []Item  // later ones lie on earlier ones

	// Law is the exponent with which absorption grows with dye strength: 0 or 1
	// is Kubelka-Munk's proportion, 0.85 a dye that gains less from each coat.
	Law float64
}

// View is where the camera looks from.
type View struct {
	Centre    Point   // the place in the middle of the picture
	Across    float64 // mm across the picture's width there; 0 is the sheet's width
	Rotation  float64 // of the picture about its middle
	Tilt      float64 // from straight down, 0..60
	Direction float64 // towards which the far side lies
}

// Lighting is one light and what stands in its way.
type Lighting struct {
	Name string // "" is D65
	// Lamp is the lamp's place, Height above the sheet; Height 0 is even light.
	Lamp   Point
	Height float64
	// Shadow is how much light the cast shadows of lifted items take, 0..1; they
	// fall towards Angle, ShadowLength times the item's lift away, blurred by
	// ShadowBlur mm.
	Shadow, Angle, ShadowLength, ShadowBlur float64
	// Edge is the shadow of something outside the picture.
	Edge ShadowEdge
}

// ShadowEdge is a straight shadow: beyond Offset mm from the origin in the
// direction Angle the light falls by Depth, 0..1, within Width mm.
type ShadowEdge struct{ Depth, Angle, Offset, Width float64 }

// Camera is the lens, sensor and rendering.
type Camera struct {
	Sensor string // "" is the colorimetric camera
	// MatrixLight is the light under which the camera's colour matrix was made;
	// "" is the light of the scene.
	MatrixLight string
	// WhiteBalance is by what fraction red and blue are out in linear sRGB, after
	// the camera's matrix, 0.05 being 5 % high.
	WhiteBalance [2]float64
	Exposure     float64 // stops; 0 puts the perfect diffuser at full scale
	Blur         float64 // sigma of the lens blur in pixels
	Vignette     float64 // light lost in the picture's corners, 0..1
	Flare        float64 // veil over the picture, as a fraction of its mean
	Shot, Read   float64 // noise in the developed linear photo: variance per unit of light; sd at no light
	Tone         Tone
	P3           bool // encode as Display P3 instead of sRGB
}

// Sheet is the paper under everything, its corner at the origin, on a bench.
// Without a size it has no end.
type Sheet struct {
	W, H    float64
	Colour  colour.Lab // D65; the zero value is a perfect white
	Texture float64    // relative sd of a fine paper texture
	Bench   colour.Lab // D65; zero is a mid-brown wood
	Plank   float64    // width of the bench's planks; 0 is a plain bench
}

// Layer is a printed picture: 255 is bare paper, lower values what a printer
// makes of that sRGB grey, down to its blackest ink.
type Layer struct {
	Image      *image.Gray
	MMPerPixel float64
	Pose       Pose       // of the picture's top left corner
	Paper      colour.Lab // D65
	// Error is by how many L* (RMS) printed greys miss, partly along a smooth curve,
	// partly each on its own; bare paper does not miss. Seed draws it, so that
	// one card can lie in many photos; 0 is the scene's own.
	Error float64
	Seed  uint64
}

// Kind is what an item is to the reader of the photo.
type Kind string

// The kinds of item.
const (
	Step   Kind = "step"
	Swatch Kind = "swatch"
	Hide   Kind = "hide"
	Piece  Kind = "piece"
	Other  Kind = "other"
)

// Item is one flat thing on the sheet.
type Item struct {
	Name     string
	Kind     Kind
	Outline  []Point // in its own frame, without repeated first point
	Holes    []Circle
	Pose     Pose
	Material Material
	Surface  Surface
	Lift     float64 // thickness, which casts the shadow
	// NominalL is what a grey step is said to be; the truth is its material's.
	NominalL float64
}

// Surface is how an item departs from being even. Differences are ΔE00 under
// D65; places and angles are in the item's frame.
type Surface struct {
	// Blotch is the RMS difference of the 1.27 mm tiles from their mean that
	// patchy strength alone makes; BlotchSize its correlation length, 0 being 8.
	Blotch, BlotchSize float64
	// Streak is the same for strength that varies across lines in the direction
	// StreakAngle, StreakWidth wide (0 being 3) and 20 times as long.
	Streak, StreakAngle, StreakWidth float64
	// Slope is the difference from one end of the item to the other, the end
	// towards SlopeAngle being the stronger.
	Slope, SlopeAngle float64
	// HideL is by how many L* the bare hide under the dye is lighter than usual;
	// HideVariation the RMS by which it varies from place to place (over 40 mm).
	HideL, HideVariation float64
	Grain                float64 // relative sd of the light from the fine texture
	Edge                 float64 // width of a burnished, darker edge
	Crease               float64 // inset of a tooled line along the outline; 0 none
	Tooling              []Line
	Stitch               Stitch
	Fittings             []Fitting
	Glare                []Glare
	Damp                 []Damp
}

// Stitch is a seam along the outline. Inset 0 is none.
type Stitch struct {
	Inset, Pitch float64
	Thread       colour.Lab
}

// Fitting is a round metal part.
type Fitting struct {
	Circle
	Metal colour.Lab
}

// Damp is a round place that has drawn water: what lies in it, dye and hide, absorbs
// More times as strongly against what it scatters, 1 to 1.8. It is no part of the
// dyeing, and the shine of it is Glare.
type Damp struct {
	Circle
	More float64
}

// Glare is a round spot that shines: Strength is what it adds to the light at
// its middle, 1 being a perfect white.
type Glare struct {
	Circle
	Strength float64
}
