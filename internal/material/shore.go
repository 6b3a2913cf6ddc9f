package material

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

// What a durometer of the types A and D measures: how far its point goes in,
// against a spring. ASTM D2240 / ISO 48-4 (secondary text).
const (
	shoreDepth = 2.54 // mm, the point's way at a reading of 0; none at 100
	// ShoreLeast is the thinnest sample in mm that a reading holds for; of a
	// thinner one it tells the table behind it.
	ShoreLeast = 6.0
)

// ShoreUsual is where scale A reads well: above it D takes over, below it 00.
// ASTM D2240 (secondary text).
var ShoreUsual = quantity.Range{Low: 20, Mid: 55, High: 90}

func checkShore(reading float64) error {
	if !(reading >= 0 && reading <= 100) {
		return fault.New(fault.OutOfRange, "a Shore reading of %s is outside 0 to 100", num(reading)).In("reading").Hint("give the number in front of the scale's letter, such as 74")
	}
	return nil
}

// ShoreDepth is how far the point of a durometer of type A or D goes in, in mm:
// 2.54 − 0.0254·H. Error: out_of_range.
func ShoreDepth(reading float64) (float64, error) {
	return shoreDepth * (1 - reading/100), checkShore(reading)
}

// ShoreForce is what the spring of a durometer presses with, in N, at a reading
// on scale "A", 0.550 + 0.075·H, or "D", 0.4445·H (ASTM D2240, from memory).
// Errors: out_of_range; not_found for another scale.
func ShoreForce(h Hardness) (float64, error) {
	if err := checkShore(h.Shore); err != nil {
		return 0, err
	}
	switch h.Scale {
	case "A":
		return 0.550 + 0.075*h.Shore, nil
	case "D":
		return 0.4445 * h.Shore, nil
	}
	return 0, fault.New(fault.NotFound, "the spring of scale %q is not known here", fault.Echo(h.Scale)).In("scale").Hint("give A or D")
}

// Modulus is about how stiff a rubber of a reading on scale A is: Young's
// modulus in kPa, 98.1·(56 + 7.62336·H)/(0.137505·(254 − 2.54·H)) (Gent 1958,
// Rubber Chem. Technol. 31:896, from memory). It holds roughly, from 20 to 80:
// the range is 20 % to either side, which is judgement. Error: out_of_range.
func Modulus(shoreA float64) (quantity.Range, error) {
	const low, high, about = 20, 80, 0.2
	if !(shoreA >= low && shoreA <= high) {
		return quantity.Range{}, fault.New(fault.OutOfRange, "the stiffness of Shore A %s is not told", num(shoreA)).In("reading").
			Hint("the relation holds from A 20 to A 80")
	}
	e := 98.1 * (56 + 7.62336*shoreA) / (0.137505 * (254 - 2.54*shoreA))
	return quantity.Range{Low: e * (1 - about), Mid: e, High: e * (1 + about)}, nil
}

// shorePair is a reading on scale A with those on D that go with it as a rule.
type shorePair struct{ a, low, mid, high float64 }

// Where the scales A and D overlap. Charts of the trade, no source: they differ
// by as much as the band is wide, as each material gives way in its own manner.
var shoreFrom, shoreTo = shorePair{80, 25, 29, 34}, shorePair{95, 40, 46, 52}

// ShoreOverlap is what a reading on one of the scales "A" and "D" may be on the
// other, as a band. They are different tests and there is no conversion (ASTM
// D2240, ISO 48-4); the band is common practice and serves to pick what to try,
// never to promise. From A it holds from 80 to 95, from D from 29 to 46. Errors:
// out_of_range elsewhere; not_found for other scales, which share no band here.
func ShoreOverlap(h Hardness, scale string) (quantity.Range, error) {
	f, t := shoreFrom, shoreTo
	slope := func(low, high float64) float64 { return (high - low) / (t.a - f.a) }
	switch {
	case h.Scale == "A" && scale == "D":
		if !(h.Shore >= f.a && h.Shore <= t.a) {
			return quantity.Range{}, noBand(h, scale, "read it on the other gauge; a band is told from A 80 to A 95 only")
		}
		by := h.Shore - f.a
		return quantity.Range{Low: f.low + by*slope(f.low, t.low), Mid: f.mid + by*slope(f.mid, t.mid), High: f.high + by*slope(f.high, t.high)}, nil
	case h.Scale == "D" && scale == "A":
		if !(h.Shore >= f.mid && h.Shore <= t.mid) {
			return quantity.Range{}, noBand(h, scale, "read it on the other gauge; a band is told from D 29 to D 46 only")
		}
		// The A readings whose bands hold this one.
		low, high := f.a+(h.Shore-f.high)/slope(f.high, t.high), f.a+(h.Shore-f.low)/slope(f.low, t.low)
		return quantity.Range{Low: low, Mid: f.a + (h.Shore-f.mid)/slope(f.mid, t.mid), High: math.Min(high, 100)}, nil
	}
	return quantity.Range{}, fault.New(fault.NotFound, "no band is known between the Shore scales %q and %q", fault.Echo(h.Scale), fault.Echo(scale)).
		In("scale").Hint("they are different tests: measure it again on the other gauge")
}

func noBand(h Hardness, scale, hint string) error {
	return fault.New(fault.OutOfRange, "Shore %s has no reading on scale %s: they are different tests", h, scale).In("reading").Hint("%s", hint)
}
