package cure

import (
	"math"

	"github.com/pourwright/pourwright/internal/material"
)

// The conversion at demold is held to these.
const (
	leastDemold = 0.62
	mostDemold  = 0.995
)

// variant is a resin as one draw sees it, in agreement with its bulletin.
type variant struct {
	part   stuff
	heat   float64
	law    Law
	conv   float64 // surface, still air
	wall   float64 // factor on the conductivity of walls
	pot    float64 // s, the bulletin's pot life as drawn
	demold float64 // s, likewise; zero where not said
	sheet  float64 // m
	warmer float64 // K on the user's room, resin and mold
	thick  float64 // factor on the user's half thickness
	theta  float64 // u of the learned factor

	ready float64 // conversion at demold
	scale float64 // on demold times, 1 but where the bulletin's is beyond ready
}

// plain is the resin at the middle of everything.
func (r Resin) plain() variant {
	return variant{part: stuff{r.Cond, r.Rho, r.Cp}, heat: r.Heat, conv: surface, wall: 1,
		law: Law{E: r.E, B: r.B, N: r.Order, Tb: r.Temp},
		pot: r.PotLife, demold: r.Demold, sheet: r.Sheet, thick: 1, theta: 0.5, ready: defaultDemold, scale: 1}
}

// Spreads of the draws, as logarithms but for the heat, cp and temperature;
// judgement. The last two are for a figure that the bulletin left out: half
// or double the cup shifts a pot life by some 15 %, and so do 2 to 3 K.
const (
	heatSD    = 0.10
	condSD    = 0.12
	cpSD      = 0.06
	surfaceSD = 0.30
	wallSD    = 0.20
	tempSD    = 1.0 // K
	potSD     = 0.12
	demoldSD  = 0.15
	sheetSD   = 0.35
	thickSD   = 0.05
	massSD    = 0.15
	potTempSD = 0.15
)

// vary is the resin at one row of the hypercube. b is held to top, above zero.
func (r Resin) vary(u *[dims]float64, top float64) variant {
	v := r.plain()
	z := func(dim int) float64 { return normal(u[dim]) }
	spread := func(dim int, sd float64) float64 { return math.Exp(sd * z(dim)) }
	v.law.E = truncated(u[dimE], r.E, energySD, energyLow, energyTop)
	v.heat *= 1 + heatSD*z(dimHeat)
	v.part.k *= spread(dimCond, condSD)
	v.part.cp *= 1 + cpSD*z(dimCp)
	v.conv *= spread(dimSurface, surfaceSD)
	v.wall = spread(dimWall, wallSD)
	v.warmer = tempSD * z(dimTemp)
	sd := potSD
	if r.MassAssumed {
		sd = math.Hypot(sd, massSD)
	}
	if r.TempAssumed {
		sd = math.Hypot(sd, potTempSD)
	}
	v.pot *= spread(dimPot, sd)
	v.demold *= spread(dimDemold, demoldSD)
	if r.SheetAssumed {
		v.sheet *= spread(dimSheet, sheetSD)
		// Without a demold time the sheet is not used; its draw widens the
		// guess at the conversion.
		v.ready = 1 - (1-defaultDemold)*spread(dimSheet, sheetSD)
	}
	v.law.B = min(r.autocatalysis(u[dimAuto]), top)
	v.thick = spread(dimThick, thickSD)
	v.theta = u[dimTheta]
	return v
}

// autocatalysis is the quantile of b: from a third of the middle value to five
// thirds evenly, or, for an epoxy, 3 to 100 on a log scale.
func (r Resin) autocatalysis(u float64) float64 {
	if c, _ := chemistryOf(r.Family); c.wide {
		return c.low * math.Pow(c.high/c.low, u)
	}
	return r.B * (1.0/3 + 4*u/3)
}

// cells gives the grid for a body: the resin's own heat decides, not a draw's.
func (r Resin) cells(b *body) grid {
	like := *b
	like.heat = r.Heat
	return cellsFor(&like)
}

// cupCells gives the grid for a cup that is followed to its mean conversion
// only, which the front hardly moves: 24 cells are 0.4 % off at b = 100 and
// 380 kJ/kg, twice as many 0.1 %.
func (r Resin) cupCells(b *body) grid {
	g := r.cells(b)
	if r.Heat >= frontHeat {
		for i := range g {
			g[i] /= 2
		}
	}
	return g
}

// bench is what calibration and estimate of one goroutine work with.
type bench struct {
	s    solver
	r    Resin
	done <-chan struct{}
}

// fit finds K and the conversion at demold of a variant. guess is where the
// answer lies between K without loss and K without heat, 0 to 1. false means
// stopped.
func (w *bench) fit(v *variant, guess float64) (share float64, ok bool) {
	share, ok = w.fitRate(v, guess)
	if !ok || v.demold == 0 {
		return share, ok
	}
	return share, w.fitDemold(v)
}

// fitRate finds K with which the bulletin's cup reaches its pot life on time,
// to 1e-4. With a lossless cup K would be lowest, with an isothermal one
// highest, and the cup's time falls at least as 1/K.
func (w *bench) fitRate(v *variant, guess float64) (share float64, ok bool) {
	level := potConversion
	if w.r.AtGel {
		level = gelConversion
	}
	v.law.K = 1
	low := math.Log(v.law.adiabaticG(level, v.heat/v.part.cp, v.law.Tb) / v.pot)
	high := math.Log(v.law.G(level) / v.pot)
	lo, hi := low-0.02, high+0.02
	b := cup(w.r.PotMass, v.part, v.heat, v.conv, v.law.Tb)
	g := w.r.cupCells(&b)
	miss := func(lnK float64) (float64, bool) {
		v.law.K = math.Exp(lnK)
		w.s.start(&b, v.law, g, defaultTol)
		ok := w.s.run(goal{mean: level}, w.done)
		return math.Log(crossing(w.s.steps, pickMean, level) / v.pot), ok
	}
	x := low + guess*(high-low)
	var xBefore, fBefore float64
	for i := range 40 {
		f, ok := miss(x)
		if !ok {
			return 0, false
		}
		if math.Abs(f) < 1e-4 || hi-lo < 1e-9 {
			break
		}
		if f > 0 {
			lo = x
		} else {
			hi = x
		}
		step := f
		if i > 0 && f != fBefore {
			step = -f * (x - xBefore) / (f - fBefore)
		}
		xBefore, fBefore = x, f
		x += step
		if !(x > lo && x < hi) {
			x = (lo + hi) / 2
		}
	}
	return (x - low) / max(high-low, 1e-12), true
}

// fitDemold finds the conversion of the bulletin's sheet at its demold time.
// Past the most that is believable, demold times are scaled so that the sheet
// answers the bulletin's own time and never an earlier one.
func (w *bench) fitDemold(v *variant) bool {
	b := sheet(v.sheet, v.part, v.heat, v.conv, v.wall, v.law.Tb)
	w.s.start(&b, v.law, w.r.cells(&b), defaultTol)
	if !w.s.run(goal{until: v.demold}, w.done) {
		return false
	}
	v.ready = min(conversionAt(w.s.steps, pickCore, v.demold), v.law.inverseG(valueAt(w.s.steps, pickSkin, v.demold)))
	v.scale = 1
	if v.ready > mostDemold {
		v.ready = mostDemold
		v.scale = v.demold / max(crossing(w.s.steps, pickCore, v.ready), crossing(w.s.steps, pickSkin, v.law.G(v.ready)))
	}
	return true
}

// valueAt is a series at a time within the steps.
func valueAt(steps []sample, of pick, t float64) float64 {
	for i := 1; i < len(steps); i++ {
		if steps[i].t >= t {
			h := steps[i].t - steps[i-1].t
			return hermite(of(&steps[i-1]), of(&steps[i]), h, (t-steps[i-1].t)/h)
		}
	}
	return of(&steps[len(steps)-1]).v
}

func conversionAt(steps []sample, of pick, t float64) float64 {
	return min(max(valueAt(steps, of, t), 0), 1)
}

// Temperatures of the part's hottest spot.
const (
	warnPeak = 100 + zeroC // K; judgement
	stopPeak = 120 + zeroC // K; judgement
)

// capB is the largest autocatalysis with which a slab as deep as the bulletin
// allows stays at 100 °C or below: the maker says that this depth is safe.
// +Inf where the bulletin gives no depth or any value will do.
func (w *bench) capB(guess float64) (float64, bool) {
	if w.r.MaxDepth == 0 || w.r.Family != material.Epoxy {
		return math.Inf(1), true
	}
	c, _ := chemistryOf(w.r.Family)
	safe := func(b float64) (bool, bool) {
		v := w.r.plain()
		v.law.B = b
		var ok bool
		if guess, ok = w.fitRate(&v, guess); !ok {
			return false, false
		}
		slab := sheet(w.r.MaxDepth, v.part, v.heat, v.conv, v.wall, v.law.Tb)
		peak, ok := w.peakUpTo(&slab, v.law, warnPeak)
		return peak <= warnPeak, ok
	}
	if is, ok := safe(c.high); !ok || is {
		return math.Inf(1), ok
	}
	lo, hi := math.Log(c.low), math.Log(c.high)
	for hi-lo > 0.01 {
		mid := (lo + hi) / 2
		is, ok := safe(math.Exp(mid))
		switch {
		case !ok:
			return 0, false
		case is:
			lo = mid
		default:
			hi = mid
		}
	}
	return math.Exp(lo), true
}
