package gas

import "github.com/pourwright/pourwright/internal/working"

// Molar is the volume of a mole of any gas in L at 25 °C and 760 torr that
// published exposure limits are converted with (CCOHS, converting exposure limits
// from mg/m³ to ppm; the ideal gas gives 24.47).
const Molar = 24.45

// MolarSource names where Molar is from.
const MolarSource = "24.45 L/mol at 25 °C and 760 torr (CCOHS, converting exposure limits)"

// MolarVolume is the volume of a mole of an ideal gas in L at a temperature in
// °C from −50 to 100 and an absolute pressure in kPa: R·T/P, R by the SI of 2019.
// Errors: out_of_range.
func MolarVolume(temp, kPa float64) (float64, error) {
	const gas, zeroC = 8.31446261815324, 273.15 // J/(mol·K), K
	if !(temp >= -50 && temp <= 100) {
		return 0, outside("temp", "%s °C is no temperature of the air of a room", working.Num(temp)).Hint("give one from -50 to 100 C")
	}
	if err := checkAir(kPa); err != nil {
		return 0, err
	}
	return gas * (temp + zeroC) / kPa, nil
}

// MilligramsPerCubicMeter is what a share of vapor in parts per million weighs,
// in mg/m³, and PartsPerMillion the other way: ppm·M/V. molar is the mass of a
// mole in g, volume that of a mole in L, Molar as a rule. They convert a
// published figure. They tell of no room: neither its size nor its air changes
// prove a level, least of all of a diisocyanate. Errors: out_of_range.
func MilligramsPerCubicMeter(ppm, molar, volume float64) (float64, error) {
	if err := checkTrace("ppm", ppm, 1e6, molar, volume); err != nil {
		return 0, err
	}
	return ppm * molar / volume, nil
}

// PartsPerMillion is the other way of MilligramsPerCubicMeter.
func PartsPerMillion(mg, molar, volume float64) (float64, error) {
	if err := checkTrace("mg", mg, 1e9, molar, volume); err != nil {
		return 0, err
	}
	return mg * volume / molar, nil
}

func checkTrace(what string, v, most, molar, volume float64) error {
	switch {
	case !(v >= 0 && v <= most):
		return outside(what, "%s is no content of air", working.Num(v)).Hint("give the published figure, such as 0.02")
	case !(molar >= 1 && molar <= 1e5):
		return outside("molar_mass", "no substance has a molar mass of %s g", working.Num(molar)).Hint("section 3 or 9 of the SDS has it, such as 250.26 g")
	case !(volume >= 1 && volume <= 1000):
		return outside("volume", "a mole of gas does not take %s L", working.Num(volume)).Hint("it is 24.45 L at 25 C and 760 torr")
	}
	return nil
}
