package mix

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/working"
)

// cups splits the batch and rounds each cup to the scale.
func (b *builder) cups() {
	p := b.w.Profile
	b.out.Pace = PaceOf(p)
	shares := b.shares()
	b.out.Cups = make([]Cup, b.cupsN)
	for i := range b.out.Cups {
		c := &b.out.Cups[i]
		c.Fills = shares.fills[i]
		if b.byVol {
			s := Shares(b.volume*shares.of[i], b.r.A, b.r.B)
			if b.w.Filler != nil {
				s = Shares(b.mass*shares.of[i]/b.resin, b.r.A, b.r.B)
			}
			c.VolumeA, c.VolumeB = s[0], s[1]
		} else {
			w := b.weigh(b.mass * shares.of[i])
			c.A, c.B = w.A, w.B
			c.VolumeA, c.VolumeB = volumes(p, w.A, w.B)
		}
		b.weighFiller(c, shares.of[i])
	}
	starts(b.out.Cups, b.out.Pace)
	b.sum()
}

// share is each cup's part of the batch and the fillings it serves.
type share struct {
	of    []float64
	fills []int
}

// shares gives each cup whole fillings where that fits the cup, so that no
// mold is filled from two; else equal parts.
func (b *builder) shares() share {
	n := b.cupsN
	s := share{of: make([]float64, n), fills: make([]int, n)}
	if b.w.Fills >= n && b.w.Fills > 0 && b.w.Mass == 0 {
		s.fills = Spread(b.w.Fills, n)
		for i := range n {
			s.of[i] = b.poured(s.fills[i], i == n-1) / b.volume
		}
		if b.w.CupSize == 0 || slices.Max(s.of)*b.volume <= b.w.CupSize*(1+1e-9) {
			return s
		}
	}
	clear(s.fills)
	for i := range n {
		s.of[i] = 1 / float64(n)
	}
	return s
}

// poured is the mL of a cup for its fillings, with its own part of the waste:
// as much clings to a small cup as to a large one.
func (b *builder) poured(fills int, last bool) float64 {
	v := float64(fills) * b.w.fill()
	if last {
		v += b.w.lastFill() - b.w.fill()
	}
	if waste := b.out.Waste.Volume; waste > 0 {
		return v + waste/float64(b.cupsN)
	}
	return v * (1 + b.out.Waste.Fraction)
}

func (b *builder) weigh(mass float64) Weighed {
	if b.w.Mass > 0 {
		return Near(mass, b.r, b.w.Step)
	}
	return AtLeast(mass, b.r, b.w.Step)
}

// weighFiller follows the resin as weighed, so that its load stays true.
func (b *builder) weighFiller(c *Cup, of float64) {
	f := b.w.Filler
	if f == nil {
		return
	}
	resin := c.A + c.B
	if b.byVol {
		resin = b.mass * of
	}
	c.Filler = toStep(resin*f.PHR/100, b.w.Step)
}

// sum adds the cups up. Sums are put back on the scale's grid, so that three
// cups of 0.1 g are 0.3 g.
func (b *builder) sum() {
	o := &b.out
	for _, c := range o.Cups {
		o.MassA += c.A
		o.MassB += c.B
		o.MassFiller += c.Filler
		o.VolumeA += c.VolumeA
		o.VolumeB += c.VolumeB
	}
	for _, v := range []*float64{&o.MassA, &o.MassB, &o.MassFiller} {
		*v = toStep(*v, b.w.Step)
	}
	if b.byVol {
		o.VolumeTotal = b.volume
		if o.Density > 0 {
			o.MassTotal = o.VolumeTotal * o.Density
		}
		return
	}
	o.MassTotal = toStep(o.MassA+o.MassB+o.MassFiller, b.w.Step)
	p := b.w.Profile
	switch {
	case p.DensityMixed == 0 && b.w.Filler == nil && o.VolumeA > 0 && o.VolumeB > 0:
		o.VolumeTotal = o.VolumeA + o.VolumeB // of A and B as weighed
	case o.Density > 0:
		o.VolumeTotal = o.MassTotal / o.Density
	}
	o.RatioError = OffRatio(o.MassA, o.MassB, b.r)
}

// judge fills in what the numbers mean.
func (b *builder) judge() {
	o, p := &b.out, b.w.Profile
	if price, ok := p.PricePerGram(); ok && b.mass > 0 {
		mass := o.MassA + o.MassB
		if b.byVol {
			mass = b.mass
		}
		o.Cost = mass * price
		o.Steps = working.Add(o.Steps, "cost", "M·price/pack that mixes", working.Definition, "%s g × %s per g = %s", num(mass), num(price), num(o.Cost))
	}
	biggest := 0.0
	for _, c := range o.Cups {
		biggest = max(biggest, c.Total())
	}
	if b.byVol {
		biggest = o.MassTotal / float64(b.cupsN)
	}
	o.OverMass = p.MaxMass > 0 && biggest > p.MaxMass
	// Silicone barely warms itself, so its cup may be larger than the bulletin's.
	o.PastPotMass = p.PotLifeMass > 0 && biggest > p.PotLifeMass && !p.Family.Silicone()
	o.TooFast = p.PotLife > 0 && FillsPerCup(p.PotLife, o.Pace) < 1
	if b.byVol {
		b.workVolume()
		return
	}
	b.workMass()
}

func (b *builder) workVolume() {
	o := &b.out
	o.Steps = working.Add(o.Steps, "volumes of A and B", "V·v/(vA + vB)", working.Definition, "A %s mL, B %s mL at %s:%s by volume", num(o.VolumeA), num(o.VolumeB), num(b.r.A), num(b.r.B))
}

func (b *builder) workMass() {
	o, r := &b.out, b.r
	o.MinBatch = MinBatch(r, b.w.Step, TolLow)
	smallest := math.Inf(1)
	for _, c := range o.Cups {
		smallest = min(smallest, c.A+c.B)
	}
	o.TooSmall = smallest < o.MinBatch-1e-9
	exact := Shares(b.mass, r.A, r.B)
	o.Steps = working.Add(o.Steps, "mass of A", "M·wA/(wA + wB)", working.Definition, "%s g × %s/%s = %s g", num(b.mass), num(r.A), num(r.A+r.B), num(exact[0]))
	o.Steps = working.Add(o.Steps, "mass of B", "M·wB/(wA + wB)", working.Definition, "%s g × %s/%s = %s g", num(b.mass), num(r.B), num(r.A+r.B), num(exact[1]))
	if f := b.w.Filler; f != nil {
		o.Steps = working.Add(o.Steps, "filler", "M·f/100", working.Definition, "%s g × %s/100 = %s g", num(o.MassA+o.MassB), num(f.PHR), num(o.MassFiller))
	}
	o.Steps = working.Add(o.Steps, "rounded together to the scale", "least |(B/A)/(wB/wA) − 1|", working.Definition,
		"%s at steps of %s g: off by %+.3f %% B", b.cupsText(), num(b.w.Step), 100*o.RatioError)
	o.Steps = working.Add(o.Steps, "least batch for this scale", "d/(2·tol)·(wA + wB)/w of the smaller", "half a step stays within 2 % (common practice)",
		"%s/(2 × %s) × %s/%s = %s g", num(b.w.Step), num(TolLow), num(r.A+r.B), num(min(r.A, r.B)), num(o.MinBatch))
}

// cupsText writes the cups as weighed, equal ones together.
func (b *builder) cupsText() string {
	var parts []string
	cups := b.out.Cups
	for i := 0; i < len(cups); {
		n := 1
		for i+n < len(cups) && cups[i+n].A == cups[i].A && cups[i+n].B == cups[i].B {
			n++
		}
		text := fmt.Sprintf("A %s g + B %s g", num(cups[i].A), num(cups[i].B))
		if n > 1 {
			text = fmt.Sprintf("%d × (%s)", n, text)
		}
		parts = append(parts, text)
		i += n
	}
	return strings.Join(parts, ", ")
}
