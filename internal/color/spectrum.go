package color

// Bands is the number of bands of a spectrum; band i is at 380 + 10·i nm.
const Bands = 36

// Spectrum is one value per band: a reflectance, or K or S in 1/mm.
type Spectrum [Bands]float64

// flat is the spectrum of a gray.
func flat(v float64) (s Spectrum) {
	for i := range s {
		s[i] = v
	}
	return s
}

// each maps every band.
func (s *Spectrum) each(f func(float64) float64) Spectrum {
	out := *s
	for i, v := range out {
		out[i] = f(v)
	}
	return out
}

// white is the point that a perfect white has, CIE 15, D65 and 2°.
var white = XYZ{95.047, 100, 108.883}

// weights turn a reflectance into XYZ: daylight times observer, each column
// scaled so that a reflectance of 1 is exactly the white point. So every gray
// is a flat curve, and the other way round.
var weights = func() (w [Bands][3]float64) {
	observer := [3]*Spectrum{&observerX, &observerY, &observerZ}
	for c, bar := range observer {
		sum := 0.0
		for i := range w {
			w[i][c] = daylight[i] * bar[i]
			sum += w[i][c]
		}
		for i := range w {
			w[i][c] *= white[c] / sum
		}
	}
	return w
}()

// XYZ gives the tristimulus values of a reflectance, white at Y = 100.
func (s *Spectrum) XYZ() (c XYZ) {
	for i, r := range s {
		w := &weights[i]
		c[0] += w[0] * r
		c[1] += w[1] * r
		c[2] += w[2] * r
	}
	return c
}
