package moldcare

import (
	"errors"
	"math"
)

// Weibull is a distribution of lives: S(t) = exp(−(t/Scale)^Shape), t and Scale
// in pulls.
type Weibull struct{ Scale, Shape float64 }

// FromMedian gives the distribution with that median.
func FromMedian(median, shape float64) Weibull {
	return Weibull{Scale: median / math.Pow(math.Ln2, 1/shape), Shape: shape}
}

// hazard is the cumulative hazard (t/η)^k.
func (w Weibull) hazard(t float64) float64 {
	if t <= 0 {
		return 0
	}
	return math.Exp(w.Shape * (math.Log(t) - math.Log(w.Scale)))
}

// Survival is the share that outlives t pulls.
func (w Weibull) Survival(t float64) float64 { return math.Exp(-w.hazard(t)) }

// Median is η·(ln 2)^(1/k).
func (w Weibull) Median() float64 { return w.Scale * math.Pow(math.Ln2, 1/w.Shape) }

// Mean is η·Γ(1 + 1/k).
func (w Weibull) Mean() float64 { return w.Scale * math.Gamma(1+1/w.Shape) }

// SD is the standard deviation, η·√(Γ(1 + 2/k) − Γ(1 + 1/k)²).
func (w Weibull) SD() float64 {
	g := math.Gamma(1 + 1/w.Shape)
	return w.Scale * math.Sqrt(math.Gamma(1+2/w.Shape)-g*g)
}

// Risk is the chance that the next pulls finish what has had age pulls:
// 1 − S(age + next)/S(age).
func (w Weibull) Risk(age, next float64) float64 {
	return -math.Expm1(w.hazard(age) - w.hazard(age+next))
}

// LogLikelihood is that of lives whose ends are exact times, as published data
// have them; Estimate works with whole pulls instead.
func (w Weibull) LogLikelihood(lives []Life) float64 {
	sum := 0.0
	for _, l := range lives {
		sum += w.hazard(l.Entry) - w.hazard(l.End)
		if l.Failed {
			sum += math.Log(w.Shape/w.Scale) + (w.Shape-1)*math.Log(l.End/w.Scale)
		}
	}
	return sum
}

// errNoFit is returned where the data have no greatest likelihood.
var errNoFit = errors.New("a Weibull fit needs two failures at different times, every life above zero")

// Fit is the Weibull distribution of greatest likelihood for right-censored
// lives from new. For a given shape the scale is (Σ t^k / r)^(1/k) with r
// failures; the shape is then the root of a rising function, found by halving
// (Lawless, Statistical Models and Methods for Lifetime Data, from memory).
// Lives that begin late are taken from their end: Fit is for data without them.
func Fit(lives []Life) (Weibull, error) {
	var failed []float64
	longest := 0.0
	for _, l := range lives {
		if !(l.End > 0) || math.IsInf(l.End, 0) {
			return Weibull{}, errNoFit
		}
		longest = max(longest, l.End)
		if l.Failed {
			failed = append(failed, l.End)
		}
	}
	meanLog, differ := 0.0, false
	for _, t := range failed {
		meanLog += math.Log(t/longest) / float64(len(failed))
		differ = differ || t != failed[0]
	}
	if !differ {
		return Weibull{}, errNoFit
	}
	// Σ t^k ln t / Σ t^k − 1/k − mean ln t, times over the longest one so that
	// no power overflows.
	slope := func(k float64) float64 {
		var sum, logs float64
		for _, l := range lives {
			p := math.Pow(l.End/longest, k)
			sum += p
			logs += p * math.Log(l.End/longest)
		}
		return logs/sum - 1/k - meanLog
	}
	low, high := 1e-3, 1e3
	if slope(low) > 0 || slope(high) < 0 {
		return Weibull{}, errNoFit
	}
	for range 200 {
		if mid := math.Sqrt(low * high); slope(mid) < 0 {
			low = mid
		} else {
			high = mid
		}
	}
	sum := 0.0
	for _, l := range lives {
		sum += math.Pow(l.End/longest, low)
	}
	return Weibull{Scale: longest * math.Pow(sum/float64(len(failed)), 1/low), Shape: low}, nil
}
