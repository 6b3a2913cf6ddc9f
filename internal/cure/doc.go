// Package cure answers when a pour can come out: pot life of a cup, gel,
// demold, cooling and full cure, how hot it gets, and how deep it may be, each
// as a range.
//
// A section is a layered body in one dimension, from its thermal center
// through up to two mold walls to the air. Heat flows, and the resin reacts
// and heats itself. The rate follows from what the bulletin says (pot life of
// its cup, demold time of its sheet), and 64 draws of everything uncertain
// make the range. The same question gives the same answer.
//
//	r, assumed, err := cure.FromProfile(profile)
//	m, err := cure.Calibrate(r, workers, done) // keep it: it costs most
//	res, err := m.Estimate(cure.Setup{Thickest: 12, Thinnest: 4, Room: 21}, learned, workers, done)
//	// res.Demold.Low, res.Demold.High in seconds; res.Peak in °C
//
// It leaves out humidity's effect on cure, inhibition, bad mixing, glass
// transition (a stiff resin stalls below full cure in a cool room), filler,
// flow, shrinkage and corners beyond a rule. A touch test on the sprue and
// the bulletin win over it.
//
// Exported values are in base units: seconds, millimeters, grams, °C. Inside
// and in Resin everything is SI with kelvin.
package cure

import "errors"

// ErrStopped is returned when done was closed before the answer was ready.
var ErrStopped = errors.New("cure: stopped")

// zeroC is 0 °C in kelvin (definition).
const zeroC = 273.15

func stopped(done <-chan struct{}) bool {
	select {
	case <-done:
		return true
	default:
		return false
	}
}
