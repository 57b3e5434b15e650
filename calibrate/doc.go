// Package calibrate turns the linear values that a photo's file holds into the
// reflectances of the scene: it reads neutral steps, undoes the camera's tone
// curve and white balance by them, and says how well that went.
//
// It also finds what lies around the steps: FindSheet the plain sheet under
// everything and the Light that falls on it, which Calibration.LightOfCopies takes
// from the steps where no sheet shows it, and Sheet.Pieces the pieces on the sheet,
// each with its outline and what is wrong with how it lies. It knows neither verdicts
// nor records.
package calibrate
