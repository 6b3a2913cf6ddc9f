package cure

import (
	"math"
	"slices"
)

// Depths in m between which the deepest pour is looked for, and how closely.
const (
	liftLeast = 0.0005
	liftMost  = 0.200
	liftSteps = 8
)

// depth finds the deepest single pour and the number of pours, where this one
// runs hot, the bulletin has a limit, or the setup asks. false means stopped.
func (e *estimate) depth() bool {
	if e.p.inCup {
		return true
	}
	r, out := e.m.Resin, &e.out
	out.OneGo = e.s.oneGo()
	deep := e.s.Thickest / 1000
	hot := out.Peak.High+zeroC > warnPeak
	switch {
	case r.MaxDepth > 0:
		out.MaxLift, out.LiftFrom = r.MaxDepth, LiftDepth
	case hot || e.s.Lift:
		lift, ok := e.deepest(hotDraws, draws/10)
		if !ok {
			return false
		}
		out.MaxLift, out.LiftFrom = lift, LiftModel
		if out.LiftEven, ok = e.deepest(evenDraws, draws/2); !ok {
			return false
		}
	default:
		out.Lifts = 1
		return true
	}
	if out.LiftFrom == LiftModel {
		out.MaxLift = math.Floor(1e4*out.MaxLift) / 1e4 // whole tenths of a mm
		out.LiftEven = max(math.Floor(1e4*out.LiftEven)/1e4, out.MaxLift)
	} else {
		out.LiftEven = out.MaxLift
	}
	out.Lifts = int(math.Ceil(deep/out.MaxLift - 1e-9))
	if r.MaxMass > 0 && e.s.Volume > 0 {
		out.Lifts = max(out.Lifts, int(math.Ceil(e.s.Volume*1e-6*r.Rho/r.MaxMass-1e-9)))
	}
	if out.LiftFrom == LiftModel && !hot {
		out.Lifts = 1 // this mold takes up what an insulating base would not
	}
	out.MaxLift *= 1000
	out.LiftEven *= 1000
	return true
}

// layerSection and layerVolume are from when on a closed mold is thick and large
// enough to be filled lift by lift; judgement. The section is that from which a
// pour counts as deep, common practice, no source.
const (
	layerSection = 25.0  // mm
	layerVolume  = 100.0 // mL
)

// shut reports that a mold holds the whole part, with no face open.
func (s *Setup) shut() bool { return s.Closed && !s.OpenTop }

// oneGo reports whether nobody would fill this in lifts: closed, and thin or
// small. An open face takes lifts, and so may what no mold is known of.
func (s *Setup) oneGo() bool {
	return s.shut() && (s.Thickest < layerSection || s.Volume > 0 && s.Volume < layerVolume)
}

// deepest is the depth in m of a slab on a bottom that takes no heat, open
// above, at which that many draws pass 100 °C; the hottest few are run.
func (e *estimate) deepest(few, pass int) (float64, bool) {
	w := &bench{r: e.m.Resin, done: e.done}
	return e.m.largest(w, e.workers, liftLeast, liftMost, hottest(func(i int) float64 { return e.walled[i].peak }, few), pass,
		func(w *bench, v *variant, depth float64) body {
			b := e.p.body(v, true)
			b.r, b.s = depth*v.thick, 1
			return b
		})
}

// hotDraws are enough to settle p90: it rests on the seven hottest, and these
// hardly change places with size. evenDraws are for the median.
const (
	hotDraws  = 20
	evenDraws = 44
)

// largest is the size between lo and hi, found by bisection on its logarithm,
// at which that many of the draws pass 100 °C; among are the draws to run.
func (m *Model) largest(w *bench, workers int, lo, hi float64, among []int, pass int, of func(*bench, *variant, float64) body) (float64, bool) {
	lo, hi = math.Log(lo), math.Log(hi)
	for range liftSteps {
		mid := (lo + hi) / 2
		over := make([]bool, len(among))
		ok := m.spread(w, workers, func(w *bench, i int) bool {
			if i >= len(among) {
				return true
			}
			v := &m.each[among[i]]
			b := of(w, v, math.Exp(mid))
			peak, ok := w.peakUpTo(&b, v.law, warnPeak)
			over[i] = peak > warnPeak
			return ok
		})
		if !ok {
			return 0, false
		}
		if count(over) <= pass {
			lo = mid
		} else {
			hi = mid
		}
	}
	return math.Exp(lo), true
}

func count(flags []bool) (n int) {
	for _, f := range flags {
		if f {
			n++
		}
	}
	return n
}

// peakUpTo is the peak of a body in K; a run that passes enough may end there.
func (w *bench) peakUpTo(b *body, law Law, enough float64) (float64, bool) {
	w.s.start(b, law, w.r.cells(b), defaultTol)
	ok := w.s.run(goal{peak: true, hot: enough}, w.done)
	peak, _ := highest(w.s.steps, pickHot)
	return peak, ok
}

// hottest lists the n draws of the highest peaks, hottest first.
func hottest(peak func(i int) float64, n int) []int {
	all := make([]int, draws)
	for i := range all {
		all[i] = i
	}
	slices.SortFunc(all, func(a, b int) int {
		switch x, y := peak(a), peak(b); {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return a - b
	})
	return all[:n]
}
