package surface

import "evenhide/colour"

// LeftOut returns the cells of region r that Measure with the same arguments
// leaves out as glare or clipped; no cells when it leaves out none or cannot
// measure at all. It is apart from Measure because only a picture needs to know.
func LeftOut(f *colour.Field, r Region, dev Develop, o Options) Region {
	v, err := newView(f, r)
	if err != nil {
		return Region{}
	}
	o, dev = o.filledIn(), dev.orNone()
	g := newGrid(v, newGlare(v, dev), o)
	if g.glare+g.clipped == 0 {
		return Region{}
	}
	out := Region{Rect: g.bounds()}
	out.In = make([]bool, out.Rect.Dx()*out.Rect.Dy())
	copy(out.In, g.lit)
	for i := range out.In {
		c := v.at(out.Rect.Min.X+i%out.Rect.Dx(), out.Rect.Min.Y+i/out.Rect.Dx())
		out.In[i] = c.in && (out.In[i] || !c.usable)
	}
	return out
}
