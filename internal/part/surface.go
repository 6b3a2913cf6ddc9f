package part

import "github.com/pourwright/pourwright/internal/shape"

// Surface hands the part's surface to a coating: the outside of a shell unless
// every face is asked for.
func (m Measured) Surface(w *shape.CoatWant) {
	w.Area, w.Inside = m.Area, m.Outer/1000
}
