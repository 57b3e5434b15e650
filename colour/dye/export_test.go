package dye

// What TestStrengthFromSpectra, outside the package, holds to what it measures.
const (
	ModelShare = modelShare
	ShadeModel = shadeModel
)
