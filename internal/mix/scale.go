package mix

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Steps of a scale that are believable, in g.
const (
	minStep = 0.001
	maxStep = 100
	// DefaultStep is that of a common kitchen-size pocket scale.
	DefaultStep = 0.1
)

// How far rounding may go for a truer ratio.
const (
	slackSteps = 2     // steps of the scale, always: both parts rounded up are among them
	slackShare = 0.002 // or this share of the batch, where it is more
	slackMost  = 0.05  // and no further than this, even where rounding alone is truer
	tieError   = 1e-4  // errors below this count as none: no scale shows them
)

// Weighed is two amounts that a scale can show.
type Weighed struct {
	A, B float64 // g, multiples of the step, each at least one step
	// Error is (B/A)/(rB/rA) − 1 of the rounded amounts.
	Error float64
}

// Total is A and B together, in g.
func (w Weighed) Total() float64 { return w.A + w.B }

// AtLeast rounds a batch of need grams to a scale jointly: of all pairs of
// multiples of step whose total lies from need to need plus the larger of two
// steps and a fifth of a percent, it takes the one whose ratio error
// is least; errors below 0.01 % count as equal and the smaller total wins.
// Where each part rounded alone is truer than all of these, it is taken if it
// is short by no more than a fifth of a percent, which no pouring shows; else
// the search goes on, to a twentieth more than need at most. r is by weight;
// need and step are positive and not absurd (CheckStep).
//
// For one total the error falls and rises again with A, so only the two
// multiples around the exact A need a look.
func AtLeast(need float64, r quantity.Ratio, step float64) Weighed {
	first := max(int(math.Ceil(need/step-1e-9)), 2)
	last := first + slack(need, step)
	most := max(last, int(need*(1+slackMost)/step))
	alone := eachAlone(need, r, step)
	best := bestOf(first, r, step)
	better := func(total int) {
		if w := bestOf(total, r, step); truer(w, best) {
			best = w
		}
	}
	for total := first + 1; total <= last; total++ {
		better(total)
	}
	if truer(alone, best) && alone.Total() >= need*(1-slackShare) {
		return alone
	}
	for total := last + 1; total <= most && truer(alone, best); total++ {
		better(total)
	}
	return best
}

// Near rounds a batch whose total was asked for: of the total nearest to it and
// the two a step beside, the one whose ratio error is least, the nearest total
// on a tie.
func Near(total float64, r quantity.Ratio, step float64) Weighed {
	k := max(int(math.Round(total/step)), 2)
	best := bestOf(k, r, step)
	for _, d := range []int{-1, 1} {
		if k+d >= 2 {
			if w := bestOf(k+d, r, step); truer(w, best) {
				best = w
			}
		}
	}
	return best
}

// AtMost rounds the largest batch out of a and b grams, neither exceeded: of
// the totals from the exact one down by the larger of two steps and a fifth of a
// percent, the one whose ratio error is least, the larger total on a tie. ok
// is false where less than a step of a part would be used.
func AtMost(a, b float64, r quantity.Ratio, step float64) (w Weighed, ok bool) {
	mostA, mostB := int(math.Floor(a/step+1e-9)), int(math.Floor(b/step+1e-9))
	limit := min(a/r.A, b/r.B) * (r.A + r.B)
	first := int(math.Floor(limit/step + 1e-9))
	last := first - slack(limit, step)
	for total := first; total >= max(last, 2); total-- {
		lo, hi := max(1, total-mostB), min(total-1, mostA)
		if lo > hi {
			continue
		}
		if c := bestWithin(total, lo, hi, r, step); !ok || truer(c, w) {
			w, ok = c, true
		}
	}
	return w, ok
}

// slack is the number of steps that a total may move.
func slack(total, step float64) int {
	const bound = 20000 // a long search finds nothing that a scale shows
	return min(max(slackSteps, int(slackShare*total/step+1e-9)), bound)
}

// truer prefers w for its ratio; on a tie, to the last bits, it is false.
func truer(w, than Weighed) bool {
	return max(math.Abs(w.Error), tieError) < max(math.Abs(than.Error), tieError)-1e-12
}

// bestOf gives the pair with that many steps in total, two or more, whose
// ratio error is least.
func bestOf(total int, r quantity.Ratio, step float64) Weighed {
	return bestWithin(total, 1, total-1, r, step)
}

// bestWithin does so with A from lo to hi steps.
func bestWithin(total, lo, hi int, r quantity.Ratio, step float64) Weighed {
	i := int(float64(total) * r.A / (r.A + r.B))
	below := weighed(clampInt(i, lo, hi), total, r, step)
	above := weighed(clampInt(i+1, lo, hi), total, r, step)
	if math.Abs(above.Error) < math.Abs(below.Error) {
		return above
	}
	return below
}

func weighed(i, total int, r quantity.Ratio, step float64) Weighed {
	return Weighed{A: onScale(i, step), B: onScale(total-i, step), Error: OffRatio(float64(i), float64(total-i), r)}
}

// eachAlone rounds each part to its nearest step.
func eachAlone(total float64, r quantity.Ratio, step float64) Weighed {
	s := Shares(total, r.A, r.B)
	i, j := max(int(math.Round(s[0]/step)), 1), max(int(math.Round(s[1]/step)), 1)
	return weighed(i, i+j, r, step)
}

// onScale is n steps. Dividing keeps decimal steps exact: 1224 steps of 0.1 g
// are 122.4 g, not 122.40000000000001.
func onScale(n int, step float64) float64 {
	if inverse := math.Round(1 / step); inverse >= 1 && math.Abs(inverse*step-1) < 1e-12 {
		return float64(n) / inverse
	}
	return float64(n) * step
}

// toStep rounds one amount to the nearest step.
func toStep(v, step float64) float64 { return onScale(int(math.Round(v/step)), step) }

func clampInt(v, lo, hi int) int { return max(lo, min(v, hi)) }

// MinBatch is the least total for which rounding either part by half a step
// stays within tol: the smaller part is at least step/(2·tol). A 1 g scale, 2 %
// and 100:10 by weight give 275 g.
func MinBatch(r quantity.Ratio, step, tol float64) float64 {
	return step / (2 * tol) * (r.A + r.B) / min(r.A, r.B)
}

// ScaleError is the worst share that half a step makes of an amount.
func ScaleError(amount, step float64) float64 { return step / 2 / amount }

// CheckStep refuses a step that no scale has. Error: out_of_range.
func CheckStep(step float64) error {
	if !(step >= minStep) || step > maxStep {
		return fault.New(fault.OutOfRange, "a scale step of %s g is outside %s to %s g", num(step), num(minStep), num(maxStep)).
			In("scale_step").Hint("give the smallest step your scale shows, such as 0.1 g")
	}
	return nil
}
