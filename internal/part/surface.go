package part

import (
	"math"

	"github.com/pourwright/pourwright/internal/shape"
)

// Surface hands the part's surface to a coating: every face where all are
// asked for, else the outside with its curve.
func (m Measured) Surface(w *shape.CoatWant) {
	w.Inside = m.Outer / 1000
	if w.Side == shape.All || m.Outside.Area == 0 {
		w.Area = m.Area
		return
	}
	w.Area, w.Curvature = m.Outside.Area, m.Outside.Curvature
	w.Through = int(math.Round(1 - m.Outside.Euler/2))
}
