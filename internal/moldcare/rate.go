package moldcare

import (
	"math"

	"github.com/pourwright/pourwright/internal/quantity"
)

// z95 is the standard normal's 97.5 % point, for a two-sided range of 95 %
// (tables of the normal distribution).
const z95 = 1.959963984540054

// GoodRate is the share of good pulls with its 95 % range, good of pulls, after
// Wilson, Probable inference, J. Am. Stat. Assoc. 22 (1927) 209. Without pulls
// nothing is known: 0 to 1.
func GoodRate(good, pulls int) quantity.Range {
	if pulls <= 0 {
		return quantity.Range{Low: 0, Mid: 0.5, High: 1}
	}
	n, p := float64(pulls), float64(good)/float64(pulls)
	z := z95 * z95 / n
	center, half := p+z/2, z95*math.Sqrt(p*(1-p)/n+z/(4*n))
	return quantity.Range{Low: max(0, (center-half)/(1+z)), Mid: p, High: min(1, (center+half)/(1+z))}
}

// NoneIn is the greatest rate of failure that trials without one leave
// plausible at a confidence: 1 − (1 − confidence)^(1/trials), exact (Clopper and
// Pearson 1934, the case of zero).
func NoneIn(trials int, confidence float64) float64 {
	return 1 - math.Pow(1-confidence, 1/float64(trials))
}

// Exposure is failures per pull: failures over all pulls under observation, the
// estimate for a constant risk.
func Exposure(lives []Life) float64 {
	failures, pulls := 0.0, 0.0
	for _, l := range lives {
		pulls += l.End - l.Entry
		if l.Failed {
			failures++
		}
	}
	return failures / pulls
}
