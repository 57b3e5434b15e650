// Package scene renders photos of scenes whose colours are known, from measured
// spectra of lights, cameras and the CIE observer, so that a reading can be held
// against a truth that the reading code had no part in. It has its own few lines
// of CIELAB, CIEDE2000 and output encoding for that reason.
//
// Everything is laid out in millimetres on the plane of the sheet, x to the
// right and y down as the photo sees it before rotation. A Scene's zero values
// are the undisturbed case: D65, a colorimetric camera, the plain sRGB curve, no
// noise, no blur, seen straight down. The same scene always gives the same
// picture, whatever the number of processors.
//
// What it does not model: demosaicing, noise reduction and sharpening, light
// bounced from one piece to the next, gloss that follows the angle, thickness
// beyond a cast shadow, and local tone mapping. The leather spectra and the dyes
// are invented (see Dyes); the lights, the observer, the chart and the camera
// sensitivities are measured.
package scene
