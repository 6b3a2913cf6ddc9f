package color

import "slices"

// corner is one of a simplex.
type corner struct {
	u    point
	cost float64 // ΔE00
}

// polish improves a point without slopes, since ΔE00 has kinks in hue: the
// downhill simplex of Nelder and Mead, Comput. J. 7 (1965) 308 (from memory),
// with points outside of the bounds pulled back.
func (f *fit) polish(u point) (point, float64) {
	const (
		rounds = 160
		size   = 0.02 // of the first simplex, relative
	)
	n := len(f.tints)
	var m stack
	at := func(u point) corner {
		u = f.within(u)
		return corner{u, Difference(f.target, f.look(&u, &m))}
	}
	var simplex [Most + 1]corner
	simplex[0] = at(u)
	for i := range n {
		v := u
		v[i] *= 1 - size // inward, so that the load limit cannot flatten it
		simplex[i+1] = at(v)
	}
	s := simplex[:n+1]
	order := func(a, b corner) int {
		if a.cost < b.cost {
			return -1
		} else if a.cost > b.cost {
			return 1
		}
		return 0
	}
	for range rounds {
		slices.SortStableFunc(s, order)
		if !far(&s[0].u, &s[n].u, n) && s[n].cost-s[0].cost < 1e-7 {
			break
		}
		var center point
		for _, c := range s[:n] {
			for i := range n {
				center[i] += c.u[i] / float64(n)
			}
		}
		along := func(by float64) corner {
			var v point
			for i := range n {
				v[i] = center[i] + by*(center[i]-s[n].u[i])
			}
			return at(v)
		}
		switch over := along(1); {
		case over.cost < s[0].cost:
			if further := along(2); further.cost < over.cost {
				over = further
			}
			s[n] = over
		case over.cost < s[n-1].cost:
			s[n] = over
		default:
			inner := along(-0.5)
			if over.cost < s[n].cost {
				inner = along(0.5)
			}
			if inner.cost < min(over.cost, s[n].cost) {
				s[n] = inner
				continue
			}
			for k := 1; k <= n; k++ {
				var v point
				for i := range n {
					v[i] = (s[0].u[i] + s[k].u[i]) / 2
				}
				s[k] = at(v)
			}
		}
	}
	slices.SortStableFunc(s, order)
	return s[0].u, s[0].cost
}

// exact is the squared ΔE00 below which a color counts as equal.
const exact = 1e-8
