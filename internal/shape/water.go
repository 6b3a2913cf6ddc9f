package shape

import (
	"github.com/pourwright/pourwright/internal/fault"
)

const tanaka = "Tanaka et al. 2001, Metrologia 38:301, doi:10.1088/0026-1394/38/4/3"

// WaterDensity is the density of air-free pure water in g/mL at temp °C, from
// 0 to 40:
//
//	ρ = 0.99997495·(1 − (T − 3.983035)²(T + 301.797)/(522528.9·(T + 69.34881)))
//
// Tap water is up to 0.05 % denser (common practice). Error: out_of_range.
func WaterDensity(temp float64) (float64, error) {
	if !(temp >= 0 && temp <= 40) {
		return 0, fault.New(fault.OutOfRange, "water at %s °C is outside 0 to 40 °C", num(temp)).In("temp").Hint("give the water's temperature, such as 20 C")
	}
	d := temp - 3.983035
	return 0.99997495 * (1 - d*d*(temp+301.797)/(522528.9*(temp+69.34881))), nil
}

// Buoyant is the volume in mL of a liquid of density rho g/mL that weighs mass
// g in air, corrected for the air that liquid and weights displace:
// V = m(1 − ρa/ρs)/(ρ − ρa). air and weights are in g/mL; usual values are
// 0.0012 and 8.0. Method of ISO 4787, from memory. For water the correction is
// 0.105 %, below any shop scale.
func Buoyant(mass, rho, air, weights float64) float64 {
	return mass * (1 - air/weights) / (rho - air)
}
