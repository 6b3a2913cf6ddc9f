package library

import (
	"fmt"
	"math"

	"github.com/pourwright/pourwright/internal/color"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/working"
)

// TintCup is one cup of a batch: g of A, B and filler together, and g of the
// tint side of those.
type TintCup struct{ Resin, Side float64 }

// TintJob is a batch to be tinted.
type TintJob struct {
	Material shop.Material
	Side     material.Side
	Asks     []TintAsk
	Doses    []float64 // fraction of the whole mix, one for each ask
	Cups     []TintCup
	Step     float64 // g that the scale shows
}

// Tinting is how the tints of a job get into its cups: the one answer that
// /tint and /batch give.
type Tinting struct {
	TintJob
	color.Weighing
	// AtOnce is true where the whole tint side is tinted before it is shared
	// out: its tint can be weighed and a single cup's can't.
	AtOnce   bool
	Warnings []string // to be read before anything else
	Notes    []string
	Steps    []working.Step
	share    []float64 // of each cup in the batch
}

// Stir works out how the tints get into the cups. Errors: out_of_range, naming
// mass, cups, scale_step or percent.
func Stir(j TintJob) (*Tinting, error) {
	t := &Tinting{TintJob: j}
	want := color.WeighWant{Doses: j.Doses, Step: j.Step, Cups: len(j.Cups)}
	for _, c := range j.Cups {
		want.Resin += c.Resin
		want.Side += c.Side
	}
	for _, a := range j.Asks {
		want.Drops = append(want.Drops, Drop(a.Tint))
	}
	var err error
	if t.Weighing, err = color.Weigh(want); err != nil {
		return nil, err
	}
	for _, c := range j.Cups {
		t.share = append(t.share, c.Resin/want.Resin)
	}
	t.AtOnce = len(j.Cups) > 1 && t.LetdownParts() > 1 && t.weighable()
	t.work(want)
	t.note()
	return t, nil
}

// weighable reports that the scale can be trusted with the batch's tint.
func (t *Tinting) weighable() bool {
	for i, x := range t.Tints {
		if t.Asks[i].Drops == 0 && !x.AtOnce {
			return false
		}
	}
	return true
}

// LetdownParts is the thinnest letdown that cup by cup would need: 1, 10 or
// 100. What is asked for in drops needs none.
func (t *Tinting) LetdownParts() int {
	parts := 1
	for i, x := range t.Tints {
		if !t.counts(i) {
			parts = max(parts, x.Letdown)
		}
	}
	return parts
}

// onScale rounds to what the scale shows.
func (t *Tinting) onScale(v float64) float64 {
	n := math.Round(v / t.Step)
	if inverse := math.Round(1 / t.Step); inverse >= 1 && math.Abs(inverse*t.Step-1) < 1e-12 {
		return n / inverse
	}
	return n * t.Step
}

// Got is the dose of each tint that comes of weighing or counting it.
func (t *Tinting) Got() []float64 {
	out := make([]float64, len(t.Tints))
	for i, x := range t.Tints {
		switch {
		case t.TooLittle():
			out[i] = x.Dose
		case t.counts(i):
			out[i] = math.Round(t.neatDrops(i)) * Drop(t.Asks[i].Tint) / t.Total
		case t.AtOnce:
			out[i] = t.onScale(x.Batch) / t.Total
		default:
			out[i] = x.Got
		}
	}
	return out
}

// The fewest drops a cup that are counted: half a drop is then 10 % of the tint
// where nothing can be weighed, and 5 % where a letdown could be but is a waste.
const (
	dropsForced = 5
	dropsChosen = 10
)

// counts reports that a tint is best counted in drops: it was asked for so, no
// letdown can be weighed either, or the least letdown that the scale can make
// is more than the whole tint side.
func (t *Tinting) counts(i int) bool {
	if t.Asks[i].Drops > 0 {
		return true
	}
	n := t.neatDrops(i) / float64(len(t.Cups))
	return !t.AtOnce && (!t.Feasible && n >= dropsForced || n >= dropsChosen && t.wasteful(i))
}

// wasteful reports letdowns that take more of the tint side than the batch has.
func (t *Tinting) wasteful(i int) bool {
	letdown := 0.0
	for _, s := range t.Tints[i].Stock {
		letdown += s.Take + s.Side
	}
	return letdown > t.side()
}

// side is g of the tint side in the batch.
func (t *Tinting) side() (sum float64) {
	for _, c := range t.Cups {
		sum += c.Side
	}
	return sum
}

// TooLittle is true where some tint can be neither weighed, thinned or not, nor
// counted: there is no honest way to put it in.
func (t *Tinting) TooLittle() bool {
	if t.AtOnce || t.Feasible {
		return false
	}
	for i := range t.Tints {
		if !t.counts(i) {
			return true
		}
	}
	return false
}

// largerMost is how many times a batch is made larger in search of one that
// can be weighed.
const largerMost = 1000

// Enough is g of A and B of the least batch like this one whose tint can be
// weighed, 0 where none within reason can.
func (t *Tinting) Enough() float64 {
	for k := 1.0; k < largerMost; k *= 1.05 {
		w := color.WeighWant{Doses: t.Doses, Step: t.Step, Cups: len(t.Cups)}
		for _, c := range t.Cups {
			w.Resin += k * c.Resin
			w.Side += k * c.Side
		}
		if got, err := color.Weigh(w); err == nil && got.Feasible {
			return w.Resin
		}
	}
	return 0
}

// neatDrops of a tint in the whole batch, exact; 0 where no drop was weighed.
func (t *Tinting) neatDrops(i int) float64 {
	a := t.Asks[i]
	if a.WeightOf20 == 0 {
		return 0
	}
	return t.Tints[i].Batch / Drop(a.Tint)
}

// Mass is g of neat tint in the batch as it is weighed; through a letdown it
// is exact.
func (t *Tinting) Mass() float64 {
	sum := 0.0
	for i, x := range t.Tints {
		if t.TooLittle() || t.counts(i) || !t.AtOnce && x.Letdown > 1 {
			sum += x.Batch
			continue
		}
		if t.AtOnce {
			sum += t.onScale(x.Batch)
			continue
		}
		sum += x.Shown * float64(len(t.Cups))
	}
	return sum
}

// work writes the working down.
func (t *Tinting) work(w color.WeighWant) {
	num := working.Num
	t.Steps = working.Add(t.Steps, "the whole mix", "(A + B)/(1 − Σd)", working.Definition, "%s g/(1 − %s) = %s g", num(w.Resin), num(t.Load), num(t.Total))
	t.Steps = working.Add(t.Steps, "least that the scale is trusted with", "step/5 %", working.CommonPractice, "%s g/0.05 = %s g", num(t.Step), num(t.Least))
	for i, x := range t.Tints {
		name := t.Asks[i].Name
		t.Steps = working.Add(t.Steps, name, "d·M", working.Definition, "%s × %s g = %s g", quantity.Percent(x.Dose), num(t.Total), num(x.Batch))
		if drop := Drop(t.Asks[i].Tint); drop > 0 {
			t.Steps = working.Add(t.Steps, name+" in drops", "g/(m20/20)", "weight of twenty drops, given by the tint's owner", "%s g/%s g = %s", num(x.Batch), num(drop), num(t.neatDrops(i)))
		}
		for _, s := range x.Stock {
			t.Steps = working.Add(t.Steps, fmt.Sprintf("letdown 1:%d of %s", s.Letdown, name), "1 part in 10, at least ten times the least weight", working.CommonPractice,
				"%s g with %s g of part %s", num(s.Take), num(s.Side), t.Side)
		}
		if x.Letdown > 1 {
			t.Steps = working.Add(t.Steps, "weigh of that letdown, per cup", "n·g", working.Definition, "%d × %s g = %s g, which brings %s g of part %s",
				x.Letdown, num(x.PerCup), num(x.Weigh), num(x.Carries), t.Side)
		}
	}
	t.Steps = working.Add(t.Steps, "tinted part "+string(t.Side)+" per cup", "m·(1 + p)", working.Definition, "%s g; its own weight alone would be %s short", num(t.SideTinted), quantity.Percent(-t.Short))
}

// note says what to look out for.
func (t *Tinting) note() {
	warn := func(format string, args ...any) { t.Warnings = append(t.Warnings, fmt.Sprintf(format, args...)) }
	say := func(format string, args ...any) { t.Notes = append(t.Notes, fmt.Sprintf(format, args...)) }
	if t.TooLittle() {
		text := fmt.Sprintf("This is less tint than a scale of %s can be trusted with, thinned or not. Use a finer scale", quantity.TextStep(t.Step, t.Step, quantity.Metric))
		if least := t.Enough(); least > 0 {
			text += fmt.Sprintf(", or mix at least %s of A and B", quantity.Text(least, quantity.Mass, quantity.Metric))
		}
		warn("%s.", text)
	}
	dropped := false
	for i := range t.Tints {
		n := t.neatDrops(i) / float64(len(t.Cups))
		dropped = dropped || n > 0
		if t.counts(i) && n >= 1 && n < dropsChosen {
			warn("Half a drop more or less of %s is %.0f %% of it: a finer scale, or a larger batch, is surer.", t.Asks[i].Name, 50/n)
		}
	}
	for i, a := range t.Asks {
		if t.counts(i) && a.Drops == 0 {
			say("%s is counted in drops: this scale can't weigh so little, and the least letdown it could make would use up part %s.", Capital(a.Name), t.Side)
		}
	}
	if dropped {
		say("Drops vary by 10 to 20 %% with the dropper and the angle (common practice); the scale is surer.")
	}
	text := fmt.Sprintf("Tint is not counted as A or B: all of part %s goes in besides.", t.Side)
	if short := -t.Short; short >= shortTold {
		text += fmt.Sprintf(" Taking the tinted part's weight for its own would leave it %s short.", quantity.Percent(math.Round(1000*short)/1000))
	}
	say("%s", text)
}

// shortTold is the share of the tint side that is worth a word if it were
// missing: mixes bear 2 to 5 % off their ratio (common practice, no source).
const shortTold = 0.005
