// Package shape answers how much a simple solid or cavity holds, by formula
// from its sizes or by what was filled into it, and how much rubber or resin
// goes round it: block molds, brushed coats, shells.
//
//	s, err := shape.Measure(shape.Cylinder, []shape.Size{{"d", 30}, {"h", 12}})
//	// s.Volume == 8.482 mL, s.Thickest == 12 mm
//
// Lengths are millimeters, areas mm², volumes mL (1000 mm³), masses grams,
// densities g/mL, temperatures °C. Files are the business of package mesh.
package shape

import "github.com/pourwright/pourwright/internal/working"

var num = working.Num

// mensuration is where the formulas of solids stand; remembered, not read.
const mensuration = "mensuration of solids, CRC Standard Mathematical Tables, from memory"

// Bounds of any length, in mm: a hair's tenth to a barn.
const (
	minLength = 0.01
	maxLength = 1e5
)
