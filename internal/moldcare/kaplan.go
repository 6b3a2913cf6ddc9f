package moldcare

import (
	"cmp"
	"math"
	"slices"
)

// Step is a fall of the Kaplan–Meier estimate.
type Step struct {
	At       float64 // pulls
	AtRisk   int     // molds that were watched and whole just before
	Failed   int
	Survival float64 // just after
	Error    float64 // standard error of Survival, after Greenwood
	Hazard   float64 // cumulative, after Nelson and Aalen
}

// KaplanMeier gives the steps of the share that survives, in rising order: Π
// (1 − d/n) over the failures, n those at risk. A mold counts as at risk from
// its entry, and still at its own end. All lives weigh the same: these are the
// raw data. Kaplan and Meier, J. Am. Stat. Assoc. 53 (1958) 457; Greenwood's
// error, 1926; Nelson, Technometrics 14 (1972) 945, from memory.
func KaplanMeier(lives []Life) []Step {
	var steps []Step
	survival, variance, hazard := 1.0, 0.0, 0.0
	for _, t := range failureTimes(lives) {
		n, d := atRisk(lives, t)
		survival *= 1 - float64(d)/float64(n)
		hazard += float64(d) / float64(n)
		variance += float64(d) / (float64(n) * float64(n-d)) // infinite with the last one
		s := Step{At: t, AtRisk: n, Failed: d, Survival: survival, Hazard: hazard}
		if survival > 0 {
			s.Error = survival * math.Sqrt(variance)
		}
		steps = append(steps, s)
	}
	return steps
}

func failureTimes(lives []Life) []float64 {
	var times []float64
	for _, l := range lives {
		if _, _, end := l.interval(); l.Failed {
			times = append(times, end)
		}
	}
	slices.Sort(times)
	return slices.Compact(times)
}

// atRisk counts who could fail at t, and who did.
func atRisk(lives []Life, t float64) (n, failed int) {
	for _, l := range lives {
		entry, _, end := l.interval()
		if entry >= t || end < t {
			continue
		}
		n++
		if l.Failed && end == t {
			failed++
		}
	}
	return n, failed
}

// SurvivalAt is the estimate at t: that of the last step not after it.
func SurvivalAt(steps []Step, t float64) Step {
	i, found := slices.BinarySearchFunc(steps, t, func(s Step, t float64) int { return cmp.Compare(s.At, t) })
	if found {
		return steps[i]
	}
	if i == 0 {
		return Step{At: 0, Survival: 1}
	}
	return steps[i-1]
}

// MedianOf is the first pull at which half or fewer survive; ok is false where
// more than half did to the end.
func MedianOf(steps []Step) (pulls float64, ok bool) {
	for _, s := range steps {
		if s.Survival <= 0.5 {
			return s.At, true
		}
	}
	return 0, false
}

// LogRank holds two groups of lives against each other: the greater the result,
// the less they can share one life. It is chi-square with one degree of freedom
// where they do, so above 3.84 chance alone gives it in fewer than one case in
// twenty. Mantel, Cancer Chemother. Rep. 50 (1966) 163, from memory. Without a
// failure at which both were at risk it is 0.
func LogRank(a, b []Life) float64 {
	both := slices.Concat(a, b)
	excess, variance := 0.0, 0.0
	for _, t := range failureTimes(both) {
		na, da := atRisk(a, t)
		n, d := atRisk(both, t)
		share := float64(na) / float64(n)
		excess += float64(da) - float64(d)*share
		if n > 1 {
			variance += float64(d) * share * (1 - share) * float64(n-d) / float64(n-1)
		}
	}
	if variance == 0 {
		return 0
	}
	return excess * excess / variance
}
