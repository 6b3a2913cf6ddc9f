package color

import "math"

// Lab is a color in CIELAB (CIE 15) against D65: lightness 0 to 100, red (+) to
// green (−), yellow (+) to blue (−).
type Lab struct{ L, A, B float64 }

// Chroma is C*, the distance from gray.
func (c Lab) Chroma() float64 { return math.Hypot(c.A, c.B) }

// cut is where the cube root of CIE 15 gives way to a straight line.
const cut = 6.0 / 29

func root(u float64) float64 {
	if u > cut*cut*cut {
		return math.Cbrt(u)
	}
	return u/(3*cut*cut) + 4.0/29
}

func unroot(f float64) float64 {
	if f > cut {
		return f * f * f
	}
	return 3 * cut * cut * (f - 4.0/29)
}

// Lab gives the CIELAB values.
func (c XYZ) Lab() Lab {
	x, y, z := root(c[0]/white[0]), root(c[1]/white[1]), root(c[2]/white[2])
	return Lab{L: 116*y - 16, A: 500 * (x - y), B: 200 * (y - z)}
}

// XYZ gives the tristimulus values back.
func (c Lab) XYZ() XYZ {
	y := (c.L + 16) / 116
	return XYZ{white[0] * unroot(y+c.A/500), white[1] * unroot(y), white[2] * unroot(y-c.B/200)}
}
