package cure

import "math"

// The part's face in K below which it can be handled, and cast onto.
const coolFace = 45 + zeroC // judgement

// outcome is what one draw gives, s and K.
type outcome struct {
	pot              float64
	gelCore, gelSkin float64
	thick            float64 // demold of the thickest section, nothing learned
	edge, corner     float64
	cool             float64
	peak, peakAt     float64
	facePeak         float64
	thin             float64 // demold of the thinnest section; zero without one
	factor           float64 // learned, on demold times
}

// body is the part as a draw sees it; bare leaves the walls out.
func (p *place) body(v *variant, bare bool) body {
	b := body{r: p.r * v.thick, s: p.s, part: v.part, heat: v.heat, conv: v.conv * p.conv,
		air: p.air + v.warmer, part0: p.part0 + v.warmer, wall0: p.wall0 + v.warmer}
	if p.inCup {
		b.r, b.s = cupRadius(p.cup, v.part.rho)*v.thick, 3
		b.walls = p.walls
		return b
	}
	if bare {
		return b
	}
	b.walls = p.walls
	for i := range b.walls {
		b.walls[i].k *= v.wall
	}
	return b
}

// potLife is the time to the end of the pot life of a cup in the room.
func (w *bench) potLife(v *variant, p *place) (float64, bool) {
	b := cup(p.cup, v.part, v.heat, v.conv, p.air+v.warmer)
	b.part0 = p.part0 + v.warmer
	w.s.start(&b, v.law, w.r.cupCells(&b), defaultTol)
	ok := w.s.run(goal{mean: potConversion}, w.done)
	return crossing(w.s.steps, pickMean, potConversion), ok
}

// part runs the thickest section and reads everything off it. The steps stay
// in the solver.
func (w *bench) part(v *variant, p *place, bare bool, o *outcome) bool {
	b := p.body(v, bare)
	w.s.start(&b, v.law, w.r.cells(&b), defaultTol)
	x := max(0.9, v.ready)
	cold := max(coolFace, b.air+3)
	if !w.s.run(goal{least: x + 0.25*(1-x), cold: cold, edges: true}, w.done) {
		return false
	}
	steps := w.s.steps
	o.gelCore = crossing(steps, pickCore, gelConversion)
	o.gelSkin = crossing(steps, pickSkin, v.law.G(gelConversion))
	ready := v.law.G(v.ready)
	face := max(crossing(steps, pickCore, v.ready), crossing(steps, pickSkin, ready))
	o.thick = face * v.scale
	o.edge = max(face, crossing(steps, pickEdge, ready)) * v.scale
	o.corner = max(face, crossing(steps, pickCorner, ready)) * v.scale
	o.peak, o.peakAt = highest(steps, pickHot)
	o.facePeak, _ = highest(steps, pickFace)
	o.cool = cooled(steps, pickFace, cold, o.peakAt)
	return true
}

// hotter takes the peak of the same section as a long rod, where thin skirts
// set the area.
func (w *bench) hotter(v *variant, p *place, o *outcome) bool {
	b := p.body(v, false)
	b.s = 2
	w.s.start(&b, v.law, w.r.cells(&b), defaultTol)
	if !w.s.run(goal{peak: true}, w.done) {
		return false
	}
	if peak, at := highest(w.s.steps, pickHot); peak > o.peak {
		o.peak, o.peakAt = peak, at
	}
	return true
}

// thinnest is the demold time of the thinnest section as a plate.
func (w *bench) thinnest(v *variant, p *place, bare bool) (float64, bool) {
	b := p.body(v, bare)
	b.r, b.s = p.thin*v.thick, 1
	w.s.start(&b, v.law, w.r.cells(&b), defaultTol)
	x := max(0.9, v.ready)
	ok := w.s.run(goal{least: x + 0.25*(1-x)}, w.done)
	t := max(crossing(w.s.steps, pickCore, v.ready), crossing(w.s.steps, pickSkin, v.law.G(v.ready)))
	return t * v.scale, ok
}

// outcome runs all that a draw needs; keep, if not nil, gets the steps of the
// thickest section.
func (w *bench) outcome(v *variant, p *place, bare bool, keep *trace) (o outcome, ok bool) {
	if o.pot, ok = w.potLife(v, p); !ok {
		return o, false
	}
	if !w.part(v, p, bare, &o) {
		return o, false
	}
	if keep != nil {
		keep.take(w.s.steps, v.law, w.s.air)
	}
	if p.raw > 3 && !p.inCup && !w.hotter(v, p, &o) {
		return o, false
	}
	if p.thin > 0 {
		o.thin, ok = w.thinnest(v, p, bare)
	}
	return o, ok
}

// finite holds a time to the longest that is looked at.
func finite(t float64) float64 {
	if math.IsNaN(t) {
		return longestRun
	}
	return min(t, longestRun)
}
