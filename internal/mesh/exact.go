package mesh

import "math"

// inLine reports, exactly, whether three points lie on one line: all three
// projections of the triangle have no area.
func inLine(a, b, c *point) bool {
	for k := range 3 {
		if l := (k + 1) % 3; !noArea(a[k], a[l], b[k], b[l], c[k], c[l]) {
			return false
		}
	}
	return true
}

// noArea reports whether ax·by − ay·bx + bx·cy − by·cx + cx·ay − cy·ax is zero.
// Each product is split into its float64 and the rounding it left, and the
// twelve parts are added without error, as in J. R. Shewchuk, Adaptive Precision
// Floating-Point Arithmetic and Fast Robust Geometric Predicates (1997),
// doi:10.1007/PL00009321 (from memory). Products below 1e-308 round to zero.
func noArea(ax, ay, bx, by, cx, cy float64) bool {
	var e [12]float64 // parts of the sum, none overlapping
	n := 0
	grow := func(x float64) {
		for i := range n {
			sum := x + e[i]
			back := sum - x
			e[i] = (x - (sum - back)) + (e[i] - back)
			x = sum
		}
		e[n] = x
		n++
	}
	product := func(x, y float64) {
		p := x * y
		grow(math.FMA(x, y, -p))
		grow(p)
	}
	product(ax, by)
	product(-ay, bx)
	product(bx, cy)
	product(-by, cx)
	product(cx, ay)
	product(-cy, ax)
	for _, x := range e {
		if x != 0 {
			return false
		}
	}
	return true
}
