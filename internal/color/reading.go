package color

import (
	"fmt"
	"math"

	"github.com/pourwright/pourwright/internal/fault"
)

// Reading is a color as it was read: a code, instrument Lab or a measured
// curve. The zero Reading is none.
type Reading struct {
	how   reader
	code  RGB
	lab   Lab
	curve Spectrum // seen, gloss left out
}

type reader uint8

const (
	none reader = iota
	byCode
	byLab
	byCurve
)

// Hex is a color read as a code, by eye, from a photo or a picker: what is seen
// beside the mirror gloss.
func Hex(c RGB) Reading { return Reading{how: byCode, code: c} }

// Measured is an instrument's Lab under D65 and 2°, gloss excluded.
func Measured(c Lab) Reading { return Reading{how: byLab, lab: c} }

// Curve is an instrument's reflectance, 0 to 1 a band. withGloss tells that the
// mirror gloss was included in it ("SCI"); it is taken off.
func Curve(r Spectrum, withGloss bool) Reading {
	if withGloss {
		for i := range r {
			r[i] = max(r[i]-gloss, 0)
		}
	}
	return Reading{how: byCurve, curve: r}
}

// None tells that nothing was read.
func (r Reading) None() bool { return r.how == none }

// Bounds of what an instrument can have read.
const (
	labMost   = 200 // of a* and b*, either way
	shineMost = 1.2 // of a reflectance: glare and calibration reach past 1
)

// check refuses numbers that no reading has. Error: bad_color, naming option.
func (r Reading) check(option string) error {
	ok := true
	switch r.how {
	case byLab:
		ok = r.lab.L >= 0 && r.lab.L <= 100 && math.Abs(r.lab.A) <= labMost && math.Abs(r.lab.B) <= labMost
	case byCurve:
		for _, v := range r.curve {
			ok = ok && v >= 0 && v <= shineMost
		}
	}
	if ok {
		return nil
	}
	return fault.New(fault.BadColor, "the measured color is outside of what a surface can have").In(option).
		Hint("check the instrument's export: L* is 0 to 100, a reflectance 0 to 1; or give a color code such as #C9837F")
}

// Lab is the color read.
func (r Reading) Lab() Lab {
	switch r.how {
	case byCode:
		return r.code.Lab()
	case byCurve:
		return r.curve.XYZ().Lab()
	}
	return r.lab
}

// Code is the nearest color that a screen can show.
func (r Reading) Code() RGB {
	if r.how == byCode {
		return r.code
	}
	c, _ := r.Lab().XYZ().Linear().RGB()
	return c
}

// pale is how much of its chroma a Lab that no surface can have loses per try.
const pale = 0.05

// inside is the internal reflectance, with notes on what had to be bent.
func (r Reading) inside(cache *Cache) (Spectrum, []string) {
	var seen Spectrum
	var notes []string
	switch r.how {
	case byCode:
		seen = cache.Reflectance(r.code)
	case byCurve:
		seen = r.curve
	default:
		var lost float64
		if seen, lost = smoothLab(r.lab); lost > 0 {
			notes = append(notes, fmt.Sprintf("no surface can be as colorful as that reading; it was taken %.0f %% paler", 100*lost))
		}
	}
	internal, light := inside(&seen)
	if light {
		notes = append(notes, "nothing glossy is lighter than #FAFAFA, so the reading was taken as that light; glare on the swatch reads too light")
	}
	return internal, notes
}

// smoothLab pulls a color toward gray until some surface can have it; lost is
// the share of its chroma that went. Gray always has one.
func smoothLab(c Lab) (curve Spectrum, lost float64) {
	for step := 0; step < 20; step++ {
		keep := 1 - float64(step)*pale
		rgb := Lab{c.L, c.A * keep, c.B * keep}.XYZ().Linear()
		if curve, ok := smooth(rgb); ok {
			return curve, 1 - keep
		}
	}
	gray := Lab{L: c.L}.XYZ()[1] / 100
	return flat(min(max(gray, 0), 1)), 1
}
