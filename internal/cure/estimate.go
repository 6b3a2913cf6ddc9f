package cure

import (
	"math"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Estimate fits the resin and answers for a pour; callers that ask more than
// once about a resin keep its Model. Errors are those of Model's
// Estimate.
func Estimate(r Resin, s Setup, l Learned, workers int, done <-chan struct{}) (Result, error) {
	m, err := Calibrate(r, workers, done)
	if err != nil {
		return Result{}, err
	}
	return m.Estimate(s, l, workers, done)
}

// Estimate answers for a pour. workers is how many goroutines may run at a
// time (1 or more); the result does not depend on it. Errors: out_of_range,
// missing_option, too_many_options, not_found with the option's name, and
// ErrStopped.
func (m *Model) Estimate(s Setup, l Learned, workers int, done <-chan struct{}) (Result, error) {
	p, err := m.Resin.place(s)
	if err != nil {
		return Result{}, err
	}
	e := estimate{m: m, s: s, p: p, l: l, workers: workers, done: done}
	if !e.simulate() {
		return Result{}, ErrStopped
	}
	e.collect()
	if !e.depth() {
		return Result{}, ErrStopped
	}
	e.call()
	e.judge()
	e.assumed()
	e.draw()
	e.steps()
	return e.out, nil
}

// estimate carries what the stages share.
type estimate struct {
	m       *Model
	s       Setup
	p       place
	l       Learned
	workers int
	done    <-chan struct{}

	walled [draws]outcome
	bare   [draws]outcome // of an open pour: as if no wall were there
	traces [draws]trace
	out    Result
}

func (e *estimate) simulate() bool {
	w := &bench{r: e.m.Resin, done: e.done}
	return e.m.spread(w, e.workers, func(w *bench, i int) bool {
		var ok bool
		v := &e.m.each[i]
		if e.walled[i], ok = w.outcome(v, &e.p, false, &e.traces[i]); !ok || !e.p.open {
			return ok
		}
		e.bare[i], ok = w.outcome(v, &e.p, true, nil)
		return ok
	})
}

// over is the range of a value over the draws; of an open pour the wider of
// both runs' ends.
func (e *estimate) over(of func(*outcome) float64) quantity.Range {
	r := band(&e.walled, of)
	if e.p.open {
		b := band(&e.bare, of)
		r = quantity.Range{Low: min(r.Low, b.Low), Mid: (r.Mid + b.Mid) / 2, High: max(r.High, b.High)}
	}
	return r
}

func band(rows *[draws]outcome, of func(*outcome) float64) quantity.Range {
	v := make([]float64, draws)
	for i := range rows {
		v[i] = finite(of(&rows[i]))
	}
	return rangeOf(sorted(v))
}

func (o *outcome) demold() float64 { return max(o.thick, o.thin) }

// collect turns the outcomes into ranges. What was learned scales demold
// times, not gel, peaks or warnings.
func (e *estimate) collect() {
	e.learn()
	learned := func(o *outcome) float64 { return o.factor }
	r := &e.out
	r.PotLife = e.over(func(o *outcome) float64 { return o.pot })
	r.GelCore = e.over(func(o *outcome) float64 { return o.gelCore })
	r.GelSkin = e.over(func(o *outcome) float64 { return o.gelSkin })
	r.Gel = quantity.Range{Low: min(r.GelCore.Low, r.GelSkin.Low), Mid: r.GelCore.Mid, High: max(r.GelCore.High, r.GelSkin.High)}
	r.Demold = e.over(func(o *outcome) float64 { return o.demold() * learned(o) })
	r.ThickDemold = e.over(func(o *outcome) float64 { return o.thick * learned(o) })
	r.ThinDemold = r.ThickDemold
	if e.p.thin > 0 {
		r.ThinDemold = e.over(func(o *outcome) float64 { return o.thin * learned(o) })
	}
	r.Edge = e.over(func(o *outcome) float64 { return o.edge * learned(o) })
	r.Corner = e.over(func(o *outcome) float64 { return o.corner * learned(o) })
	r.Physics = e.over((*outcome).demold).Mid
	r.Cool = e.over(func(o *outcome) float64 { return o.cool })
	r.Peak = celsius(e.over(func(o *outcome) float64 { return o.peak }))
	r.PeakAt = e.over(func(o *outcome) float64 { return o.peakAt })
	r.FacePeak = celsius(e.over(func(o *outcome) float64 { return o.facePeak }))
	r.Ready = e.m.mid.ready
	r.OwnLogs, r.SharedLogs = e.l.Own, e.l.Shared
	e.fullCure()
	e.bulletinTimes()
}

// learn gives each draw its quantile of the learned factor.
func (e *estimate) learn() {
	l := e.l
	if l.sum == 0 {
		l = Learn(nil)
	}
	for i := range e.m.each {
		f := l.Factor(e.m.each[i].theta)
		e.walled[i].factor, e.bare[i].factor = f, f
	}
}

// leastFull is the room in K below which full cure cannot be told: many
// systems then never get there.
const leastFull = 15 + zeroC // common practice, no source

// fullCure moves the bulletin's figure to the room's temperature, and counts a
// post cure by the same factor. Thickness has no part in it.
func (e *estimate) fullCure() {
	r := e.m.Resin
	if r.FullCure == 0 || e.p.air < leastFull {
		return
	}
	v := make([]float64, draws)
	for i := range v {
		x := &e.m.each[i]
		in := func(t float64) float64 { return r.FullCure * timeFactor(x.law.E, t, r.Temp) }
		room := in(e.p.air + x.warmer)
		v[i] = room
		if post := e.s.Post; post != nil {
			start := min(finite(e.walled[i].demold()*e.walled[i].factor), room)
			warm := in(post.Temp + zeroC)
			left := 1 - start/room // share still to go at demold
			if inOven := left * warm; inOven < post.Time {
				v[i] = start + inOven
			} else {
				v[i] = start + post.Time + (left-post.Time/warm)*room
			}
		}
	}
	e.out.FullCure = rangeOf(sorted(v))
}

// bulletinTimes puts the bulletin's own times where the law has none to give:
// a peroxide cure waits, then gels at a low conversion.
func (e *estimate) bulletinTimes() {
	if e.m.Resin.Family != material.Polyester {
		return
	}
	r, out := e.m.Resin, &e.out
	out.PotLife = quantity.Exactly(r.PotLife)
	out.GelCore, out.GelSkin, out.Gel = quantity.Range{}, quantity.Range{}, quantity.Range{}
	out.Demold = quantity.Exactly(r.Demold)
	out.ThickDemold, out.ThinDemold, out.Edge, out.Corner = out.Demold, out.Demold, out.Demold, out.Demold
	out.Physics, out.PeakAt, out.Cool, out.Ready = r.Demold, quantity.Range{}, quantity.Range{}, 0
}

// A slow rubber's bulletin time is not to be halved on the model's word alone.
const (
	slowRubber     = 4 * 3600.0 // s, bulletin demold time from which it is slow; judgement
	slowRubberLogs = 3
)

func (e *estimate) slowRubber() bool {
	r := e.m.Resin
	return r.Family.Rubber() && r.Demold >= slowRubber && e.out.Demold.Mid < r.Demold/2 && e.l.Logs() < slowRubberLogs
}

// call settles the range to lead with and when to call people back.
func (e *estimate) call() {
	e.out.Title = e.out.Demold
	if e.slowRubber() {
		e.out.Title = quantity.Exactly(e.m.Resin.Demold)
	}
	e.out.Remind = max(e.out.Title.High, e.out.Cool.High)
}

// draw makes the curves up to a little past the last mark on them.
func (e *estimate) draw() {
	end := max(e.out.ThickDemold.High, e.out.GelSkin.High, 1.5*e.out.PeakAt.High)
	if d := e.out.Demold.High; d < 6*end {
		end = max(end, d)
	}
	if c := e.out.Cool.High; c < 3*end {
		end = max(end, c)
	}
	e.out.Curves = curves(e.traces[:], 1.1*math.Max(end, 60))
}
