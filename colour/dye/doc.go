// Package dye measures how strong a dyeing is against a reference, with
// Kubelka-Munk K/S: what each further part of dye adds to K/S is the same, so
// that the strength of one dyeing over another is the ratio of what each adds to
// the bare hide's.
//
// Hide, reference and sample must have been read in the same light, on an
// absolute scale: linear RGB with 1,1,1 for a perfect white. A common factor on
// all three does not cancel, because K/S bends with reflectance.
//
// A camera has three broad bands where an instrument has thirty narrow ones.
// What comes back is a pseudo-strength: relative, from a photo, good for telling
// a thick bottle from a right one. It is never a figure of ISO 105-Z10, which is
// measured on dye in solution, nor the strength that an instrument gives at the
// wavelength of most absorption.
//
// K/S is taken in the three bands of ITU-R BT.2020 rather than in the working
// space, where vivid yellows and reds have a channel at or below 0. Blends of several
// dyes are worked out at each 10 nm instead, from the smooth spectra that the dabs
// make likely: of three bands, mixtures came out wrong by 1.1 ΔE00 on average, of
// spectra by 0.4.
package dye
