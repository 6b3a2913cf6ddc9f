package color

import "math"

const degree = math.Pi / 180

// Difference is ΔE00 of two colors, about 1 where a trained eye begins to see
// it side by side. It is symmetric and 0 for equal colors.
//
// Method: ISO/CIE 11664-6 with all weights 1, in the hue rules of Sharma, Wu and
// Dalal, Color Res. Appl. 30 (2005) 21, DOI 10.1002/col.20070.
func Difference(p, q Lab) float64 {
	x, y, z, turn := parts(p, q)
	return math.Sqrt(max(0, x*x+y*y+z*z+turn*y*z))
}

// parts are the weighted differences in lightness, chroma and hue, q minus p,
// and the term that turns chroma against hue in the blues.
func parts(p, q Lab) (x, y, z, turn float64) {
	stretch := 1 + 0.5*(1-blueness((p.Chroma()+q.Chroma())/2))
	a1, a2 := p.A*stretch, q.A*stretch
	c1, c2 := math.Sqrt(a1*a1+p.B*p.B), math.Sqrt(a2*a2+q.B*q.B)
	meanL, meanC := (p.L+q.L)/2, (c1+c2)/2
	hue, turnedBy := hues(a1, p.B, a2, q.B, c1*c2)

	sin, cos := math.Sincos(hue)
	cos2, sin2 := 2*cos*cos-1, 2*sin*cos
	cos3, sin3 := cos*(2*cos2-1), sin*(2*cos2+1)
	cos4, sin4 := 2*cos2*cos2-1, 2*sin2*cos2
	t := 1 - 0.17*(cos*cos30+sin*sin30) + 0.24*cos2 + 0.32*(cos3*cos6-sin3*sin6) - 0.20*(cos4*cos63+sin4*sin63)

	l := (meanL - 50) * (meanL - 50)
	x = (q.L - p.L) / (1 + 0.015*l/math.Sqrt(20+l))
	y = (c2 - c1) / (1 + 0.045*meanC)
	z = 2 * math.Sqrt(c1*c2) * math.Sin(turnedBy/2) / (1 + 0.015*meanC*t)

	off := (hue/degree - 275) / 25
	if off *= off; off < 40 { // beyond, the turn is below 1e-17
		turn = -2 * blueness(meanC) * math.Sin(60*degree*math.Exp(-off))
	}
	return x, y, z, turn
}

// The sines and cosines of the phases, in degrees, that the hue weight has.
var (
	sin30, cos30 = math.Sincos(30 * degree)
	sin6, cos6   = math.Sincos(6 * degree)
	sin63, cos63 = math.Sincos(63 * degree)
)

// blueness is √(C⁷/(C⁷+25⁷)).
func blueness(c float64) float64 {
	r := c / 25
	r2 := r * r
	r7 := r2 * r2 * r2 * r
	return math.Sqrt(r7 / (1 + r7))
}

// hues are the mean hue and the step from the first hue to the second, in
// radians. product is that of the chromas: gray has no hue of its own.
func hues(a1, b1, a2, b2, product float64) (mean, step float64) {
	h1, h2 := angle(b1, a1), angle(b2, a2)
	if product == 0 {
		return h1 + h2, 0
	}
	mean, step = (h1+h2)/2, h2-h1
	if math.Abs(step) <= math.Pi+opposite {
		return mean, step
	}
	if h1+h2 < 2*math.Pi {
		mean += math.Pi
	} else {
		mean -= math.Pi
	}
	return mean, step - math.Copysign(2*math.Pi, step)
}

// opposite is the rounding that two hues exactly across the circle may have and
// still count as not beyond it, in radians: a pair of the published ones is so.
const opposite = 1e-12

// angle is the hue from 0 to 2π, 0 for gray.
func angle(b, a float64) float64 {
	h := math.Atan2(b, a)
	if h < 0 {
		h += 2 * math.Pi
	}
	return h
}
