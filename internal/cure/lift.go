package cure

import (
	"math"
	"slices"
)

// Depths in m between which the deepest pour is looked for, and how closely.
const (
	liftLeast = 0.001
	liftMost  = 0.200
	liftSteps = 7
)

// depth finds the deepest single pour and the number of pours, where this one
// runs hot, the bulletin has a limit, or the setup asks. false means stopped.
func (e *estimate) depth() bool {
	if e.p.inCup {
		return true
	}
	r, out := e.m.Resin, &e.out
	deep := e.s.Thickest / 1000
	hot := out.Peak.High+zeroC > warnPeak
	switch {
	case r.MaxDepth > 0:
		out.MaxLift, out.LiftFrom = r.MaxDepth, LiftDepth
	case hot || e.s.Lift:
		lift, ok := e.deepest()
		if !ok {
			return false
		}
		out.MaxLift, out.LiftFrom = lift, LiftModel
	default:
		out.Lifts = 1
		return true
	}
	out.Lifts = int(math.Ceil(deep/out.MaxLift - 1e-9))
	if out.LiftFrom == LiftModel {
		out.MaxLift = math.Floor(1000*out.MaxLift*10) / 10000
		out.Lifts = int(math.Ceil(deep/out.MaxLift - 1e-9))
	}
	if r.MaxMass > 0 && e.s.Volume > 0 {
		out.Lifts = max(out.Lifts, int(math.Ceil(e.s.Volume*1e-6*r.Rho/r.MaxMass-1e-9)))
	}
	out.MaxLift *= 1000
	return true
}

// deepest is the depth of a slab on a bottom that takes no heat, open above,
// whose p90 peak stays at 100 °C, by bisection. p90 rests on the hottest draws
// alone, so only the hottest third is run.
func (e *estimate) deepest() (float64, bool) {
	hot := e.hottest(draws / 3)
	lo, hi := math.Log(liftLeast), math.Log(liftMost)
	for range liftSteps {
		mid := (lo + hi) / 2
		ok, finished := e.liftSafe(math.Exp(mid), hot)
		if !finished {
			return 0, false
		}
		if ok {
			lo = mid
		} else {
			hi = mid
		}
	}
	return math.Exp(lo), true
}

// hottest lists the draws by peak, hottest first, n of them.
func (e *estimate) hottest(n int) []int {
	all := make([]int, draws)
	for i := range all {
		all[i] = i
	}
	slices.SortFunc(all, func(a, b int) int {
		switch x, y := e.walled[a].peak, e.walled[b].peak; {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return a - b
	})
	return all[:n]
}

// liftSafe reports whether at most a tenth of the draws pass 100 °C.
func (e *estimate) liftSafe(depth float64, among []int) (safe, finished bool) {
	over := make([]bool, len(among))
	w := &bench{r: e.m.Resin, done: e.done}
	ok := e.m.spread(w, e.workers, func(w *bench, i int) bool {
		if i >= len(among) {
			return true
		}
		peak, ok := w.liftPeak(&e.m.each[among[i]], &e.p, depth)
		over[i] = peak > warnPeak
		return ok
	})
	n := 0
	for _, o := range over {
		if o {
			n++
		}
	}
	return n <= draws/10, ok
}

func (w *bench) liftPeak(v *variant, p *place, depth float64) (float64, bool) {
	b := p.body(v, true)
	b.r, b.s = depth*v.thick, 1
	w.s.start(&b, v.law, w.r.cells(&b), defaultTol)
	ok := w.s.run(goal{peak: true, hot: warnPeak}, w.done)
	peak, _ := highest(w.s.steps, pickHot)
	return peak, ok
}
