package gas

import (
	"math"

	"github.com/pourwright/pourwright/internal/working"
)

// The troposphere of the US Standard Atmosphere 1976 (NASA-TM-X-74335, tables 2
// and 4): temperature and pressure at sea level, the fall of temperature with
// height, gravity, the molar mass of air, and the gas constant as it was taken
// there.
const (
	seaKelvin   = 288.15     // K
	lapse       = 0.0065     // K/m
	gravity     = 9.80665    // m/s²
	molarAir    = 0.0289644  // kg/mol
	gasThen     = 8.31432    // J/(mol·K)
	lowest      = -500.0     // m, below any workshop
	troposphere = 11_000.0   // m
	earth       = 6_356_766. // m, the radius that the standard reckons with
)

// AirPressure is the usual pressure of the air in kPa at a height above the sea
// in m, from −500 to 11 000: P = 101.325·(1 − L·h/T0)^(g·M/(R·L)). The height is
// taken as geopotential, which differs from a tape's by 0.1 % at 6 km and the
// pressure by as little. Weather moves it by 3 % either way (from memory).
// Error: out_of_range.
func AirPressure(altitude float64) (float64, error) {
	if !(altitude >= lowest && altitude <= troposphere) {
		return 0, outside("altitude", "there is no usual pressure at a height of %s m", working.Num(altitude)).Hint("give a height from -500 m to 11 km")
	}
	return SeaLevel * math.Pow(1-lapse*altitude/seaKelvin, gravity*molarAir/(gasThen*lapse)), nil
}

// AirSteps are the working of AirPressure.
func AirSteps(altitude, kPa float64) []working.Step {
	return working.Add(nil, "pressure of the air", "P = 101.325·(1 − 0.0065·h/288.15)^5.25588", Atmosphere,
		"at %s m: %s kPa", working.Num(altitude), working.Num(kPa))
}

// Geopotential is the height that the standard's formula takes for one measured
// by tape, both in m: r·z/(r + z).
func Geopotential(z float64) float64 { return earth * z / (earth + z) }

// Absolute is the pressure from empty space on, of what a pot's gauge shows over
// the air around it. All in kPa. Errors: out_of_range.
func Absolute(gauge, air float64) (float64, error) {
	if err := checkAir(air); err != nil {
		return 0, err
	}
	if err := checkGauge(gauge); err != nil {
		return 0, err
	}
	return gauge + air, nil
}

// Gauge is what a pot's gauge shows at an absolute pressure at or above that of
// the air. All in kPa. Errors: out_of_range.
func Gauge(absolute, air float64) (float64, error) {
	if err := checkBoth(absolute, air); err != nil {
		return 0, err
	}
	if absolute < air {
		return 0, outside("absolute", "%s kPa absolute is below the air's %s: that is a vacuum", working.Num(absolute), working.Num(air)).
			Hint("a vacuum gauge shows how far below: vacuum_gauge(absolute, air)")
	}
	return absolute - air, nil
}

// Under is the absolute pressure left in a chamber whose vacuum gauge shows that
// much below the air around it. All in kPa. Errors: out_of_range, also where the
// gauge would show more than there is air.
func Under(vacuum, air float64) (float64, error) {
	if err := checkAir(air); err != nil {
		return 0, err
	}
	switch {
	case !(vacuum >= 0):
		return 0, outside("vacuum", "a vacuum of %s kPa is none", working.Num(vacuum)).Hint("give what the gauge shows without its minus, such as 25 inHg")
	case vacuum > air:
		return 0, outside("vacuum", "a gauge can't show a vacuum of %s inHg where the air has %s", inHg(vacuum), inHg(air)).
			Hint("the most it can show here is %s inHg, or %s kPa; look whether the gauge is true, or give the altitude", inHg(air), working.Num(air))
	}
	return air - vacuum, nil
}

// VacuumGauge is what a vacuum gauge shows at an absolute pressure at or below
// the air's. All in kPa. Errors: out_of_range.
func VacuumGauge(absolute, air float64) (float64, error) {
	if err := checkBoth(absolute, air); err != nil {
		return 0, err
	}
	if absolute > air {
		return 0, outside("absolute", "%s kPa absolute is above the air's %s: that is no vacuum", working.Num(absolute), working.Num(air)).
			Hint("a pot's gauge shows how far above: gauge(absolute, air)")
	}
	return air - absolute, nil
}

func checkBoth(absolute, air float64) error {
	if err := checkAir(air); err != nil {
		return err
	}
	return checkAbsolute(absolute)
}
