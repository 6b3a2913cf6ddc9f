package commands

import (
	"context"
	"fmt"
	"math"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/moldcare"
	"github.com/pourwright/pourwright/internal/plot"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/working"
)

// This file answers how long a mold lasts.

func (d moldCommand) life(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := d.library.Mold(ctx, c, "mold", library.Take)
	if err != nil {
		return nil, err
	}
	all, err := d.Molds.Molds(ctx, c.By)
	if err != nil {
		return nil, fmt.Errorf("list molds: %w", err)
	}
	wear := c.Value("late_wear", moldcare.LateWear)
	o, err := library.LifeAhead(m, all, c.By, wear, ctx.Done())
	if err != nil {
		return nil, err
	}
	median := o.Median()
	r := &chat.Reply{Facts: moldCounts(m), Working: o.Steps}
	r.Facts = append(r.Facts, chat.Fact{Key: "life_median", Label: "Such molds last", Value: median.Mid, Unit: "1",
		Text: fmt.Sprintf("%.0f pulls, half of them (%.0f to %.0f)", median.Mid, median.Low, median.High)}.Between(median.Low, median.High))
	r.Working = working.Add(r.Working, "median life", "10, 50 and 90 % points of the grid", working.Definition,
		"%s pulls (%s to %s)", working.Num(median.Mid), working.Num(median.Low), working.Num(median.High))
	if m.Retired == "" {
		d.ahead(c, m, o, wear, r)
	} else {
		r.Title = fmt.Sprintf("%s was retired after %s: %s", m.Name, pullsOf(m.PullsSoFar()), m.Retired)
	}
	if m.Tally.Good+m.Tally.Spoiled >= fewPulls {
		r.Facts = append(r.Facts, goodRate(m))
	}
	r.Facts = append(r.Facts, chat.Whole("molds_counted", "Molds counted", len(o.Lives), fmt.Sprintf("%d, of which %d failed", len(o.Lives), o.Failures)))
	r.Notes = append(r.Notes, lifeNotes(m, o)...)
	return r, lifePicture(r, m, o)
}

// ahead says what is left of a mold in use.
func (d moldCommand) ahead(c *chat.Call, m shop.Mold, o library.Outlook, wear float64, r *chat.Reply) {
	left, expected := o.Left(o.Age)
	r.Title = fmt.Sprintf("%s: about %.0f more pulls, 8 times in 10 between %.0f and %.0f", m.Name, left.Mid, left.Low, left.High)
	step := 1.0
	if library.CareOf(m).Late() {
		step = wear
		r.Notes = append(r.Notes, fmt.Sprintf("A release coat is due now; a pull without it counts %s pulls of wear (judgement, no source), and the risk of the next one is told so.", short(wear)))
	}
	risk := o.RiskRange(o.Age, step)
	next := c.Count("next", 10)
	many := o.RiskRange(o.Age, float64(next))
	r.Facts = append(r.Facts,
		chat.Share("pull_risk", "The next pull finishes it", risk.Mid).Between(risk.Low, risk.High).
			Says(fmt.Sprintf("%s, %s (%s to %s)", oneIn(risk.Mid), roundPercent(risk.Mid), roundPercent(risk.Low), roundPercent(risk.High))),
		chat.Share("next_risk", fmt.Sprintf("One of the next %d does", next), many.Mid).Between(many.Low, many.High).
			Says(fmt.Sprintf("%s (%s to %s)", roundPercent(many.Mid), roundPercent(many.Low), roundPercent(many.High))),
		chat.Fact{Key: "pulls_left", Label: "Pulls left", Value: left.Mid, Unit: "1",
			Text: fmt.Sprintf("%.0f (%.0f to %.0f)", left.Mid, left.Low, left.High)}.Between(left.Low, left.High),
		chat.Fact{Key: "pulls_expected", Label: "Pulls left on average", Value: expected, Unit: "1", Text: fmt.Sprintf("%.0f", expected)}.Between(left.Low, left.High))
	r.Working = working.Add(r.Working, "risk of the next pull", "1 − S(n + "+working.Num(step)+")/S(n), over the grid", working.Definition, "n = %s: %s", working.Num(o.Age), working.Num(risk.Mid))
	r.Working = working.Add(r.Working, "pulls left", "where S(n + j)/S(n) is 0.9, 0.5 and 0.1; on average Σ S(n + j)/S(n)", working.Definition,
		"%s, %s and %s; %s", working.Num(left.Low), working.Num(left.Mid), working.Num(left.High), working.Num(expected))
	r.Actions = append(r.Actions, chat.Action{Label: "Count a pull", Line: moldLine("pull", m, nil)})
	if library.CareOf(m).Due() == 0 {
		r.Actions = append(r.Actions, chat.Action{Label: "Release coat is on", Line: moldLine("release", m, nil)})
	}
}

// oneIn tells a small chance as people do.
func oneIn(p float64) string {
	switch n := math.Round(1 / p); {
	case p >= 0.3:
		return "quite likely"
	case n > 500:
		return "hardly"
	default:
		return fmt.Sprintf("about 1 in %.0f", n)
	}
}

// roundPercent has as many digits as such a chance is worth.
func roundPercent(p float64) string {
	if p < 0.1 {
		return fmt.Sprintf("%.2g %%", 100*p)
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

func lifeNotes(m shop.Mold, o library.Outlook) []string {
	var notes []string
	if o.Failures < moldcare.FewFailures {
		notes = append(notes, fmt.Sprintf("Mostly common practice so far: of %d %s molds counted here, %s came to an end. Each one that is retired with its reason narrows the range.", len(o.Lives), m.Family, few(o.Failures)))
	}
	notes = append(notes, o.Counted()...)
	if shared := len(o.Lives) - o.Own; shared > 0 {
		notes = append(notes, fmt.Sprintf("It rests on %d molds of yours and %d that others share with the shop, which count by half. Shared ones are of the same rubber; what was cast in them is not told apart.", o.Own, shared))
	}
	if m.Pulls > 0 {
		notes = append(notes, fmt.Sprintf("%s were on it when it was added: they say that it lasted so long, and nothing of those that did not.", library.Capital(pullsOf(m.Pulls))))
	}
	if moldcare.Family(m.Family) == moldcare.Condensation {
		notes = append(notes, "Heat wears it too, and dries it out: the hotter the pour, the shorter the life. Let it cool and rest between hot pours.")
	}
	return append(notes, "Keep it clean, flat and unbent, in the dark, away from what it should not touch.")
}

func few(n int) string {
	switch n {
	case 0:
		return "none"
	case 1:
		return "one"
	}
	return fmt.Sprint(n)
}

// lifePicture shows the share of such molds still whole, with the raw steps
// beside it, and where this mold is.
func lifePicture(r *chat.Reply, m shop.Mold, o library.Outlook) error {
	longest := o.Age
	for _, l := range o.Lives {
		longest = max(longest, l.End)
	}
	median := o.Median()
	end := math.Ceil(max(1.15*longest, min(1.6*median.High, 3*median.Mid))/10) * 10
	const points = 120
	pulls := make([]float64, points+1)
	for i := range pulls {
		pulls[i] = end * float64(i) / points
	}
	curve := o.Curve(pulls)
	percent := func(share float64) float64 { return math.Round(1000*share) / 10 } // no finer than it can be seen
	for i, v := range curve {
		curve[i] = quantity.Range{Low: percent(v.Low), Mid: percent(v.Mid), High: percent(v.High)}
	}
	panel := plot.Panel{Title: library.Capital(m.Family) + " molds still whole, %", High: 100, Series: []plot.Series{{Label: "expected", Time: pulls, Values: curve}}}
	if len(o.Raw) > 0 {
		panel.Series = append(panel.Series, rawSteps(o, longest))
	}
	chart := plot.Curves{Of: "pulls", Since: "since it was made", Panels: []plot.Panel{panel},
		Marks: []plot.Mark{{Label: fmt.Sprintf("%s, %d", m.Name, m.PullsSoFar()), At: quantity.Exactly(o.Age)}}}
	data, err := chart.PNG()
	if err != nil {
		return fmt.Errorf("draw a mold's life: %w", err)
	}
	r.Images = append(r.Images, chat.Image{Name: "life.png", Alt: chart.Alt(), Data: data})
	return nil
}

// rawSteps are the Kaplan–Meier steps with twice their error to both sides, as
// far as there are data.
func rawSteps(o library.Outlook, longest float64) plot.Series {
	s := plot.Series{Label: fmt.Sprintf("counted, %d molds", len(o.Lives))}
	add := func(at float64, step moldcare.Step) {
		s.Time = append(s.Time, at)
		s.Values = append(s.Values, quantity.Range{Low: 100 * max(0, step.Survival-2*step.Error), Mid: 100 * step.Survival, High: 100 * min(1, step.Survival+2*step.Error)})
	}
	last := moldcare.Step{Survival: 1}
	add(0, last)
	for _, step := range o.Raw {
		add(step.At, last)
		add(step.At, step)
		last = step
	}
	add(max(longest, last.At), last)
	return s
}
