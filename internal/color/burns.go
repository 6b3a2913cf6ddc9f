package color

import (
	"math"

	lapack "gonum.org/v1/gonum/lapack/gonum"
)

// sees turns a reflectance into linear red, green and blue.
var sees = func() (t [3]Spectrum) {
	for i, w := range weights {
		for c, v := range XYZ(w).Linear() {
			t[c][i] = v
		}
	}
	return t
}()

// Bounds of the search for a smooth curve. The whole of sRGB needs 16 steps.
const (
	smoothEnough = 1e-10
	smoothSteps  = 60
	graySpread   = 1e-12
)

// smooth finds the smoothest reflectance that has this color: with
// ρ = (1+tanh z)/2 it has the least sum of squared steps of z. ok is false where
// no surface under daylight can have the color.
//
// Method: least hyperbolic-tangent slope, Burns, Color Res. Appl. 45 (2020) 8,
// solved by Newton's method on its Lagrange equations. The 36 equations of z
// are tridiagonal but for the border of the three color equations. Their
// matrix starts out singular (any constant z is smooth), so the last band goes
// into the border.
func smooth(rgb Linear) (rho Spectrum, ok bool) {
	if max(rgb[0], rgb[1], rgb[2])-min(rgb[0], rgb[1], rgb[2]) < graySpread {
		return flat(rgb[0]), rgb[0] >= 0 && rgb[0] <= 1
	}
	var z Spectrum
	var lambda Linear
	var n newton
	for range smoothSteps {
		rho = z.each(func(z float64) float64 { return (1 + math.Tanh(z)) / 2 })
		if n.set(&z, &rho, &lambda, rgb); n.error() < smoothEnough {
			return rho, true
		}
		dz, dl, solved := n.step()
		if !solved {
			return rho, false
		}
		for i := range z {
			z[i] -= dz[i]
		}
		for c := range lambda {
			lambda[c] -= dl[c]
		}
	}
	return rho, false
}

const (
	inner  = Bands - 1
	border = 4 // the last band and the three colors
)

// newton is one step's equations: F and its derivative, both split into the
// inner bands and the border.
type newton struct {
	f       [Bands]float64 // of the bands
	miss    Linear         // of the colors
	diag    [Bands]float64
	columns [3]Spectrum // ds/dz-weighted color functions, the border's rows
}

func (n *newton) set(z, rho *Spectrum, lambda *Linear, rgb Linear) {
	for c := range n.miss {
		n.miss[c] = -rgb[c]
	}
	for i := range z {
		pull := lambda[0]*sees[0][i] + lambda[1]*sees[1][i] + lambda[2]*sees[2][i]
		tanh := 2*rho[i] - 1
		slope := (1 - tanh*tanh) / 2
		n.f[i] = slope * pull
		n.diag[i] = -2 * slope * tanh * pull
		if i > 0 {
			n.f[i] += 2 * (z[i] - z[i-1])
			n.diag[i] += 2
		}
		if i < Bands-1 {
			n.f[i] += 2 * (z[i] - z[i+1])
			n.diag[i] += 2
		}
		for c := range n.columns {
			n.columns[c][i] = slope * sees[c][i]
			n.miss[c] += sees[c][i] * rho[i]
		}
	}
}

// error is the largest of what is still wrong.
func (n *newton) error() (worst float64) {
	for _, v := range n.f {
		worst = max(worst, math.Abs(v))
	}
	for _, v := range n.miss {
		worst = max(worst, math.Abs(v))
	}
	if math.IsNaN(worst) {
		return math.Inf(1)
	}
	return worst
}

// step solves the bordered system: the inner bands once for the right side and
// each border column, then the small system that is left.
func (n *newton) step() (dz Spectrum, dl Linear, ok bool) {
	const sides = 1 + border // right side, last band, three colors
	var b [inner * sides]float64
	for i := range inner {
		row := b[i*sides : (i+1)*sides]
		row[0] = n.f[i]
		for c := range n.columns {
			row[2+c] = n.columns[c][i]
		}
	}
	b[(inner-1)*sides+1] = -2
	if !n.solveInner(b[:], sides) {
		return dz, dl, false
	}

	// The border's own rows, minus what the inner bands stand for.
	var small [border][border + 1]float64
	small[0][0], small[0][border] = n.diag[inner], n.f[inner]
	for c := range n.columns {
		small[0][1+c], small[1+c][0] = n.columns[c][inner], n.columns[c][inner]
		small[1+c][border] = n.miss[c]
	}
	for i := range inner {
		row := b[i*sides : (i+1)*sides]
		for r := range border {
			w := n.borderRow(r, i)
			if w == 0 {
				continue
			}
			for c := range border {
				small[r][c] -= w * row[1+c]
			}
			small[r][border] -= w * row[0]
		}
	}
	x, ok := solveSmall(&small)
	if !ok {
		return dz, dl, false
	}
	for i := range inner {
		row := b[i*sides : (i+1)*sides]
		dz[i] = row[0]
		for c := range border {
			dz[i] -= row[1+c] * x[c]
		}
	}
	dz[inner] = x[0]
	return dz, Linear{x[1], x[2], x[3]}, true
}

func (n *newton) borderRow(r, i int) float64 {
	if r > 0 {
		return n.columns[r-1][i]
	}
	if i == inner-1 {
		return -2
	}
	return 0
}

func (n *newton) solveInner(b []float64, sides int) bool {
	var diag [inner]float64
	var lower, upper [inner - 1]float64
	copy(diag[:], n.diag[:inner])
	for i := range lower {
		lower[i], upper[i] = -2, -2
	}
	return lapack.Implementation{}.Dgtsv(inner, sides, lower[:], diag[:], upper[:], b, sides)
}

// solveSmall is Gauss elimination with the largest pivot of each column.
func solveSmall(m *[border][border + 1]float64) (x [border]float64, ok bool) {
	for c := range border {
		p := c
		for r := c + 1; r < border; r++ {
			if math.Abs(m[r][c]) > math.Abs(m[p][c]) {
				p = r
			}
		}
		if m[p][c] == 0 || math.IsNaN(m[p][c]) {
			return x, false
		}
		m[c], m[p] = m[p], m[c]
		for r := c + 1; r < border; r++ {
			w := m[r][c] / m[c][c]
			for k := c; k <= border; k++ {
				m[r][k] -= w * m[c][k]
			}
		}
	}
	for r := border - 1; r >= 0; r-- {
		x[r] = m[r][border]
		for k := r + 1; k < border; k++ {
			x[r] -= m[r][k] * x[k]
		}
		x[r] /= m[r][r]
	}
	return x, true
}
