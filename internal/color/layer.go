package color

import "math"

// Absorption is K/S of an opaque layer of internal reflectance r, above 0 and
// at most 1: (1−r)²/(2r). Kubelka and Munk, Z. tech. Phys. 12 (1931) 593 (from
// memory).
func Absorption(r float64) float64 { return (1 - r) * (1 - r) / (2 * r) }

// Opaque is the internal reflectance of a layer too thick to see through, k and
// s in 1/mm, not both 0. Both halves of the textbook's difference are
// positive in this form, so that nothing cancels.
func Opaque(k, s float64) float64 { return s / (k + s + math.Sqrt(k*(k+2*s))) }

// Layer gives the internal reflectance over black and the transmittance of a
// wall of t mm, k and s in 1/mm, all 0 or more and finite. Off by 1e-9 at most
// against the differential equations of Kubelka, J. Opt. Soc. Am. 38 (1948)
// 448, DOI 10.1364/JOSA.38.000448, whose hyperbolic form is recast so that
// clear, dark and very thick walls need no special case.
func Layer(k, s, t float64) (reflected, passed float64) {
	l := waves(k, s, t)
	n := (k+s)*l.sinh + l.cosh
	return s * l.sinh / n, l.fade / n
}

// Backed is the internal reflectance of a wall over a backing in contact.
func Backed(reflected, passed, backing float64) float64 {
	return reflected + passed*passed*backing/(1-backing*reflected)
}

// wave holds sinh(pt)/p and cosh(pt) with p² = K(K+2S), both times e^(−pt), so
// that they stay finite in a thick wall; fade is that factor.
type wave struct{ p, sinh, cosh, fade float64 }

func waves(k, s, t float64) wave {
	p := math.Sqrt(k * (k + 2*s))
	lost := math.Expm1(-p * t)
	fade := 1 + lost
	w := wave{p: p, cosh: (1 + fade*fade) / 2, fade: fade, sinh: t * fade}
	if p*t > 1e-8 {
		w.sinh = -lost * (1 + fade) / (2 * p)
	}
	return w
}

// bend is the derivative of sinh(pt)/p by p², times e^(−pt).
func (w wave) bend(t float64) float64 {
	x := w.p * t
	if x < 0.05 { // the terms left out are below 1e-12 of the sum
		return t * t * t / 6 * (1 + x*x/10*(1+x*x/28)) * w.fade
	}
	return (t*w.cosh - w.sinh) / (2 * w.p * w.p)
}
