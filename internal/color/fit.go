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
	fitSteps = 24   // damped steps per start; most need six to ten
	fitClose = 1e-6 // relative step at which it stops
	labStep  = 1e-5 // in Lab, for the slope of ΔE00
	hopes    = 8    // more steps like the last that a descent is believed to have
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

// floorU is the u of the least dose.
var floorU = math.Cbrt(DoseFloor)

// within puts u inside of the bounds: no dose less than one, and what is above
// that scaled down to the load limit.
func (f *fit) within(u point) point {
	var doses point
	load := 0.0
	for i := range f.tints {
		u[i] = max(u[i], floorU)
		doses[i] = u[i] * u[i] * u[i]
		load += doses[i]
	}
	if load > f.most {
		// The floor gives way where not even the least doses fit.
		least := min(DoseFloor, f.most/float64(len(f.tints)))
		all := least * float64(len(f.tints))
		shrink := (f.most - all) / (load - all)
		for i := range f.tints {
			u[i] = math.Cbrt(least + (doses[i]-least)*shrink)
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

// descent goes downhill by damped Gauss–Newton steps on the three parts of
// ΔE00, along the load limit where that is in the way.
type descent struct {
	fit     *fit
	u       point
	r       [3]float64
	cost    float64 // squared ΔE00
	damp    float64
	gain    float64 // of the last step
	stalled bool
}

// from is a descent that starts at u.
func (f *fit) from(u point) descent {
	var m stack
	d := descent{fit: f, u: f.within(u), damp: 1e-3}
	d.r = residual(f.target, f.look(&d.u, &m))
	d.cost = square(d.r)
	d.gain = d.cost
	return d
}

// step goes one step down, or stalls.
func (d *descent) step() {
	f, n := d.fit, len(d.fit.tints)
	var m stack
	jac, load := d.jacobian(&m)
	var normal [Most][Most]float64
	var pull point
	for i := range n {
		for c := range d.r {
			pull[i] -= jac[c][i] * d.r[c]
			for j := range n {
				normal[i][j] += jac[c][i] * jac[c][j]
			}
		}
	}
	d.stalled = true
	for range 8 {
		try := f.within(f.trial(d.u, &normal, &pull, &load, d.damp))
		r := residual(f.target, f.look(&try, &m))
		if c := square(r); c < d.cost {
			d.stalled = !far(&d.u, &try, n)
			d.gain = d.cost - c
			d.u, d.r, d.cost, d.damp = try, r, c, max(d.damp/8, 1e-9)
			return
		}
		d.damp *= 6
	}
}

// finish goes on until steps no longer gain the given share. It gives up early
// where even several more such gains would not come down to reach.
func (d *descent) finish(share, reach float64) {
	for step := 0; step < fitSteps && !d.stalled && d.cost > exact; step++ {
		d.step()
		if d.gain < share*d.cost || d.cost-hopes*d.gain > reach {
			return
		}
	}
}

func far(u, v *point, n int) bool {
	for i := range n {
		if math.Abs(u[i]-v[i]) > fitClose*v[i] {
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
		u[i] = max(u[i]+step[i], u[i]/4) // so that one step does not empty a dose
	}
	return u
}

// jacobian is dr/du and d(load)/du. m is left as at u.
func (d *descent) jacobian(m *stack) (jac [3]point, load point) {
	f, u := d.fit, &d.u
	f.stack(u, m)
	var seen, byK, byS Spectrum
	m.slopes(&seen, &byK, &byS)
	xyz := seen.XYZ()
	byXYZ := d.slopes(xyz)
	for j, t := range f.tints {
		var by XYZ
		for i := range byK {
			more := byK[i] * t.k[i]
			if t.pale {
				more += byS[i] * t.s[i]
			}
			w := &weights[i]
			by[0] += w[0] * more
			by[1] += w[1] * more
			by[2] += w[2] * more
		}
		load[j] = 3 * u[j] * u[j]
		for c := range jac {
			jac[c][j] = load[j] * (byXYZ[c][0]*by[0] + byXYZ[c][1]*by[1] + byXYZ[c][2]*by[2])
		}
	}
	return jac, load
}

// slopes is dr/d(XYZ): by differences through ΔE00, exact through Lab.
func (d *descent) slopes(c XYZ) (out matrix) {
	at := c.Lab()
	var byLab matrix
	for i, step := range [3]Lab{{L: labStep}, {A: labStep}, {B: labStep}} {
		up := residual(d.fit.target, Lab{at.L + step.L, at.A + step.A, at.B + step.B})
		for c := range up {
			byLab[c][i] = (up[c] - d.r[c]) / labStep
		}
	}
	var fall XYZ // of the root, by X, Y, Z
	for i, v := range c {
		fall[i] = rootSlope(v/white[i]) / white[i]
	}
	for c, l := range byLab {
		out[c] = [3]float64{500 * l[1] * fall[0], (116*l[0] - 500*l[1] + 200*l[2]) * fall[1], -200 * l[2] * fall[2]}
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
