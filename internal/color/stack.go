package color

// Shade is a color as it is seen.
type Shade struct {
	Lab     Lab
	Code    RGB
	Clipped bool     // no screen can show it; Code is the nearest edge
	Curve   Spectrum // reflectance, gloss left out
}

// stack is a mix on its backing, ready to be looked at: K and S added up.
type stack struct {
	k, s    Spectrum
	wall    float64 // mm; 0 where too thick to see through
	backing float64
}

// fill adds up base and doses. In excess form, K = K_base + Σ d·k, it equals
// mixing by mass fractions.
func (m *stack) fill(base *Base, doses []Dose, w Wall) {
	m.k, m.s = base.k, base.s
	m.wall, m.backing = w.MM, w.Backing.reflectance()
	for _, d := range doses {
		for i, k := range &d.Tint.k {
			m.k[i] += d.Part * k
		}
		if d.Tint.pale {
			for i, s := range &d.Tint.s {
				m.s[i] += d.Part * s
			}
		}
	}
}

// seen gives the reflectance beside the gloss.
func (m *stack) seen(out *Spectrum) {
	if m.wall == 0 {
		for i := range out {
			out[i] = Surface(Opaque(m.k[i], m.s[i]))
		}
		return
	}
	for i := range out {
		r, t := Layer(m.k[i], m.s[i], m.wall)
		out[i] = Surface(Backed(r, t, m.backing))
	}
}

// lab looks at the mix.
func (m *stack) lab() Lab {
	var r Spectrum
	m.seen(&r)
	return r.XYZ().Lab()
}

// shade looks at the mix and keeps everything.
func (m *stack) shade() (s Shade) {
	m.seen(&s.Curve)
	c := s.Curve.XYZ()
	s.Lab = c.Lab()
	s.Code, s.Clipped = c.Linear().RGB()
	return s
}
