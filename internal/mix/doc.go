// Package mix answers how much of part A and how much of part B: a batch for
// a volume or a mass, split into cups and rounded to the scale; what was
// poured against what should have been; what to add while it is still liquid;
// and the largest batch that two uneven jugs make.
//
//	b, err := mix.New(mix.Want{Profile: rigidWhite, Volume: 250, Step: 0.1})
//	// b.MassA, b.MassB in grams, b.Waste says what was added and why
//
// Masses are grams, volumes milliliters, densities g/mL, times seconds. Mixing
// is taken as ideal: volumes add up, without shrinkage and without air. It
// leaves out cure (package cure) and who owns the material (package shop).
package mix

import "github.com/pourwright/pourwright/internal/working"

var num = working.Num

// Off-ratio tolerance of either part: most systems forgive the lower figure
// and few the higher one. Common practice, no source; the bulletin wins.
const (
	TolLow  = 0.02
	TolHigh = 0.05
)

// Bounds of any one batch, so that a slip of the keyboard is refused: a tonne.
const (
	maxMass   = 1e6 // g
	maxVolume = 1e6 // mL
	maxCups   = 500
)
