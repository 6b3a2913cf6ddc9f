package mesh

import (
	"math"
	"math/rand/v2"

	"github.com/pourwright/pourwright/internal/fault"
)

// Pull is how a rigid mold in two halves would come off along one axis.
type Pull struct {
	Axis int // 0 x, 1 y, 2 z
	// Upright1 and Upright3 are the shares of the surface within 1° and 3° of
	// the axis: walls without draft.
	Upright1, Upright3 float64
	// Caught is the share of the surface that a straight pull cannot release: it
	// faces one way and something stands in that way. Rubber forgives a little.
	Caught float64
}

const (
	pullPoints = 20_000
	// level is the least slope along the axis that counts as facing either way.
	// The float32 corners of small facets tilt upright walls by up to as much.
	level = 1e-5
