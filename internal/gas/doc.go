// Package gas answers what pressure and vacuum do: what a gauge shows at a
// height above the sea, how far a bubble shrinks or grows, how much foam rises,
// what a lid bears and a vessel stores, and when water boils.
//
//	air, err := gas.AirPressure(1609.344)      // one mile: 83.43 kPa
//	most := air                                // 24.6 inHg is all a gauge can show there
//	left, err := gas.Under(23.5*3.386, air)    // 3.85 kPa absolute
//
// Pressures are in kPa; absolute ones count from empty space, a gauge's from the
// air around it. Air and bubbles are ideal gases at one temperature. Surface
// tension, air that dissolves and resin that evaporates are left out, and so is
// whether any vessel may be used: its plate and its maker say that.
package gas

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/working"
)

// SeaLevel is the standard atmosphere in kPa: exact, 10th CGPM 1954.
const SeaLevel = 101.325

// Atmosphere names the source of AirPressure.
const Atmosphere = "US Standard Atmosphere 1976, troposphere"

// Boyle names the source of what volumes do under pressure.
const Boyle = "Boyle's law, one temperature"

func outside(option, format string, args ...any) *fault.Error {
	return fault.New(fault.OutOfRange, format, args...).In(option)
}

// most is the largest pressure that is reckoned with, in kPa: ten times what a
// pressure pot of a workshop is built for.
const most = 10_000.0

// checkAir refuses what is no pressure of air that people breathe: the top of
// the troposphere has 22.6 kPa, the record at sea level is 108.5 (from memory).
func checkAir(air float64) error {
	if !(air >= 20 && air <= 120) {
		return outside("air", "%s kPa is no pressure of the air around people", working.Num(air)).
			Hint("give one from 20 to 120 kPa; sea level has 101.325, and air_pressure(altitude) tells that of a height")
	}
	return nil
}

func checkAbsolute(p float64) error {
	switch {
	case p < 0:
		return outside("absolute", "an absolute pressure of %s kPa is less than nothing", working.Num(p)).
			Hint("absolute pressure counts from empty space: 0 is the best vacuum there is")
	case !(p <= most):
		return outside("absolute", "%s kPa is past what is reckoned with", working.Num(p)).Hint("give at most 10000 kPa")
	}
	return nil
}

func checkGauge(p float64) error {
	if !(p >= 0 && p <= most) {
		return outside("gauge", "a gauge of a pot does not read %s kPa", working.Num(p)).Hint("give what the gauge shows, 0 to 10000 kPa, such as 40 psi")
	}
	return nil
}

func checkSize(name string, mm float64) error {
	if !(mm > 0 && mm <= 1e5) {
		return outside(name, "%s of %s mm is no size here", name, working.Num(mm)).Hint("give one above zero and up to 100 m, such as 230 mm")
	}
	return nil
}

func disk(d float64) float64 { return math.Pi / 4 * d * d }
