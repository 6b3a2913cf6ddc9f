package cure

import "math"

// gasConstant is R in J/(mol K) (SI, exact by definition, to ten digits).
const gasConstant = 8.314462618

// Conversions that mean something to a caster.
const (
	potConversion = 0.50 // mean of the cup at the end of its pot life, judgement
	// gelConversion lies between the gel points of 4+2 and 3+2 functional
	// mixes, 0.577 and 0.707 (Flory-Stockmayer); the choice is judgement.
	gelConversion = 0.60
)

// Law is the rate of cure, da/dt = K exp(-E/R(1/T - 1/Tb)) (1 + b a)(1 - a)^n
// for a conversion a from 0 to 1: an autocatalytic law after Kamal (from
// memory).
type Law struct {
	K  float64 // 1/s at Tb, positive
	E  float64 // J/mol
	B  float64 // autocatalysis, 0 or more
	N  int     // order 1 or 2; 0 is a constant rate, for checks
	Tb float64 // K, the temperature that K holds at
}

// At is K at a temperature in kelvin, 1/s.
func (l Law) At(t float64) float64 { return l.K / timeFactor(l.E, t, l.Tb) }

// Rate is da/dt at a conversion and a temperature in kelvin, 1/s.
func (l Law) Rate(a, t float64) float64 {
	return l.At(t) * (1 + l.B*a) * math.Pow(1-a, float64(l.N))
}

// G is the time to reach conversion a, in units of 1/K: G(a(t)) is the
// integral of K(T) dt on any path of temperature. a is from 0 to below 1, and
// N is 1 or 2.
func (l Law) G(a float64) float64 {
	b := l.B
	log := math.Log1p(b*a) - math.Log1p(-a)
	if l.N == 1 {
		return log / (1 + b)
	}
	return b/((1+b)*(1+b))*log + a/((1-a)*(1+b))
}

// inverseG is the conversion at which G is g, by Newton's method in
// x = -ln(1-a), where G is close to straight for order 1 and convex for 2.
func (l Law) inverseG(g float64) float64 {
	if g <= 0 {
		return 0
	}
	lo, hi := 0.0, 1-1e-9
	a := math.Min(g/(1+g), hi) // exact for b = 0, n = 2
	for range 60 {
		d := l.G(a) - g
		if math.Abs(d) < 1e-10*g {
			break
		}
		if d > 0 {
			hi = a
		} else {
			lo = a
		}
		q := 1 - a
		slope := 1 / ((1 + l.B*a) * q)
		if l.N == 2 {
			slope /= q
		}
		next := a - d/slope
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		a = next
	}
	return a
}

// timeFactor is how many times longer a reaction of activation energy e, in
// J/mol, takes at t than at base, both in kelvin (Arrhenius).
func timeFactor(e, t, base float64) float64 {
	return math.Exp(e / gasConstant * (1/t - 1/base))
}

// TimeFactor is timeFactor for members: e in J/mol, temperatures in °C. At
// 51 kJ/mol ten degrees more halve the time near room temperature.
func TimeFactor(e, at, base float64) float64 { return timeFactor(e, at+zeroC, base+zeroC) }

// ActivationEnergy is the energy in J/mol with which a rate grows by factor
// between two temperatures in °C.
func ActivationEnergy(factor, from, to float64) float64 {
	return gasConstant * math.Log(factor) / (1/(from+zeroC) - 1/(to+zeroC))
}

// ScaledTime is a time at one temperature moved to another by a factor q10 on
// the rate for each 10 °C.
func ScaledTime(time, q10, at, to float64) float64 { return time * math.Pow(q10, (at-to)/10) }

// AdiabaticRise is the most that a mix can warm up, in K: heat in J/kg over
// heat capacity in J/(kg K).
func AdiabaticRise(heat, cp float64) float64 { return heat / cp }

// CoolingTime is the time constant, in s, of a slab of a thickness in mm with
// both faces held, t = L²/(π²α) with α in m²/s (Carslaw and Jaeger, first
// term of the series, from memory). Twice the section takes four times as long.
func CoolingTime(thickness, alpha float64) float64 {
	l := thickness / 1000
	return l * l / (math.Pi * math.Pi * alpha)
}

// adiabaticG is the time without any loss from t0 to conversion a, in units
// of 1/K, with rise = H/cp in K: Simpson's rule on 1/rate.
func (l Law) adiabaticG(a, rise, t0 float64) float64 {
	const n = 400
	f := func(x float64) float64 {
		return timeFactor(l.E, t0+x*rise, l.Tb) / ((1 + l.B*x) * math.Pow(1-x, float64(l.N)))
	}
	h := a / n
	sum := f(0) + f(a)
	for i := 1; i < n; i++ {
		sum += f(float64(i)*h) * float64(2+2*(i%2))
	}
	return sum * h / 3
}
