package cure

import "math"

// step makes one accepted step from the state, whose rates and derivatives
// stand in fTemp, fConv, jaa, jat, and leaves those of the new state there. It
// returns the length of the step in s; zero means that none could be found.
//
// RODAS3: a3 = (2, 0), a4 = (2, 0, 1), c2 = (4), c3 = (1, -1),
// c4 = (1, -1, -8/3), new state = y + 2 k1 + k3 + k4, error = k4; the second
// stage is at the old state. Coefficients were checked in public solver text.
func (s *solver) step() float64 {
	for rejected := false; ; rejected = true {
		h := s.next
		if !(h > 1e-9) {
			return 0
		}
		s.factor(h)
		k1, k2, k3, k4, mixed := &s.stage[0], &s.stage[1], &s.stage[2], &s.stage[3], &s.mixed
		s.solve(k1, 0, &s.none)
		s.solve(k2, 4/h, k1)
		ahead(s.tryT, s.temp, mixed.t, k1.t, k2.t)
		ahead(s.tryA, s.conv, mixed.a, k1.a, k2.a)
		s.rates(s.tryT, s.tryA, false)
		s.solve(k3, 1/h, mixed)
		shift(s.tryT, k3.t, 1)
		shift(s.tryA, k3.a, 1)
		shift(mixed.t, k3.t, -8.0/3)
		shift(mixed.a, k3.a, -8.0/3)
		s.rates(s.tryT, s.tryA, false)
		s.solve(k4, 1/h, mixed)

		err := s.norm(k4)
		grow := 0.2
		if err <= 1 { // false for NaN
			grow = 5.0
			if err > 0 {
				grow = min(max(0.9/math.Cbrt(err), 0.2), 5)
			}
			if rejected {
				grow = min(grow, 1)
			}
			shift(s.tryT, k4.t, 1)
			shift(s.tryA, k4.a, 1)
			s.temp, s.tryT = s.tryT, s.temp
			s.conv, s.tryA = s.tryA, s.conv
			s.next = h * grow
			s.rates(s.temp, s.conv, true)
			return h
		}
		if err < math.Inf(1) {
			grow = min(max(0.9/math.Cbrt(err), 0.2), 0.9)
		}
		s.next = h * grow
		s.rates(s.temp, s.conv, false) // the old state's, written over by the stages
	}
}

// ahead puts the third stage's state, y + 2 k1, into to and what the first two
// add to it, k1 - k2, into mixed.
func ahead(to, y, mixed, k1, k2 []float64) {
	y, mixed, k1, k2 = y[:len(to)], mixed[:len(to)], k1[:len(to)], k2[:len(to)]
	for i := range to {
		to[i] = y[i] + 2*k1[i]
		mixed[i] = k1[i] - k2[i]
	}
}

// shift adds a multiple of by to v.
func shift(v, by []float64, times float64) {
	by = by[:len(v)]
	for i := range v {
		v[i] += times * by[i]
	}
}

// factor eliminates the conversions of 2/h - J and splits the tri-diagonal
// matrix of the temperatures that is left. Its diagonal is
// 2/h - JTT - JTa JaT/(2/h - Jaa), with JTa = rise Jaa and JTT's reaction part
// rise JaT, which together are rise JaT (2/h)/(2/h - Jaa).
func (s *solver) factor(h float64) {
	d := 2 / h
	all, n := s.all, s.n
	low, up, pivot, mult, from := s.low[:all], s.up[:all], s.pivot[:all], s.mult[:all], s.from[:all]
	jaa, jat, e, couple := s.jaa[:n], s.jat[:n], s.eliminated[:n], s.couple[:n]
	for i := range e {
		v := 1 / (d - jaa[i])
		e[i] = v
		couple[i] = s.rise * jaa[i] * v
		pivot[i] = -s.rise * jat[i] * d * v
	}
	clear(pivot[n:])
	before := 0.0 // up/pivot of the row before
	for i := range pivot {
		v := 1 / (d + low[i] + up[i] + pivot[i] - low[i]*before)
		before = up[i] * v
		pivot[i], mult[i], from[i] = v, before, low[i]*v
	}
}

// solve gives k of (2/h - J) k = f + c v: temperatures forward and back, then
// each conversion from its cell's temperature.
func (s *solver) solve(k *vector, c float64, v *vector) {
	n, all := s.n, s.all
	fT, fA, vT, vA := s.fTemp[:all], s.fConv[:n], v.t[:all], v.a[:n]
	pivot, mult, from := s.pivot[:all], s.mult[:all], s.from[:all]
	jat, e, couple := s.jat[:n], s.eliminated[:n], s.couple[:n]
	x, y := k.t[:all], k.a[:n]
	before := 0.0
	for i := range y {
		r := fA[i] + c*vA[i]
		y[i] = r
		before = (fT[i]+c*vT[i]+couple[i]*r)*pivot[i] + from[i]*before
		x[i] = before
	}
	for i := n; i < all; i++ {
		before = (fT[i]+c*vT[i])*pivot[i] + from[i]*before
		x[i] = before
	}
	after := 0.0
	for i := all - 1; i >= 0; i-- {
		after = x[i] + mult[i]*after
		x[i] = after
	}
	for i := range y {
		y[i] = (y[i] + jat[i]*x[i]) * e[i]
	}
}

// norm is the root mean square of an error over what is tolerated.
func (s *solver) norm(k *vector) float64 {
	sumT, sumA := 0.0, 0.0
	for _, v := range k.t {
		sumT += v * v
	}
	for _, v := range k.a {
		sumA += v * v
	}
	return math.Sqrt((sumT/(scaleK*scaleK)+sumA)/float64(s.all+s.n)) / s.tol
}
