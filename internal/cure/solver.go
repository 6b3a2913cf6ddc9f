package cure

import "math"

// solver integrates one body at a time. Its memory is reused: after the first
// runs of a size nothing is allocated. Not for two goroutines at once.
//
// Temperatures of all cells and conversions of the part's form one stiff
// system, stepped with RODAS3: order 3(2), four stages, stiffly accurate
// (Sandu et al., Atmospheric Environment 31 (1997) 3459, from memory). Each
// stage solves (2/h - J) k = r. J couples a conversion only to its own cell's
// temperature, so conversions are eliminated and a tri-diagonal system is left.
type solver struct {
	n, all int // cells of the part, cells in all

	// The law, unpacked: K(T) = exp(lnKc - ec/T).
	law      Law
	lnKc, ec float64
	rise     float64 // H/cp, K
	air      float64 // K
	tol      float64

	low, up      []float64 // conduction to the cells inward and outward, 1/s
	share        []float64 // of each cell in the part's volume
	faceIn, face float64   // T of the part's face = faceIn·(last cell) + face·(next, or air)

	temp, conv   []float64 // state
	fTemp, fConv []float64 // its rate, at the latest call of rates
	jaa, jat     []float64 // d(da/dt)/da and /dT
	stage        [4]vector // k1 to k4
	mixed, none  vector    // what earlier stages add to a stage, times h; zeros
	tryT, tryA   []float64 // a state to try

	// Factors of a step's matrix. After elimination the rows read
	// diagonal·T - low·T(before) - up·T(after).
	pivot      []float64 // 1/diagonal
	mult, from []float64 // up/diagonal, low/diagonal
	eliminated []float64 // 1/(2/h - Jaa)
	couple     []float64 // JTa/(2/h - Jaa)

	steps []sample
	next  float64 // s, step to try
}

// vector is a change of state.
type vector struct{ t, a []float64 }

// defaultTol is of conversion; 20 K count as much as a whole conversion.
const (
	defaultTol = 3e-4
	scaleK     = 20
)

// start makes ready to run a body on a grid from time zero.
func (s *solver) start(b *body, law Law, g grid, tol float64) {
	s.n, s.all = g[0], g[0]+g[1]+g[2]
	s.size()
	s.law, s.tol, s.air = law, tol, b.air
	s.ec = law.E / gasConstant
	s.lnKc = math.Log(law.K) + s.ec/law.Tb
	s.rise = b.heat / b.part.cp
	s.mesh(b, g)
	for i := range s.all {
		s.temp[i] = b.part0
		if i >= s.n {
			s.temp[i] = b.wall0
		}
	}
	clear(s.conv)
	s.steps = s.steps[:0]
	s.rates(s.temp, s.conv, true)
	s.next = s.firstStep()
}

// size cuts all vectors to the cells, and makes longer ones where needed.
func (s *solver) size() {
	cells := func(v *[]float64, n int) {
		if cap(*v) < n {
			*v = make([]float64, n)
		}
		*v = (*v)[:n]
	}
	for _, v := range []*[]float64{&s.low, &s.up, &s.temp, &s.fTemp, &s.tryT, &s.pivot, &s.mult, &s.from, &s.mixed.t, &s.none.t} {
		cells(v, s.all)
	}
	for _, v := range []*[]float64{&s.share, &s.conv, &s.fConv, &s.jaa, &s.jat, &s.tryA, &s.eliminated, &s.couple, &s.mixed.a, &s.none.a} {
		cells(v, s.n)
	}
	for i := range s.stage {
		cells(&s.stage[i].t, s.all)
		cells(&s.stage[i].a, s.n)
	}
}

// gradePower makes cells finer toward a layer's reactive face: faces of the
// part at R[1 - (1 - j/n)^1.5], of a wall at r + d (j/m)^1.5.
const gradePower = 1.5

// mesh lays the cells and works out how well each conducts to the next.
func (s *solver) mesh(b *body, g grid) {
	pow := func(r float64) float64 { return math.Pow(r, b.s) / b.s }
	inner, k, wide := 0.0, 0.0, 0.0 // of the cell before
	inside := 0.0                   // its conduction to this one
	from, total := 0.0, pow(b.r)
	i := 0
	for l := range g {
		m := b.part
		d := b.r
		if l > 0 {
			m, d = b.walls[l-1].stuff, b.walls[l-1].d
		}
		for j := range g[l] {
			x := float64(j+1) / float64(g[l])
			outer := from + d*math.Pow(x, gradePower)
			if l == 0 {
				outer = b.r * (1 - math.Pow(1-x, gradePower))
			}
			d := outer - inner
			volume := pow(outer) - pow(inner)
			if i > 0 {
				inside = area(inner, b.s) / (wide/(2*k) + d/(2*m.k))
				s.up[i-1] *= inside
			}
			if i == s.n {
				a, c := k/wide, m.k/d
				s.faceIn, s.face = a/(a+c), c/(a+c)
			}
			// The outward factor waits for the next cell: only 1/C so far.
			s.up[i] = 1 / (m.rho * m.cp * volume)
			s.low[i] = inside * s.up[i]
			if l == 0 {
				s.share[i] = volume / total
			}
			inner, k, wide = outer, m.k, d
			i++
		}
		from += d
	}
	s.up[i-1] *= area(inner, b.s) / (wide/(2*k) + 1/max(b.conv, 1e-300))
	if s.n == s.all {
		a := 2 * k / wide
		s.faceIn, s.face = a/(a+b.conv), b.conv/(a+b.conv)
	}
}

// area at a radius, but for a constant. The center of a slab has an area too;
// mesh never asks for it.
func area(r, s float64) float64 { return math.Pow(r, s-1) }

// rates fills fTemp and fConv for a state, and the reaction's derivatives
// where asked.
func (s *solver) rates(temp, conv []float64, derivatives bool) {
	n := s.n
	fT, fA := s.fTemp[:len(temp)], s.fConv[:n]
	low, up := s.low[:len(temp)], s.up[:len(temp)]
	t, last := temp[0], len(temp)-1
	flowIn := 0.0
	for i := range temp {
		next := s.air
		if i < last {
			next = temp[i+1]
		}
		fT[i] = flowIn*low[i] + (next-t)*up[i]
		flowIn = t - next
		t = next
	}
	b, order := s.law.B, s.law.N
	conv = conv[:n]
	jaa, jat := s.jaa[:n], s.jat[:n]
	for i := range conv {
		a := conv[i]
		left := max(1-a, 0)
		var pn, dn float64 // left^n and its derivative by left
		switch order {
		case 2:
			pn, dn = left*left, 2*left
		case 1:
			pn, dn = left, 1
		default:
			pn = 1
		}
		inv := 1 / temp[i]
		k := math.Exp(s.lnKc - s.ec*inv)
		grow := 1 + b*a
		rate := k * grow * pn
		fA[i] = rate
		fT[i] += s.rise * rate
		if derivatives {
			jaa[i] = k * (b*pn - grow*dn)
			jat[i] = rate * s.ec * inv * inv
		}
	}
}

// firstStep is a hundredth of the time in which something of note can happen.
func (s *solver) firstStep() float64 {
	fastest := 0.0
	for _, v := range s.fConv {
		fastest = max(fastest, v)
	}
	for _, v := range s.fTemp {
		fastest = max(fastest, math.Abs(v)/scaleK)
	}
	return 0.01 / max(fastest, 1e-12)
}
