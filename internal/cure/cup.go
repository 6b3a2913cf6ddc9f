package cure

import (
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Revision numbers the answers of Cup and CalmCup: whoever keeps them asks anew
// where it has changed. Any change of the model that moves them raises it; a
// test holds it against them.
const Revision = 1

// Cup is a batch in one cup. Mass in g; temperatures in °C, Resin being the
// room's where not said.
type Cup struct {
	Mass   float64
	Room   float64
	Resin  *float64
	System quantity.System // of remarks
}

// CupResult is what that cup does: the pot life in s from the start of mixing,
// and how hot it gets, in °C, if it is left standing.
type CupResult struct {
	PotLife      quantity.Range
	Peak, PeakAt quantity.Range
	Remarks      []Remark
}

// Cup answers for a full plastic cup as high as wide: what Estimate tells of
// it, and nothing of its cure beyond the peak, in a fraction of the time.
// Errors as of Estimate.
func (m *Model) Cup(c Cup, workers int, done <-chan struct{}) (CupResult, error) {
	s := c.setup()
	p, err := m.Resin.place(s)
	if err != nil {
		return CupResult{}, err
	}
	e := estimate{m: m, s: s, p: p, workers: workers, done: done}
	ok := m.spread(&bench{r: m.Resin, done: done}, workers, func(w *bench, i int) bool {
		return w.standing(&m.each[i], &p, &e.walled[i])
	})
	if !ok {
		return CupResult{}, ErrStopped
	}
	e.out.PotLife = e.over(func(o *outcome) float64 { return o.pot })
	e.out.Peak = celsius(e.over(func(o *outcome) float64 { return o.peak }))
	e.out.PeakAt = e.over(func(o *outcome) float64 { return o.peakAt })
	if m.Resin.Family == material.Polyester {
		e.out.PotLife, e.out.PeakAt = quantity.Exactly(m.Resin.PotLife), quantity.Range{}
	}
	e.judgeHeat()
	e.judgeLimits()
	e.judgeRoom()
	return CupResult{PotLife: e.out.PotLife, Peak: e.out.Peak, PeakAt: e.out.PeakAt, Remarks: e.out.Remarks}, nil
}

// standingConversion is the mean by which the hottest spot of a cup has peaked;
// tried against whole runs.
const standingConversion = 0.99

// standing is the pot life of a cup and the peak of one that is left in it.
func (w *bench) standing(v *variant, p *place, o *outcome) (ok bool) {
	if o.pot, ok = w.potLife(v, p); !ok {
		return false
	}
	b := p.body(v, false)
	w.s.start(&b, v.law, w.r.cells(&b), defaultTol)
	// A front may dip before it peaks, so the run does not end at the first fall.
	ok = w.s.run(goal{mean: standingConversion}, w.done)
	o.peak, o.peakAt = highest(w.s.steps, pickHot)
	return ok
}

func (c Cup) setup() Setup {
	return Setup{InCup: true, Mass: c.Mass, Room: c.Room, Resin: c.Resin, System: c.System}
}

// CalmCup is the largest mass in g, from 1 g to 20 kg, that stays at 100 °C or
// below in nine of ten draws even if it is left in its cup: how to split one
// that would run away. Many fast resins have none worth mixing. Errors as of
// Estimate; the Mass of c is not used.
func (m *Model) CalmCup(c Cup, workers int, done <-chan struct{}) (float64, error) {
	c.Mass = 1000 * m.Resin.PotMass
	p, err := m.Resin.place(c.setup())
	if err != nil {
		return 0, err
	}
	w := &bench{r: m.Resin, done: done}
	all := make([]int, draws)
	for i := range all {
		all[i] = i
	}
	kg, ok := m.largest(w, workers, massSpan.least/1000, massSpan.most/1000, all, draws/10, func(_ *bench, v *variant, kg float64) body {
		b := cup(kg, v.part, v.heat, v.conv, p.air+v.warmer)
		b.part0 = p.part0 + v.warmer
		return b
	})
	if !ok {
		return 0, ErrStopped
	}
	return 1000 * kg, nil
}
