// Package card is evenhide's printed card: its geometry in one table, the card
// drawn from that table as PDF, PNG or SVG, and the finder that recovers the
// card's place in a photo.
//
// The card is a strip with a code (ISO/IEC 18004) at each end, a row of grey
// steps twice in opposite order, and two windows, swatch and hide, in which real
// leather lies. Lengths on the card are Millimetres from its top left corner,
// positions in a photo are Pixels; the two do not mix, and a Found turns one
// into the other.
package card

// Mark is in every file of a card.
const Mark = "evenhide card"
