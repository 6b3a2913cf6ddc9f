package cure

import "math"

// The Magnus form of the saturation pressure over water, with the constants
// of WMO-No. 8 (2008): 6.112 hPa, 17.62 and 243.12 °C, for -45 to 60 °C.
const (
	magnusP = 6.112
	magnusA = 17.62
	magnusB = 243.12
)

// DewMargin is how far above the dew point resin, mold and cup should be, in
// K; common practice, no source.
const DewMargin = 3.0

// SaturationPressure is that of water at t in °C, in hPa.
func SaturationPressure(t float64) float64 { return magnusP * math.Exp(magnusA*t/(magnusB+t)) }

// DewPoint is the temperature in °C at which air of t °C and a relative
// humidity above 0 up to 1 starts to wet what it touches.
func DewPoint(t, humidity float64) float64 {
	g := math.Log(humidity) + magnusA*t/(magnusB+t)
	return magnusB * g / (magnusA - g)
}

// WaterInAir is the mass of water in g/m³ of air at t °C: the ideal gas, 216.7
// e/T with e in hPa and T in K.
func WaterInAir(t, humidity float64) float64 {
	return 216.7 * humidity * SaturationPressure(t) / (t + zeroC)
}

// WarmPastDew is how long a jug or a mold at from °C needs in a room of air
// °C to pass the dew point, in the unit of tau, its own time constant: it
// warms as tau·ln((Ta-T0)/(Ta-Td)). Zero where it is not below.
func WarmPastDew(from, air, humidity, tau float64) float64 {
	dew := DewPoint(air, humidity)
	if from >= dew || air <= dew {
		return 0
	}
	return tau * math.Log((air-from)/(air-dew))
}

// Damp reports whether something at t °C in air of a temperature and relative
// humidity is nearer to the dew point than DewMargin.
func Damp(t, air, humidity float64) bool { return t < DewPoint(air, humidity)+DewMargin }

// Warmed is the temperature of something that stood at from °C, after a time in
// air of air °C; time and tau in one unit.
func Warmed(from, air, time, tau float64) float64 { return air + (from-air)*math.Exp(-time/tau) }

// Drop is the mass of a drop of water in g; a standard medicine dropper gives
// 45 to 55 mg (USP <1101>).
const Drop = 0.05

// GasFromWater is the carbon dioxide in mL that water in g makes of an
// isocyanate: a mole of gas a mole of water, as an ideal gas at t °C and a
// pressure in kPa.
func GasFromWater(grams, t, pressure float64) float64 {
	const molar = 18.015 // g/mol
	return grams / molar * gasConstant * (t + zeroC) / pressure * 1000
}

// EatenByWater is the isocyanate in g that water in g uses up: its equivalent
// weight is 9, that of an isocyanate 4202 over its NCO content in percent.
func EatenByWater(grams, percentNCO float64) float64 { return grams / 9 * 4202 / percentNCO }
