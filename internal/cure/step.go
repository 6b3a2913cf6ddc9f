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
		k1, k2, k3, k4 := &s.stage[0], &s.stage[1], &s.stage[2], &s.stage[3]
		s.first(k1, k2, h)
		s.rates(s.tryT, s.tryA, false)
		s.solve(k3, h, 1, k1, -1, k2, 0, nil)
		s.shift(s.tryT, k3.t)
		s.shift(s.tryA, k3.a)
		s.rates(s.tryT, s.tryA, false)
		s.solve(k4, h, 1, k1, -1, k2, -8.0/3, k3)

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
			s.shift(s.tryT, k4.t)
			s.shift(s.tryA, k4.a)
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

// first does both stages at the old state and puts y + 2 k1 into tryT, tryA.
func (s *solver) first(k1, k2 *vector, h float64) {
	s.solve(k1, h, 0, nil, 0, nil, 0, nil)
	s.solve(k2, h, 4, k1, 0, nil, 0, nil)
	for i, v := range k1.t {
		s.tryT[i] = s.temp[i] + 2*v
	}
	for i, v := range k1.a {
		s.tryA[i] = s.conv[i] + 2*v
	}
}

func (s *solver) shift(v, by []float64) {
	by = by[:len(v)]
	for i := range v {
		v[i] += by[i]
	}
}

// factor eliminates the conversions of 2/h - J and splits the tri-diagonal
// matrix of the temperatures that is left. Its diagonal is
// 2/h - JTT - JTa JaT/(2/h - Jaa), with JTa = rise Jaa and JTT's reaction part
// rise JaT, which together are rise JaT (2/h)/(2/h - Jaa).
func (s *solver) factor(h float64) {
	d := 2 / h
	all := s.all
	low, up, pivot, mult := s.low[:all], s.up[:all], s.pivot[:all], s.mult[:all]
	before := 0.0 // up/pivot of the row before
	for i := range pivot {
		v := d + low[i] + up[i]
		if i < s.n {
			e := 1 / (d - s.jaa[i])
			s.eliminated[i] = e
			v -= s.rise * s.jat[i] * d * e
		}
		v = 1 / (v - low[i]*before)
		before = up[i] * v
		pivot[i], mult[i] = v, before
	}
}

// solve gives k of (2/h - J) k = f + (c1 v1 + c2 v2 + c3 v3)/h. A coefficient
// of zero needs no vector.
func (s *solver) solve(k *vector, h, c1 float64, v1 *vector, c2 float64, v2 *vector, c3 float64, v3 *vector) {
	copy(s.rhsT, s.fTemp)
	copy(s.rhsA, s.fConv)
	s.add(c1/h, v1)
	s.add(c2/h, v2)
	s.add(c3/h, v3)
	s.back(k)
}

func (s *solver) add(c float64, v *vector) {
	if c == 0 {
		return
	}
	r, t := s.rhsT, v.t[:len(s.rhsT)]
	for i := range r {
		r[i] += c * t[i]
	}
	r, t = s.rhsA, v.a[:len(s.rhsA)]
	for i := range r {
		r[i] += c * t[i]
	}
}

// back solves with the factors: temperatures forward and back, then each
// conversion from its cell's temperature.
func (s *solver) back(k *vector) {
	n, all := s.n, s.all
	rt, ra := s.rhsT[:all], s.rhsA[:n]
	low, pivot, mult := s.low[:all], s.pivot[:all], s.mult[:all]
	jaa, jat, e := s.jaa[:n], s.jat[:n], s.eliminated[:n]
	x, y := k.t[:all], k.a[:n]
	for i := range ra {
		rt[i] += s.rise * jaa[i] * e[i] * ra[i]
	}
	before := 0.0
	for i := range rt {
		before = (rt[i] + low[i]*before) * pivot[i]
		x[i] = before
	}
	after := 0.0
	for i := all - 1; i >= 0; i-- {
		after = x[i] + mult[i]*after
		x[i] = after
	}
	for i := range y {
		y[i] = (ra[i] + jat[i]*x[i]) * e[i]
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
