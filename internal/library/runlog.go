package library

import (
	"slices"

	"github.com/pourwright/pourwright/internal/plan"
	"github.com/pourwright/pourwright/internal/shop"
)

// RunLog is what a member's logged pours say of a run to come.
type RunLog struct {
	Good, Spoiled int     // parts of the material that were counted
	Pace          float64 // s that a cup keeps hands busy, 0 where too few say
	Paced         int     // pairs of pours that it rests on
}

// Bounds of what two starts one after another say of the pace: longer ones had a
// pause between them, shorter ones were noted late. Judgement.
const (
	leastPace = 2 * 60.0
	mostPace  = 30 * 60.0
	fewPaces  = 3
)

// ReadRunLog gathers it from a member's own pours.
func ReadRunLog(own []shop.Pour, material int64) RunLog {
	var log RunLog
	pours := slices.Clone(own)
	slices.SortFunc(pours, func(a, b shop.Pour) int { return a.Started.Compare(b.Started) })
	var gaps []float64
	var last shop.Pour
	for _, p := range pours {
		if p.State == shop.PourCanceled {
			continue
		}
		if p.State == shop.PourDone && p.MaterialID == material {
			log.Good += p.Good
			log.Spoiled += p.Spoiled
		}
		gap := p.Started.Sub(last.Started).Seconds()
		// Into the same mold again, its cure lies between.
		if !last.Started.IsZero() && gap >= leastPace && gap <= mostPace && !sharesMold(p, last) {
			gaps = append(gaps, gap)
		}
		last = p
	}
	if log.Paced = len(gaps); log.Paced >= fewPaces {
		slices.Sort(gaps)
		log.Pace, _ = plan.Pert(gaps[0], gaps[len(gaps)/2], gaps[len(gaps)-1])
	}
	return log
}

func sharesMold(a, b shop.Pour) bool {
	return slices.ContainsFunc(a.InMolds(), func(f shop.Fill) bool {
		return slices.ContainsFunc(b.InMolds(), func(g shop.Fill) bool { return f.Name == g.Name })
	})
}
