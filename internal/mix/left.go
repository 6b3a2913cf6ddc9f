package mix

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// Largest is the largest batch that two jugs make.
type Largest struct {
	A, B         float64 // g or mL to use, as the scale shows them
	LeftA, LeftB float64 // what stays in the jugs
	ByVolume     bool
	MassTotal    float64       // g; zero where unknown
	VolumeTotal  float64       // mL; zero where unknown
	Limit        material.Side // the jug that runs out; none where both do
	RatioError   float64
	Steps        []working.Step
}

// LargestBatch is M = min(a/wA, b/wB)·(wA + wB), rounded down to the scale so
// that neither jug is overdrawn. step is in g; zero is DefaultStep. Errors: as
// Judge, and out_of_range where less than a step of a part is left.
func LargestBatch(m material.Profile, aLeft, bLeft quantity.Quantity, step float64) (Largest, error) {
	if step == 0 {
		step = DefaultStep
	}
	if err := CheckStep(step); err != nil {
		return Largest{}, err
	}
	p, err := pairOf(m, aLeft, bLeft, "a_left", "b_left")
	if err != nil {
		return Largest{}, err
	}
	l := Largest{ByVolume: p.dim == quantity.Volume}
	limit := min(p.a/p.r.A, p.b/p.r.B)
	l.Steps = working.Add(nil, "largest batch", "min(a/rA, b/rB)·(rA + rB)", working.Definition, "min(%s/%s, %s/%s) × %s = %s %s",
		num(p.a), num(p.r.A), num(p.b), num(p.r.B), num(p.r.A+p.r.B), num(limit*(p.r.A+p.r.B)), p.unit())
	switch diff := p.a/p.r.A - p.b/p.r.B; {
	case diff < -1e-12*limit:
		l.Limit = material.SideA
	case diff > 1e-12*limit:
		l.Limit = material.SideB
	}
	if l.ByVolume {
		l.A, l.B = limit*p.r.A, limit*p.r.B
	} else {
		w, ok := AtMost(p.a, p.b, p.r, step)
		if !ok {
			return Largest{}, fault.New(fault.OutOfRange, "there is too little left to weigh a batch at steps of %s g", num(step)).
				In("a_left").Hint("give what is in each jug, such as a_left:\"610 g\" b_left:\"480 g\"")
		}
		l.A, l.B, l.RatioError = w.A, w.B, w.Error
		l.Steps = working.Add(l.Steps, "rounded down to the scale", "least |(B/A)/(wB/wA) − 1|", working.Definition, "A %s g + B %s g, off by %s %%", num(w.A), num(w.B), num(100*w.Error))
	}
	if l.A == 0 || l.B == 0 {
		return Largest{}, fault.New(fault.OutOfRange, "one jug is empty, so nothing can be mixed").In("a_left").Hint("give what is in each jug, such as a_left:\"610 g\" b_left:\"480 g\"")
	}
	l.finish(m, p)
	return l, nil
}

func (l *Largest) finish(m material.Profile, p pair) {
	l.LeftA, l.LeftB = clean(p.a-l.A), clean(p.b-l.B)
	if l.ByVolume {
		l.VolumeTotal = l.A + l.B
		if m.DensityA > 0 && m.DensityB > 0 {
			l.MassTotal = l.A*m.DensityA + l.B*m.DensityB
		}
		return
	}
	l.MassTotal = clean(l.A + l.B)
	if d, ok := m.Mixed(); ok {
		l.VolumeTotal = l.MassTotal / d.Value
	}
}

// clean takes the float noise off a sum of decimal amounts: a millionth of a
// gram is no amount.
func clean(v float64) float64 { return math.Round(v*1e6) / 1e6 }
