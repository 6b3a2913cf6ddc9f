package gas

import (
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// LidForce is what a pressure pushes a round lid up with, in N: P·πd²/4. gauge
// in kPa over the air, the lid's free width in mm. Errors: out_of_range.
func LidForce(gauge, mm float64) (float64, error) {
	if err := checkGauge(gauge); err != nil {
		return 0, err
	}
	if err := checkSize("width", mm); err != nil {
		return 0, err
	}
	return gauge / 1000 * disk(mm), nil // 1 kPa is 0.001 N/mm²
}

// VacuumLidForce is what the air at sea level presses on a round lid with, in N,
// over a chamber of that absolute pressure in kPa: (101.325 − P)·πd²/4. Errors:
// out_of_range.
func VacuumLidForce(absolute, mm float64) (float64, error) {
	vacuum, err := VacuumGauge(absolute, SeaLevel)
	if err != nil {
		return 0, err
	}
	return LidForce(vacuum, mm)
}

// Air is the heat capacity ratio of air as an ideal gas of two atoms: 7/5.
const Air = 1.4

// Stored is the energy in J that a gas in a vessel can set free: P_gauge·V/(γ−1),
// what was put in to bring it to that pressure in the closed vessel (Brode 1959,
// J. Appl. Phys. 26:766, from memory). gauge in kPa, volume in mL, gamma Air for
// air. It is an upper figure. Errors: out_of_range.
func Stored(gauge, volume, gamma float64) (float64, error) {
	if err := checkGauge(gauge); err != nil {
		return 0, err
	}
	switch {
	case !(volume > 0 && volume <= 1e8):
		return 0, outside("volume", "%s mL is no volume of a vessel", working.Num(volume)).Hint("give its inside, such as 10 l")
	case !(gamma > 1 && gamma <= 5.0/3+1e-12):
		return 0, outside("gamma", "no gas has a heat capacity ratio of %s", working.Num(gamma)).Hint("give one above 1 and up to 1.667; air has 1.4")
	}
	return gauge * volume / (gamma - 1) / 1000, nil // 1 kPa·mL is 0.001 J
}

// inHg writes a pressure in kPa as inches of mercury.
func inHg(kPa float64) string { return working.Num(round(quantity.InchOfMercury.From(kPa), 0.1)) }
