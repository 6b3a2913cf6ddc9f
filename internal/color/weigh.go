package color

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

const (
	// trustUsual is the share of an amount that the scale's readability may
	// be: 5 %, so a 0.01 g scale is trusted with 0.2 g. Common practice, no
	// source.
	trustUsual = 0.05
	// spare is what more of a letdown is made than is needed.
	spare = 1.1
	// dropsLeast is the number of drops below which half a drop is more than
	// 5 %.
	dropsLeast = 10
	// dropsWeighed is how many drops are weighed to know one.
	dropsWeighed = 20
)

// WeighWant is a batch to tint.
type WeighWant struct {
	Resin   float64   // g of A, B and filler in the whole batch
	Side    float64   // g of the part that the tint goes into, of those
	Doses   []float64 // fractions of the whole mix
	Drops   []float64 // g a drop for each dose, 0 where not weighed; may be short
	Step    float64   // g that the scale shows
	Cups    int       // 0 is 1
	Trusted float64   // share that Step may be of an amount; 0 is 5 %
}

// Weighing is how to get the doses into the cups. A letdown is tint thinned
// with the tint side, so that it can be weighed.
type Weighing struct {
	Least    float64 // g that the scale can be trusted with
	Total    float64 // g of the whole mix, tints included
	Load     float64 // all tints, fraction of Total
	Tints    []Weighed
	SideLeft float64 // g of the tint side per cup still to add beside the letdowns
	Feasible bool    // every amount can be weighed and SideLeft is not below 0
	// SideTinted is the g of the tint side with the tint in it, per cup. Of a
	// part that was tinted in advance this much is poured: a tint is not
	// counted as A or B.
	SideTinted float64
	// Short is how much of the tint side would be missing, as a share of it,
	// if its tinted weight were taken for its own: −0.029 is 2.9 % short.
	Short float64
}

// Weighed is one tint of a Weighing; all in g.
type Weighed struct {
	Dose        float64 // fraction of the mix
	PerCup      float64 // of neat tint
	Batch       float64 // of neat tint
	AtOnce      bool    // heavy enough if the whole tint side is tinted at once
	Letdown     int     // parts of letdown that hold one of tint: 1 (neat), 10 or 100
	Weigh       float64 // of what is weighed per cup, exact
	Shown       float64 // Weigh on the scale
	Got         float64 // dose that Shown gives
	HeavyEnough bool
	Carries     float64 // of the tint side that comes with Weigh
	Stock       []Stock // letdowns to make first, in order
	Drops       float64 // of what is weighed, exact; 0 where no drop was weighed
	FewDrops    bool    // fewer than ten: half a drop is too much, weigh or thin it
}

// Rounded are the doses that the scale's steps give, in the order of what was
// weighed: look at these, not at the exact ones.
func (w *Weighing) Rounded(tints []Dose) []Dose {
	out := make([]Dose, len(w.Tints))
	for i, t := range w.Tints {
		out[i] = Dose{tints[i].Tint, t.Got}
	}
	return out
}

// Stock is a letdown to make: Take of the tint, or of the letdown Of, into Side
// of the tint side.
type Stock struct {
	Letdown, Of int // parts: 10 of 1, or 100 of 10
	Take, Side  float64
}

// Weigh works a batch out. A dose too light for the scale gets a letdown of 1
// in 10, or of 1 in 100; the tint side that it brings is taken off what is
// still to add. Errors: out_of_range, naming the option at fault.
func Weigh(w WeighWant) (Weighing, error) {
	if w.Cups == 0 {
		w.Cups = 1
	}
	if w.Trusted == 0 {
		w.Trusted = trustUsual
	}
	if err := w.check(); err != nil {
		return Weighing{}, err
	}
	out := Weighing{Least: w.Step / w.Trusted, Feasible: true}
	for _, d := range w.Doses {
		out.Load += d
	}
	out.Total = w.Resin / (1 - out.Load)
	cups := float64(w.Cups)
	side, tint := w.Side/cups, 0.0
	out.SideLeft = side
	for i, d := range w.Doses {
		t := w.tint(i, d*out.Total, out.Least)
		t.Dose = d
		t.Got = t.Shown / float64(t.Letdown) * cups / out.Total
		out.SideLeft -= t.Carries
		tint += t.PerCup
		out.Feasible = out.Feasible && t.HeavyEnough
		out.Tints = append(out.Tints, t)
	}
	out.Feasible = out.Feasible && out.SideLeft >= 0
	out.SideTinted = PourTinted(side, tint/side)
	out.Short = TintedShort(tint / side)
	return out, nil
}

func (w *WeighWant) tint(i int, batch, least float64) Weighed {
	cups := float64(w.Cups)
	t := Weighed{PerCup: batch / cups, Batch: batch, AtOnce: batch >= least, Letdown: 1}
	if t.PerCup > 0 {
		for t.Letdown < 100 && t.PerCup*float64(t.Letdown) < least {
			t.Letdown *= 10
		}
	}
	t.Weigh = t.PerCup * float64(t.Letdown)
	t.HeavyEnough = t.PerCup == 0 || t.Weigh >= least
	t.Carries = t.Weigh - t.PerCup
	t.Shown = onScale(t.Weigh, w.Step)
	t.Stock = stocks(t.Letdown, t.Weigh*cups, least)
	if i < len(w.Drops) && w.Drops[i] > 0 {
		t.Drops = t.Weigh / w.Drops[i]
		t.FewDrops = t.Drops < dropsLeast && t.PerCup > 0
	}
	return t
}

// stocks are the letdowns that need grams of the last one take: enough to spare,
// and enough for the scale.
func stocks(letdown int, need, least float64) []Stock {
	if letdown == 1 {
		return nil
	}
	make10 := max(10*least, spare*need) / 10
	s := Stock{Letdown: letdown, Of: letdown / 10, Take: make10, Side: 9 * make10}
	return append(stocks(letdown/10, s.Take, least), s)
}

// onScale rounds to what a scale shows; decimal steps stay exact.
func onScale(v, step float64) float64 {
	n := math.Round(v / step)
	if inverse := math.Round(1 / step); inverse >= 1 && math.Abs(inverse*step-1) < 1e-12 {
		return n / inverse
	}
	return n * step
}

// Bounds of what is weighed, so that a slip of the keyboard is refused.
const (
	batchMost = 1e6 // g
	stepLeast = 1e-4
	stepMost  = 100
	cupsMost  = 500
)

func (w *WeighWant) check() error {
	bad := func(option, hint, format string, args ...any) error {
		return fault.New(fault.OutOfRange, format, args...).In(option).Hint("%s", hint)
	}
	switch {
	case !(w.Resin > 0 && w.Resin <= batchMost):
		return bad("mass", "give the weight of A and B together, such as 200 g", "a batch of %s g is outside 0 to %v kg", num(w.Resin), batchMost/1000)
	case !(w.Side > 0 && w.Side <= w.Resin):
		return bad("mass", "the tint side is one of the two parts", "a tint side of %s g does not fit a batch of %s g", num(w.Side), num(w.Resin))
	case !(w.Step >= stepLeast && w.Step <= stepMost):
		return bad("scale_step", "give the smallest step your scale shows, such as 0.1 g", "a scale step of %s g is outside %v to %v g", num(w.Step), stepLeast, stepMost)
	case w.Cups < 1 || w.Cups > cupsMost:
		return bad("cups", "give the number of cups, such as 3", "%d cups are outside 1 to %d", w.Cups, cupsMost)
	case !(w.Trusted > 0 && w.Trusted <= 1):
		return bad("scale_step", "5% is usual", "a scale error of %s is outside 0 to 100 %%", quantity.Percent(w.Trusted))
	}
	load := 0.0
	for _, d := range w.Doses {
		if d != 0 {
			if err := CheckDose("percent", d); err != nil {
				return err
			}
		}
		load += d
	}
	if load > loadMost {
		return CheckDose("percent", load)
	}
	return nil
}
