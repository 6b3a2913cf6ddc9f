package part

import (
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/mesh"
)

// View is what a picture of the part needs: its triangles and the middle of its
// thickest section, in mm.
type View struct {
	ThickAt [3]float64

	mesh  *mesh.Mesh
	scale float64
}

// Triangles is how many there are.
func (v View) Triangles() int { return v.mesh.Triangles() }

// Corner is corner k (0 to 2) of triangle t.
func (v View) Corner(t, k int) [3]float64 {
	p := v.mesh.Corner(t, k)
	return [3]float64{v.scale * p[0], v.scale * p[1], v.scale * p[2]}
}

// View gives the triangles of what Measure measured, if the file came with the
// call. What is remembered has none: then ok is false, as it is where the call
// ends before the file is read again.
func (d *Desk) View(c *chat.Call, option string, p Measured) (v View, ok bool) {
	m := p.mesh
	if data := c.File(option).Data; m == nil && data != nil {
		release, err := d.take(c.By.Member.ID)
		if err != nil {
			return View{}, false
		}
		defer release()
		if m, err = mesh.Read(data, d.limits, c.Done); err != nil {
			return View{}, false
		}
	}
	return View{ThickAt: p.thickAt, mesh: m, scale: p.scale}, m != nil
}
