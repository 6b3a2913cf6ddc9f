package cure

import "math"

// point is a value and its slope in time.
type point struct{ v, d float64 }

// sample is what is kept of one step's end. Between samples every value runs
// as a cubic Hermite.
type sample struct {
	t          float64 // s
	mean, core point   // conversion
	tCore      point   // K, the innermost cell
	tFace      point   // K, the part's face
	hot        point   // K, the hottest cell of the part
	gSkin      point   // integral of K(T) at the face, and at
	gEdge      point   // an edge and
	gCorner    point   // a corner
}

// goal says when a run may end. The zero goal never ends but by its limits.
type goal struct {
	mean  float64 // stop once the mean conversion is this
	until float64 // s, stop once this time is reached
	least float64 // stop once the least conversion is this and, with cold set,
	cold  float64 // K, the face is below this and falling
	peak  bool    // stop once the hottest spot cools for good, or
	hot   float64 // K, with peak set: has passed this
	edges bool    // follow edges and corners as well
}

// meanOnly reports whether nothing but the mean and the peak is asked, so that
// the skin need not be followed.
func (g goal) meanOnly() bool { return g.mean > 0 || g.peak }

const (
	longestRun = 30 * 86400 // s
	mostSteps  = 50000
	// stopEvery is how many steps pass between looks at done.
	stopEvery = 32
)

// run steps until the goal is met. false means stopped by done; a run that
// stalls ends as it is, which its missing crossings tell.
func (s *solver) run(g goal, done <-chan struct{}) bool {
	s.record(0, g)
	hottest := s.steps[0].hot.v
	for i := 1; i < mostSteps; i++ {
		if i%stopEvery == 0 && stopped(done) {
			return false
		}
		h := s.step()
		if h == 0 {
			return true
		}
		s.record(s.steps[len(s.steps)-1].t+h, g)
		at := &s.steps[len(s.steps)-1]
		hottest = max(hottest, at.hot.v)
		if s.reached(g, at, hottest) || at.t >= longestRun {
			return true
		}
	}
	return true
}

func (s *solver) reached(g goal, at *sample, hottest float64) bool {
	switch {
	case g.mean > 0:
		return at.mean.v >= g.mean
	case g.until > 0:
		return at.t >= g.until
	case g.peak:
		return g.hot > 0 && at.hot.v > g.hot || at.mean.v > 0.995 || at.mean.v > 0.5 && at.hot.v < hottest-1
	case g.least > 0:
		return s.leastConversion() >= g.least &&
			(g.cold == 0 || at.hot.v < g.cold || at.tFace.v < g.cold && at.tFace.d <= 0)
	}
	return false
}

func (s *solver) leastConversion() float64 {
	least := 1.0
	for _, a := range s.conv {
		least = min(least, a)
	}
	return least
}

// record appends the state to steps.
func (s *solver) record(t float64, g goal) {
	n := s.n
	now := sample{t: t, core: point{s.conv[0], s.fConv[0]}, tCore: point{s.temp[0], s.fTemp[0]}}
	hot := 0
	for i, w := range s.share {
		now.mean.v += w * s.conv[i]
		now.mean.d += w * s.fConv[i]
		if s.temp[i] > s.temp[hot] {
			hot = i
		}
	}
	now.hot = point{s.temp[hot], s.fTemp[hot]}
	next := point{v: s.air}
	if n < s.all {
		next = point{s.temp[n], s.fTemp[n]}
	}
	now.tFace = point{s.faceIn*s.temp[n-1] + s.face*next.v, s.faceIn*s.fTemp[n-1] + s.face*next.d}
	if !g.meanOnly() {
		s.skin(&now, g.edges)
	}
	s.steps = append(s.steps, now)
}

// skin adds what has to be integrated along the way.
func (s *solver) skin(now *sample, edges bool) {
	now.gSkin.d = s.k(now.tFace.v)
	if edges {
		e, c := s.edge(now.tFace.v, now.tCore.v)
		now.gEdge.d, now.gCorner.d = s.k(e), s.k(c)
	}
	if last := len(s.steps) - 1; last >= 0 {
		s.integrate(&s.steps[last], now, edges)
	}
}

func (s *solver) k(t float64) float64 { return math.Exp(s.lnKc - s.ec/t) }

// Gauss-Legendre with three points on 0 to 1.
var (
	gaussAt     = [3]float64{0.5 - 0.3872983346207417, 0.5, 0.5 + 0.3872983346207417}
	gaussWeight = [3]float64{5.0 / 18, 8.0 / 18, 5.0 / 18}
)

// integrate adds a step's share to the integrals of K. The skin's conversion
// is not a cell's: the gradient is steep there and the answer would depend on
// the cells.
func (s *solver) integrate(from, to *sample, edges bool) {
	h := to.t - from.t
	to.gSkin.v, to.gEdge.v, to.gCorner.v = from.gSkin.v, from.gEdge.v, from.gCorner.v
	for i, x := range gaussAt {
		w := h * gaussWeight[i]
		face := hermite(from.tFace, to.tFace, h, x)
		to.gSkin.v += w * s.k(face)
		if edges {
			e, c := s.edge(face, hermite(from.tCore, to.tCore, h, x))
			to.gEdge.v += w * s.k(e)
			to.gCorner.v += w * s.k(c)
		}
	}
}

// edge gives the temperatures at an edge and a corner by the product rule for
// separable conduction; with a reaction it is an estimate.
func (s *solver) edge(face, core float64) (edge, corner float64) {
	phi := 1.0
	if math.Abs(core-s.air) > 0.5 {
		phi = min(max((face-s.air)/(core-s.air), 0), 1)
	}
	over := (face - s.air) * phi
	return s.air + over, s.air + over*phi
}

// hermite is the cubic through two points a time h apart, at a share x of it.
func hermite(a, b point, h, x float64) float64 {
	y := 1 - x
	return a.v*(1+2*x)*y*y + b.v*x*x*(3-2*x) + h*x*y*(a.d*y-b.d*x)
}

// slope is the cubic's derivative by x.
func slope(a, b point, h, x float64) float64 {
	y := 1 - x
	return 6*x*y*(b.v-a.v) + h*(a.d*y*(1-3*x)+b.d*x*(3*x-2))
}

// pick chooses a series of a sample.
type pick func(*sample) point

func pickMean(p *sample) point   { return p.mean }
func pickCore(p *sample) point   { return p.core }
func pickHot(p *sample) point    { return p.hot }
func pickFace(p *sample) point   { return p.tFace }
func pickSkin(p *sample) point   { return p.gSkin }
func pickEdge(p *sample) point   { return p.gEdge }
func pickCorner(p *sample) point { return p.gCorner }

// crossing is the first time a rising series reaches level; past the last
// sample it goes on at its last slope. +Inf where it does not rise.
func crossing(steps []sample, of pick, level float64) float64 {
	for i := 1; i < len(steps); i++ {
		b := of(&steps[i])
		if b.v < level {
			continue
		}
		a := of(&steps[i-1])
		if a.v >= level {
			return steps[i-1].t
		}
		h := steps[i].t - steps[i-1].t
		return steps[i-1].t + h*root(a, b, h, level)
	}
	last := &steps[len(steps)-1]
	p := of(last)
	if p.v >= level {
		return last.t
	}
	if !(p.d > 0) {
		return math.Inf(1)
	}
	return last.t + (level-p.v)/p.d
}

// root is where the cubic from a (on one side of level) to b (on the other)
// crosses it, by bisection.
func root(a, b point, h, level float64) float64 {
	lo, hi := 0.0, 1.0
	below := a.v < level
	for range 40 {
		x := (lo + hi) / 2
		if (hermite(a, b, h, x) < level) == below {
			lo = x
		} else {
			hi = x
		}
	}
	return (lo + hi) / 2
}

// highest is the greatest value of a series and its time. Peaks lie where the
// slope turns within a step.
func highest(steps []sample, of pick) (v, t float64) {
	first := of(&steps[0])
	v, t = first.v, 0
	for i := 1; i < len(steps); i++ {
		a, b := of(&steps[i-1]), of(&steps[i])
		h := steps[i].t - steps[i-1].t
		if b.v > v {
			v, t = b.v, steps[i].t
		}
		if !(a.d > 0 && b.d < 0) {
			continue
		}
		lo, hi := 0.0, 1.0
		for range 40 {
			x := (lo + hi) / 2
			if slope(a, b, h, x) > 0 {
				lo = x
			} else {
				hi = x
			}
		}
		if p := hermite(a, b, h, lo); p > v {
			v, t = p, steps[i-1].t+lo*h
		}
	}
	return v, t
}

// cooled is the time from which on a series stays below level, not before the
// time from. +Inf where the last sample is not below.
func cooled(steps []sample, of pick, level, from float64) float64 {
	last := len(steps) - 1
	if of(&steps[last]).v > level {
		return math.Inf(1)
	}
	for i := last; i > 0; i-- {
		if steps[i].t <= from {
			break
		}
		a, b := of(&steps[i-1]), of(&steps[i])
		if a.v > level {
			h := steps[i].t - steps[i-1].t
			return max(from, steps[i-1].t+h*root(a, b, h, level))
		}
	}
	return from
}
