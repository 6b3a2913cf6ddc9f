package color

import "math"

// slopes gives what is seen per band and its derivatives by K and S.
func (m *stack) slopes(seen, byK, byS *Spectrum) {
	for i := range seen {
		k, s := m.k[i], m.s[i]
		if m.wall == 0 {
			seen[i], byK[i], byS[i] = opaqueSlope(k, s)
		} else {
			seen[i], byK[i], byS[i] = wallSlope(k, s, m.wall, m.backing)
		}
	}
}

// opaqueSlope puts Opaque and Surface in one fraction, through·s/d.
func opaqueSlope(k, s float64) (seen, byK, byS float64) {
	// At K = 0 the slope by K is infinite; a hair beside, it is only steep.
	r := max(math.Sqrt(k*(k+2*s)), 1e-9*s)
	d := k + (1-thrown)*s + r
	seen = through * s / d
	byK = -seen / d * (1 + (k+s)/r)
	byS = through/d - seen/d*(1-thrown+k/r)
	return seen, byK, byS
}

func wallSlope(k, s, t, backing float64) (seen, byK, byS float64) {
	w := waves(k, s, t)
	bend, bow := w.bend(t), t*w.sinh/2 // of sinh and cosh by p²
	n := (k+s)*w.sinh + w.cosh
	refl, pass := s*w.sinh/n, w.fade/n
	open := 1 / (1 - backing*refl)
	internal := refl + pass*pass*backing*open
	shine := 1 / (1 - thrown*internal)
	outer := through * shine * shine

	by := func(dp2, ds float64) float64 {
		dSinh, dCosh := bend*dp2, bow*dp2
		dn := w.sinh + (k+s)*dSinh + dCosh // K+S grows by 1 either way
		dRefl := (ds*w.sinh+s*dSinh)/n - refl*dn/n
		dPass := -pass * dn / n
		back := backing * open
		return outer * (dRefl + 2*pass*dPass*back + pass*pass*back*back*dRefl)
	}
	return through * internal * shine, by(2*(k+s), 0), by(2*k, 1)
}
