package color

import "math"

// fit looks for the doses of one set of tints that come nearest to a target.
// Its variables are u with dose u³: that keeps doses positive and their scale
// even from a trace to the limit.
type fit struct {
	base   *Base
	wall   Wall
	tints  []*Tint
	target Lab
	most   float64 // all doses together
}

// point is one u of a set, the first n are used.
type point [Most]float64

const (
	leastU     = 1e-3 // a dose of 1e-9, far below what counts as one
	fitSteps   = 24   // damped steps per start; most need six to ten
	fitClose   = 1e-6 // relative step at which it stops
	jacobianLa = 1e-4 // step in Lab for the slope of ΔE00
)

func (f *fit) look(u *point, m *stack) Lab {
	f.stack(u, m)
	return m.lab()
}

func (f *fit) stack(u *point, m *stack) {
	var doses [Most]Dose
	for i, t := range f.tints {
		doses[i] = Dose{t, u[i] * u[i] * u[i]}
	}
	m.fill(f.base, doses[:len(f.tints)], f.wall)
}

// within puts u inside of the bounds: scaled to the load limit, no dose less
// than nothing.
func (f *fit) within(u point) point {
	load := 0.0
	for i := range f.tints {
		u[i] = max(u[i], leastU)
		load += u[i] * u[i] * u[i]
	}
	if load > f.most {
		shrink := math.Cbrt(f.most / load)
		for i := range f.tints {
			u[i] *= shrink
		}
	}
	return u
}

// residual is ΔE00 as three numbers whose squares add up to its square.
func residual(p, q Lab) [3]float64 {
	x, y, z, turn := parts(p, q)
	return [3]float64{x, y + turn/2*z, z * math.Sqrt(max(0, 1-turn*turn/4))}
}

func square(r [3]float64) float64 { return r[0]*r[0] + r[1]*r[1] + r[2]*r[2] }

// descend goes downhill by damped Gauss–Newton steps on the three parts of
// ΔE00, along the load limit where that is in the way. It gives the last point
// and its squared ΔE00.
func (f *fit) descend(u point) (point, float64) {
	u = f.within(u)
	var m stack
	r := residual(f.target, f.look(&u, &m))
	cost, damp := square(r), 1e-3
	n := len(f.tints)
	for range fitSteps {
		jac, load := f.jacobian(&u, &m)
		var normal [Most][Most]float64
		var pull point
		for i := range n {
			for c := range r {
				pull[i] -= jac[c][i] * r[c]
				for j := range n {
					normal[i][j] += jac[c][i] * jac[c][j]
				}
			}
		}
		moved := false
		for range 8 {
			try := f.within(f.trial(u, &normal, &pull, &load, damp))
			tryLab := f.look(&try, &m)
			tryR := residual(f.target, tryLab)
			if c := square(tryR); c < cost {
				moved = far(&u, &try, n) && cost-c > 1e-9*cost
				u, r, cost, damp = try, tryR, c, max(damp/8, 1e-9)
				break
			}
			damp *= 6
		}
		if !moved || cost < 1e-12 {
			break
		}
	}
	return u, cost
}

func far(u, v *point, n int) bool {
	for i := range n {
		if math.Abs(u[i]-v[i]) > fitClose*(math.Abs(v[i])+leastU) {
			return true
		}
	}
	return false
}

// trial is the next point: the damped step, and where it would leave the load
// limit, the best step that stays on it.
func (f *fit) trial(u point, normal *[Most][Most]float64, pull, load *point, damp float64) point {
	n := len(f.tints)
	h := *normal
	trace := 0.0
	for i := range n {
		trace += h[i][i]
	}
	for i := range n {
		h[i][i] += damp*h[i][i] + 1e-9*trace + 1e-30
	}
	if !cholesky(&h, n) {
		return u
	}
	step := solve(&h, *pull, n)
	used, over, steep := 0.0, 0.0, 0.0
	toward := solve(&h, *load, n)
	for i := range n {
		used += u[i] * u[i] * u[i]
		over += load[i] * step[i]
		steep += load[i] * toward[i]
	}
	if over -= f.most - used; over > 0 && steep > 0 {
		for i := range n {
			step[i] -= toward[i] * over / steep
		}
	}
	for i := range n {
		// A step beyond nothing goes half of the way there, so that the others keep theirs.
		u[i] = max(u[i]+step[i], u[i]/4)
	}
	return u
}

// jacobian is d(residual)/du at u, and d(load)/du. m is left as at u.
func (f *fit) jacobian(u *point, m *stack) (jac [3]point, load point) {
	f.stack(u, m)
	var seen, byK, byS Spectrum
	m.slopes(&seen, &byK, &byS)
	xyz := seen.XYZ()
	toResidual := f.slopeByXYZ(xyz)
	for j, t := range f.tints {
		var by XYZ
		for i := range byK {
			d := byK[i] * t.k[i]
			if t.pale {
				d += byS[i] * t.s[i]
			}
			w := &weights[i]
			by[0] += w[0] * d
			by[1] += w[1] * d
			by[2] += w[2] * d
		}
		load[j] = 3 * u[j] * u[j]
		for c := range jac {
			jac[c][j] = load[j] * (toResidual[c][0]*by[0] + toResidual[c][1]*by[1] + toResidual[c][2]*by[2])
		}
	}
	return jac, load
}

// slopeByXYZ is d(residual)/d(XYZ): by differences through ΔE00, exact through
// Lab.
func (f *fit) slopeByXYZ(c XYZ) (out matrix) {
	at := c.Lab()
	var byLab matrix
	for i, d := range [3]Lab{{L: jacobianLa}, {A: jacobianLa}, {B: jacobianLa}} {
		up := residual(f.target, Lab{at.L + d.L, at.A + d.A, at.B + d.B})
		down := residual(f.target, Lab{at.L - d.L, at.A - d.A, at.B - d.B})
		for r := range up {
			byLab[r][i] = (up[r] - down[r]) / (2 * jacobianLa)
		}
	}
	var fall XYZ // of the root, by X, Y, Z
	for i, v := range c {
		fall[i] = rootSlope(v/white[i]) / white[i]
	}
	for r, l := range byLab {
		out[r][0] = 500 * l[1] * fall[0]
		out[r][1] = (116*l[0] - 500*l[1] + 200*l[2]) * fall[1]
		out[r][2] = -200 * l[2] * fall[2]
	}
	return out
}

func rootSlope(u float64) float64 {
	if u > cut*cut*cut {
		f := math.Cbrt(u)
		return 1 / (3 * f * f)
	}
	return 1 / (3 * cut * cut)
}

// cholesky factors the first n rows in place, lower half.
func cholesky(h *[Most][Most]float64, n int) bool {
	for i := range n {
		for j := 0; j <= i; j++ {
			sum := h[i][j]
			for k := range j {
				sum -= h[i][k] * h[j][k]
			}
			if i != j {
				h[i][j] = sum / h[j][j]
				continue
			}
			if !(sum > 0) {
				return false
			}
			h[i][i] = math.Sqrt(sum)
		}
	}
	return true
}

func solve(h *[Most][Most]float64, b point, n int) point {
	for i := range n {
		for k := range i {
			b[i] -= h[i][k] * b[k]
		}
		b[i] /= h[i][i]
	}
	for i := n - 1; i >= 0; i-- {
		for k := i + 1; k < n; k++ {
			b[i] -= h[k][i] * b[k]
		}
		b[i] /= h[i][i]
	}
	return b
}
