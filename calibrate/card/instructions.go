package card

// part is a heading of the instructions and what stands under it.
type part struct {
	heading string
	items   []string
}

// instructions returns the text of the printed page on using the card.
func instructions() []part {
	return []part{
		{"Print", []string{
			"Use plain matt white paper, not glossy. Choose “actual size” or 100 %, not “fit to page”, and the printer's best quality in grey.",
			"Check the scale with a ruler before you cut. Let inkjet print dry for an hour, then glue the card to stiff board.",
		}},
		{"Lay out", []string{
			"Spread one plain white sheet, larger than everything you photograph, on a flat table. Card and pieces lie on it.",
			"Lay or glue a dyed swatch of the colour you want in the window “swatch”, and a piece of the same hide without dye in “hide”. Cover the windows fully and leave the black corners bare.",
			"Swatch, hide and pieces are dry, flat and at the finish you sell. Lay the pieces near the card, not on it, with a finger's width of white between.",
		}},
		{"Photograph", []string{
			"One soft light from the side: a window out of the sun, or a lamp through white cloth. Turn the other lamps off, and use no flash.",
			"No shadow of you or the phone on the sheet, and no shine on the leather. If it shines, turn the sheet.",
			"Hold the phone straight above, level with the table, and fill the frame with card and pieces. Both codes must be in the picture.",
			"Tap on the card to focus. Switch off filters, HDR and night mode, and leave the picture as the camera made it.",
		}},
		{"Look after the card", []string{
			"Keep it flat, clean and out of the sun: print and swatch fade. Print a new one when a grey is scuffed or stained.",
			"A swatch is a reference only while it stays as dyed. Renew it from a piece you would ship, and note the day.",
		}},
		{"With dyes, take care", []string{
			"Wear gloves, keep the air moving, and read the maker's safety data sheet before you open the bottle.",
			"Keep to the rules of your place for storing dyes and for pouring them away.",
		}},
	}
}
