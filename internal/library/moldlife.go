package library

import (
	"fmt"

	"github.com/pourwright/pourwright/internal/moldcare"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/working"
)

// CareOf is where a mold stands with its release coats.
func CareOf(m shop.Mold) moldcare.Care {
	return moldcare.Care{Pulls: m.PullsSoFar(), LastCoat: m.CoatedAt(), Every: m.ReleaseEvery}
}

// LifeOf is what a mold tells of the life of its kind, to a viewer. late is the
// wear of a pull with the coat overdue. A mold that was added when it was retired
// already is told of from memory, and from new: it was not picked for having
// lasted.
func LifeOf(m shop.Mold, v shop.Viewer, late float64) moldcare.Life {
	l := moldcare.Life{
		Entry:  float64(m.Pulls),
		End:    moldcare.Wear(m.PullsSoFar(), m.Tally.Late, late),
		Failed: moldcare.Fails(m.Retired),
		Shared: m.Owner != v.Member.ID,
	}
	if m.Tally.LastLate {
		l.Last = late
	}
	if l.Failed && m.Version == 1 {
		l.Entry = 0
	}
	return l
}

// Outlook is what is believed of a mold's life, with what it rests on.
type Outlook struct {
	moldcare.Posterior
	Age   float64 // wear in pulls
	Lives []moldcare.Life
	Raw   []moldcare.Step // Kaplan–Meier
	Steps []working.Step
}

// LifeAhead estimates the life of molds of m's family from those among all that
// the viewer sees: own ones whole, others' shared ones by half. Error:
// moldcare.ErrStopped.
func LifeAhead(m shop.Mold, all []shop.Mold, v shop.Viewer, late float64, done <-chan struct{}) (Outlook, error) {
	o := Outlook{Age: LifeOf(m, v, late).End}
	for _, one := range all {
		if one.Family == m.Family {
			o.Lives = append(o.Lives, LifeOf(one, v, late))
		}
	}
	prior := moldcare.PriorOf(moldcare.Family(m.Family))
	var err error
	if o.Posterior, err = moldcare.Estimate(prior, o.Lives, done); err != nil {
		return Outlook{}, fmt.Errorf("estimate the life of a mold: %w", err)
	}
	o.Raw = moldcare.KaplanMeier(o.Lives)
	o.work(m, prior, late)
	return o, nil
}

// Counted says what the bare counts tell, without what was believed before: the
// pull by which half were gone, or how rarely a pull can finish a mold where none
// did, and whether the viewer's molds last like those of others.
func (o Outlook) Counted() (notes []string) {
	watched := 0.0
	var own, others []moldcare.Life
	for _, l := range o.Lives {
		watched += l.End - l.Entry
		if l.Shared {
			others = append(others, l)
		} else {
			own = append(own, l)
		}
	}
	const enough = 10 // pulls, to say more than that nothing is known
	if n := int(watched); o.Failures == 0 && n >= enough {
		notes = append(notes, fmt.Sprintf("None failed in %d pulls that were counted: by these alone a pull finishes a mold in fewer than %s of cases (95 %% sure).",
			n, quantity.Percent(moldcare.NoneIn(n, 0.95))))
	}
	if half, ok := moldcare.MedianOf(o.Raw); ok && o.Failures >= moldcare.FewFailures {
		notes = append(notes, fmt.Sprintf("By the counts alone, half of such molds are gone after %s pulls.", number(half)))
	}
	const few, chance = moldcare.FewFailures, 3.84 // chi-square, one degree of freedom, 5 % (tables)
	if failures(own) >= few && failures(others) >= few && moldcare.LogRank(own, others) > chance {
		notes = append(notes, "Your molds and those that others share do not last alike, more than chance explains (log-rank test): the shop's say little of yours.")
	}
	return notes
}

func failures(lives []moldcare.Life) (n int) {
	for _, l := range lives {
		if l.Failed {
			n++
		}
	}
	return n
}

// work writes down how the estimate came about.
func (o *Outlook) work(m shop.Mold, prior moldcare.Prior, late float64) {
	o.Steps = working.Add(o.Steps, "life believed before any count", "median life and Weibull shape, log-normal, 90 % range", prior.Source,
		"%s molds: median %s pulls (%s to %s), shape %s (%s to %s)", m.Family, working.Num(prior.Median), working.Num(prior.MedianLow), working.Num(prior.MedianHigh),
		working.Num(prior.Shape), working.Num(prior.ShapeLow), working.Num(prior.ShapeHigh))
	o.Steps = working.Add(o.Steps, "molds counted", "own ones whole, others' shared ones by half", "judgement, no source",
		"%d of yours and %d shared, of which %d failed", o.Own, len(o.Lives)-o.Own, o.Failures)
	if n := m.Tally.Late; n > 0 {
		o.Steps = working.Add(o.Steps, "wear of this mold", "pulls + overdue ones × (wear − 1)", "judgement, no source",
			"%d + %d × (%s − 1) = %s", m.PullsSoFar(), n, working.Num(late), working.Num(o.Age))
	}
	o.Steps = working.Add(o.Steps, "what each tells", "failed at n: (S(n−1) − S(n))/S(entry); whole at n: S(n)/S(entry); S(n) = exp(−(n/η)^k)", "Weibull distribution with left truncation and right censoring",
		"summed over a grid of 61 medians and 41 shapes")
	for _, s := range o.Raw {
		o.Steps = working.Add(o.Steps, fmt.Sprintf("still whole after %s pulls", working.Num(s.At)), "Π(1 − d/n)", "Kaplan and Meier 1958, error by Greenwood",
			"%d of %d failed: %s ± %s", s.Failed, s.AtRisk, working.Num(s.Survival), working.Num(s.Error))
	}
}
