// Package calibrate turns the linear values that a photo's file holds into the
// reflectances of the scene: it reads neutral steps, undoes the camera's tone
// curve and white balance by them, and says how well that went. It knows neither
// verdicts nor records.
package calibrate
