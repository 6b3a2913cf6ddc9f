package diagnose

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/working"
)

// Found is a sign that was found, with how telling it is.
type Found struct {
	Sign    Sign
	Weight  float64 // at least 1; that many times likelier, or less likely
	Said    bool    // by a member; else by the record
	Because string  // a sentence
}

// How common causes are before anything is known: each is commonness times as
// common as the one before it, and elsewhere is the share of causes that no
// rule lists. Judgement, no source.
const (
	commonness = 0.6
	elsewhere  = 0.15
)

// looser and tighter are the powers that a weight is raised to for the ends of
// a share: weights are judgement, and may tell half as much or half as much
// again.
var looser, tighter = 0.5, 1.5

// Ranked is a cause with its share.
type Ranked struct {
	Cause
	Share, Low, High float64
	For, Against     []Found // that bear on it
	order            int
}

// Verdict is what a rule says in the light of what was found.
type Verdict struct {
	Rule   Rule
	Causes []Ranked // the likeliest first
	Other  Ranked   // something else
	// Told says that something found bears on the causes; without it they are in
	// order of how common they are and the shares mean no more than that.
	Told  bool
	Steps []working.Step
}

// Rank weighs a rule's causes. A sign multiplies what it speaks for by its
// weight and divides what it speaks against, as if signs were independent; so
// one more sign for a cause never lowers its rank. Of several findings of the
// same sign the first counts.
func Rank(r Rule, found []Found) Verdict {
	v := Verdict{Rule: r, Causes: make([]Ranked, len(r.Causes))}
	found = once(found)
	for i, c := range r.Causes {
		v.Causes[i] = Ranked{Cause: c, order: i}
		for _, f := range found {
			switch {
			case slices.Contains(c.For, f.Sign):
				v.Causes[i].For = append(v.Causes[i].For, f)
				v.Told = true
			case slices.Contains(c.Against, f.Sign):
				v.Causes[i].Against = append(v.Causes[i].Against, f)
				v.Told = true
			}
		}
	}
	v.share()
	slices.SortStableFunc(v.Causes, func(a, b Ranked) int {
		switch {
		case a.Share > b.Share*(1+1e-12):
			return -1
		case b.Share > a.Share*(1+1e-12):
			return 1
		}
		return a.order - b.order
	})
	v.work(found)
	return v
}

// once keeps the first of each sign.
func once(found []Found) (kept []Found) {
	for _, f := range found {
		if !slices.ContainsFunc(kept, func(k Found) bool { return k.Sign == f.Sign }) {
			kept = append(kept, f)
		}
	}
	return kept
}

// share sets the shares, with the weights as they are and at their ends.
func (v *Verdict) share() {
	for i, power := range []float64{1, looser, tighter} {
		logs, most := make([]float64, len(v.Causes)), math.Inf(-1)
		for j, c := range v.Causes {
			logs[j] = c.odds(power)
			most = max(most, logs[j])
		}
		// What is not listed is as common as its share says, and no sign
		// speaks for it or against it.
		other := math.Log(elsewhere / (1 - elsewhere) * commonTotal(len(v.Causes)))
		most = max(most, other)
		sum := math.Exp(other - most)
		for _, l := range logs {
			sum += math.Exp(l - most)
		}
		for j := range v.Causes {
			v.Causes[j].bound(i == 0, math.Exp(logs[j]-most)/sum)
		}
		v.Other.bound(i == 0, math.Exp(other-most)/sum)
	}
}

func (r *Ranked) bound(first bool, share float64) {
	if first {
		r.Share, r.Low, r.High = share, share, share
		return
	}
	r.Low, r.High = min(r.Low, share), max(r.High, share)
}

// odds is the logarithm of how likely a cause is, up to a constant.
func (r Ranked) odds(power float64) float64 {
	l := float64(r.order) * math.Log(commonness)
	for _, f := range r.For {
		l += power * math.Log(f.Weight)
	}
	for _, f := range r.Against {
		l -= power * math.Log(f.Weight)
	}
	return l
}

// commonTotal is the sum of how common n causes are.
func commonTotal(n int) (sum float64) {
	for i := range n {
		sum += math.Pow(commonness, float64(i))
	}
	return sum
}

// work writes down how the shares came about.
func (v *Verdict) work(found []Found) {
	if !v.Told {
		return
	}
	v.Steps = working.Add(v.Steps, "before anything was known", "each cause "+working.Num(commonness)+" times as common as the one before; something else "+working.Num(100*elsewhere)+" %",
		Judgement, "%s", strings.Join(causeNames(v.Rule), ", then "))
	for _, f := range found {
		var speaks []string
		for _, c := range v.Causes {
			switch {
			case slices.Contains(c.Cause.For, f.Sign):
				speaks = append(speaks, "× "+working.Num(f.Weight)+" "+c.Name)
			case slices.Contains(c.Cause.Against, f.Sign):
				speaks = append(speaks, "÷ "+working.Num(f.Weight)+" "+c.Name)
			}
		}
		if len(speaks) > 0 {
			v.Steps = append(v.Steps, working.Step{What: string(f.Sign), Formula: strings.Join(speaks, "; "), Value: f.Because, Source: Judgement})
		}
	}
	var shares []string
	for _, c := range v.Causes {
		shares = append(shares, fmt.Sprintf("%s %.0f %%", c.Name, 100*c.Share))
	}
	v.Steps = working.Add(v.Steps, "shares", "product of each cause / sum of all; ends with the weights to the power of 0.5 and 1.5", "Bayes' rule, signs taken as independent",
		"%s, something else %.0f %%", strings.Join(shares, ", "), 100*v.Other.Share)
}

func causeNames(r Rule) (names []string) {
	for _, c := range r.Causes {
		names = append(names, c.Name)
	}
	return names
}

// Clear reports that the first cause is well ahead of the second and of what
// the rule does not list.
func (v Verdict) Clear() bool {
	const ahead = 1.3
	return v.Told && v.Causes[0].Share > v.Other.Share && (len(v.Causes) == 1 || v.Causes[0].Share > ahead*v.Causes[1].Share)
}

// Ask gives the questions whose answers would tell a rule's causes apart best,
// at most that many, without those that something found answers already. Each
// has just the answers that bear on the rule.
func Ask(r Rule, found []Found, most int) []Question {
	if len(r.Causes) < 2 {
		return nil
	}
	type asked struct {
		Question
		worth float64
	}
	now := Rank(r, found)
	var all []asked
	for i, q := range questions {
		if slices.ContainsFunc(found, func(f Found) bool { at, _, ok := look(f.Sign); return ok && at == i }) {
			continue
		}
		one := asked{Question: Question{Text: q.Text}}
		for _, a := range q.Answers {
			if !slices.ContainsFunc(r.Causes, func(c Cause) bool { return c.mentions(a.Sign) }) {
				continue
			}
			one.Answers = append(one.Answers, a)
			then := Rank(r, append(slices.Clone(found), Found{Sign: a.Sign, Weight: a.Weight}))
			one.worth = max(one.worth, moved(now, then))
		}
		if one.worth > 0 {
			all = append(all, one)
		}
	}
	slices.SortStableFunc(all, func(a, b asked) int {
		switch {
		case a.worth > b.worth+1e-9:
			return -1
		case b.worth > a.worth+1e-9:
			return 1
		}
		return 0
	})
	var out []Question
	for _, q := range all[:min(len(all), most)] {
		out = append(out, q.Question)
	}
	return out
}

// moved is how far the shares of two verdicts of a rule are apart, 0 to 1.
func moved(a, b Verdict) (sum float64) {
	for _, c := range a.Causes {
		for _, d := range b.Causes {
			if c.order == d.order {
				sum += math.Abs(c.Share-d.Share) / 2
			}
		}
	}
	return sum + math.Abs(a.Other.Share-b.Other.Share)/2
}

// Merge puts what a member said before what a record shows: of a question that
// both answer, the member's word counts.
func Merge(said, record []Found) []Found {
	all := slices.Clone(said)
	for _, f := range record {
		q, _, ok := look(f.Sign)
		if ok && !slices.ContainsFunc(said, func(s Found) bool { at, _, known := look(s.Sign); return known && at == q }) {
			all = append(all, f)
		}
	}
	return all
}

// Contradicts finds two signs that answer one question in two ways.
func Contradicts(found []Found) (a, b Sign, ok bool) {
	for i, f := range found {
		for _, g := range found[:i] {
			qf, _, okf := look(f.Sign)
			qg, _, okg := look(g.Sign)
			if okf && okg && qf == qg && f.Sign != g.Sign {
				return g.Sign, f.Sign, true
			}
		}
	}
	return "", "", false
}
