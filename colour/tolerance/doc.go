// Package tolerance decides: how far two readings differ in CIEDE2000 and how sure
// that is, from the readings' own scatter, from what they share and from what a
// camera sees otherwise than the eye; and what a maker should do about it, given
// limits of colour and of blotch and how strongly the piece is dyed. It knows
// neither photos nor records.
package tolerance
