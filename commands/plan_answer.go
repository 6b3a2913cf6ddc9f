package commands

import (
	"context"
	"fmt"
	"math"
	"time"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/forecast"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/moldcare"
	"github.com/pourwright/pourwright/internal/plan"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/working"
)

// This file tells a plan.

// choresTold is how many steps a reply holds; the files have all.
const choresTold = 14

func (p planCommand) reply(ctx context.Context, r *runPlan) (*chat.Reply, error) {
	c := r.c
	way, err := p.inTime(ctx, r)
	if err != nil {
		return nil, err
	}
	out := &chat.Reply{Title: r.title(), Facts: r.facts(), Steps: r.steps()}
	out.Notes = append(append(out.Notes, way.notes...), r.told()...)
	out.Working = r.working()
	deepest := 0.0
	for _, m := range r.molds {
		deepest = max(deepest, m.Thickest)
	}
	out.Cautions = chat.Cautions(caution.For(caution.Situation{Step: caution.Mixing, Family: r.material.Family, Mass: r.mass, MaxMass: r.material.MaxMass,
		Section: deepest, MaxDepth: r.material.MaxDepth, Powder: library.Dusty(r.tints), Text: r.material.Notes}))
	if err := r.drawn(out); err != nil {
		return nil, err
	}
	if err := r.calendar(out); err != nil {
		return nil, err
	}
	r.listed(out)
	if !r.cure.Has(cure.Stop) {
		out.Actions = append(out.Actions, chat.Action{Label: "Set all reminders", Line: planLine(c, "remind", nil)})
	}
	out.Actions = append(out.Actions, chat.Action{Label: "Something changed", Do: chat.DoForm, Form: "changed", Line: planLine(c, "replan", map[string]string{"since": r.began(), "start": ""})})
	out.Actions = append(append(out.Actions, r.coatAction()...), way.actions...)
	out.Actions = append(out.Actions, r.stock.action(c)...)
	return out, nil
}

// began is when the run began, as a button holds it.
func (r *runAsk) began() string {
	if since := r.c.Meant("since"); since != "" {
		return since
	}
	return r.start.UTC().Format(time.RFC3339)
}

func (r *runPlan) title() string {
	c := r.c
	end := fmt.Sprintf("%s by %s, at even odds by %s: %s into %s", quantity.Count(r.copies, "part", "parts"),
		clock(c, r.at(r.Finish.High)), clock(c, r.at(r.Finish.Mid)), quantity.Count(r.Pours, "pour", "pours"), quantity.Count(len(r.molds), "mold", "molds"))
	switch {
	case r.cure.Has(cure.Stop):
		return fmt.Sprintf("Do not run it like this, it may reach %s inside. Else: %s", quantity.Text(math.Round(r.cure.Peak.High), quantity.Temp, c.By.System()), end)
	case r.by.IsZero():
		return end
	case r.meets():
		return fmt.Sprintf("Yes, in time for %s: %s", clock(c, r.by), end)
	}
	return fmt.Sprintf("Not by %s: %s", clock(c, r.by), end)
}

func (r *runPlan) meets() bool { return !r.at(r.Finish.High).After(r.by) }

// between is an instant with its range; the ends are seconds since 1970 UTC.
func (r *runPlan) between(key, label string, t plan.Times) chat.Fact {
	c := r.c
	low, high := clock(c, r.at(t.Low)), clock(c, r.at(t.High))
	text := fmt.Sprintf("%s (%s to %s)", clock(c, r.at(t.Mid)), low, high)
	if low == high {
		text = low
	}
	return chat.Fact{Key: key, Label: label, Value: r.at(t.Mid).UTC().Format(time.RFC3339), Text: text}.
		Between(float64(r.at(t.Low).Unix()), float64(r.at(t.High).Unix()))
}

func (r *runPlan) facts() []chat.Fact {
	sys, step := r.c.By.System(), r.c.By.Shop.Set.ScaleStep
	facts := []chat.Fact{r.between("finish", "All out", r.Finish)}
	if !r.by.IsZero() {
		text := "no"
		if r.meets() {
			text = "yes, nine times in ten"
		} else if !r.at(r.Finish.Mid).After(r.by) {
			text = "an even bet, not more"
		}
		facts = append(facts, chat.Fact{Key: "in_time", Label: "In time", Value: r.meets(), Text: text})
	}
	facts = append(facts, r.between("first_demold", "First ones out", r.First),
		chat.Whole("pours", "Pours", r.Pours, fmt.Sprintf("%d, of up to %s each", r.Pours, quantity.Count(r.job.PerCup, "mold", "molds"))))
	if r.weighed() {
		weigh := func(key, label string, of func(forecast.Batch) float64) chat.Fact {
			v, half := r.onScale(r.total(of)), step/2*float64(r.cupsCount())
			return chat.Num(key, label, v, quantity.Mass, sys).Says(quantity.TextStep(v, step, sys)).Between(v-half, v+half)
		}
		facts = append(facts, weigh("mass_a", "Part A in all", func(b forecast.Batch) float64 { return b.MassA }),
			weigh("mass_b", "Part B in all", func(b forecast.Batch) float64 { return b.MassB }))
	} else {
		facts = append(facts, chat.Num("volume_a", "Part A in all", r.total(func(b forecast.Batch) float64 { return b.VolumeA }), quantity.Volume, sys),
			chat.Num("volume_b", "Part B in all", r.total(func(b forecast.Batch) float64 { return b.VolumeB }), quantity.Volume, sys))
	}
	if r.stock != nil {
		facts = append(facts, r.stock.facts(r.c)...)
	}
	facts = append(facts, chat.Whole("release_coats", "Release coats", r.Coats, fmt.Sprint(r.Coats)))
	if each, ok := r.costEach(); ok {
		facts = append(facts, each)
	}
	facts = append(facts, chat.Whole("fills", "Fillings of a mold", r.Fills, fmt.Sprint(r.Fills)), chat.Whole("spares", "Spares among them", r.spares, fmt.Sprintf("%d, for %s spoiled", r.spares, quantity.Percent(r.scrap))),
		chat.Whole("cups", "Cups", r.cupsCount(), fmt.Sprint(r.cupsCount())))
	for i, a := range r.tints {
		grams := r.total(func(b forecast.Batch) float64 { return r.tintOf(b)[i].grams })
		facts = append(facts, chat.Num(fmt.Sprintf("tint_%d", i+1), library.Capital(a.Name), grams, quantity.Mass, sys))
	}
	if r.stock != nil {
		facts = append(facts, r.stock.more(r.c)...)
	}
	f := r.Finish
	return append(facts, chat.Num("run_time", "From start to end", float64(f.Mid), quantity.Time, sys).Between(float64(f.Low), float64(f.High)),
		chat.Num("run_least", "No plan could be sooner than", float64(r.Bound), quantity.Time, sys))
}

func (r *runPlan) weighed() bool {
	for i, s := range r.Steps {
		if s.Kind == plan.Pour && r.cups[i].NoWeights != "" {
			return false
		}
	}
	return true
}

func (r *runPlan) cupsCount() int {
	return int(r.total(func(b forecast.Batch) float64 { return float64(len(b.Cups)) }))
}

// costEach is what a good part costs in resin and mold.
func (r *runPlan) costEach() (chat.Fact, bool) {
	currency := r.c.By.Shop.Set.Currency
	resin := r.total(func(b forecast.Batch) float64 { return b.Cost })
	if currency == "" || resin == 0 {
		return chat.Fact{}, false
	}
	var low, mid, high float64
	priced := false
	for i, m := range r.molds {
		pulls := wholeLife(m, r.lives[i])
		share := m.Cost * float64(r.Pulls[i])
		low, mid, high = low+share/pulls.High, mid+share/pulls.Mid, high+share/pulls.Low
		priced = priced || m.Cost > 0
	}
	each := func(v float64) float64 { return (resin + v) / float64(r.copies) }
	text := plan.InMoney(each(mid), currency).String() + ", resin alone"
	if priced {
		text = fmt.Sprintf("%s (%s to %s), resin and mold", plan.InMoney(each(mid), currency), plan.InMoney(each(low), currency), plan.InMoney(each(high), currency))
	}
	return chat.Fact{Key: "cost_each", Label: "A good part costs", Value: each(mid), Unit: currency, Text: text}.Between(each(low), each(high)), true
}

// wholeLife is how many pulls a mold is expected to give from its first, with
// the 10 and 90 % ends.
func wholeLife(m shop.Mold, o library.Outlook) quantity.Range {
	left, expected := o.Left(o.Age)
	had := float64(m.PullsSoFar())
	mid := max(had+expected, 1)
	return quantity.Range{Low: min(max(had+left.Low, 1), mid), Mid: mid, High: max(had+left.High, mid)}
}

// told are the notes: what presses, what the run rests on, each default.
func (r *runPlan) told() []string {
	c, sys := r.c, r.c.By.System()
	notes := append(r.hazards(), r.stockNotes()...)
	notes = append(notes, r.coatNotes()...)
	notes = append(notes, r.lifeNotes()...)
	notes = append(notes, fmt.Sprintf("Times are by the long end of the cure: %s in the mold, nine pours in ten are ready and cool by then. Try the sprue before you take one out; the bulletin wins.",
		quantity.Text(math.Ceil(float64(r.slowest().High)/60)*60, quantity.Time, sys)))
	if r.log.Good+r.log.Spoiled > 0 && !c.Has("scrap") {
		notes = append(notes, fmt.Sprintf("Spares by your log: %d of %d parts spoiled, beside 5 %% as if of 20 more (judgement).", r.log.Spoiled, r.log.Good+r.log.Spoiled))
	} else if !c.Has("scrap") {
		notes = append(notes, "Spares for 5 % spoiled, since none of this material is logged (judgement); say scrap:8% if you know better.")
	}
	notes = append(notes, r.handsNote())
	if !c.Has("hours") {
		notes = append(notes, fmt.Sprintf("Hands work from 08:00 to 22:00 by the clock of %s, and cures go on over night; say hours:09:00-17:00 or hours:any.", c.By.Zone()))
	}
	if len(r.tints) > 0 {
		notes = append(notes, "Tint has no price here: it is not in the cost. /plan cost takes one.")
	}
	if gap := r.Gap(); gap > tellGap {
		notes = append(notes, fmt.Sprintf("No plan of this kind ends before %s; this one may be up to %s longer than the best.", clock(c, r.at(r.Bound)), quantity.Percent(gap)))
	}
	notes = append(notes, r.notes...)
	if text := takenText(r.cure); text != "" {
		notes = append(notes, text)
	}
	if text := r.cure.Learned.Text(); text != "" {
		notes = append(notes, text)
	}
	return append(notes, "Nothing is kept of it. Log the pours with /pour start and /pour done, and Something changed plans the rest anew.")
}

// tellGap is the share of the bound from which it is worth saying.
const tellGap = 0.02

func (r *runPlan) slowest() (slow plan.Times) {
	for _, m := range r.job.Molds {
		if m.Cure.High > slow.High {
			slow = m.Cure
		}
	}
	return slow
}

func (r *runPlan) handsNote() string {
	people := quantity.Count(r.job.People, "pair of hands", "pairs of hands")
	sys, h := r.c.By.System(), r.job.Hands
	each := quantity.Text(float64(h.Batch), quantity.Time, sys)
	switch {
	case r.c.Has("pour_time"):
		return fmt.Sprintf("%s, %s a pour as you said, 3 min to take a mold's parts out (judgement).", library.Capital(people), each)
	case r.log.Pace > 0:
		return fmt.Sprintf("%s, %s a pour as %d of your logged pours had it (PERT mean), 3 min to take a mold's parts out (judgement).", library.Capital(people), each, r.log.Paced)
	}
	return fmt.Sprintf("%s, 6 min a pour and 20 s a cavity, 3 min to take a mold's parts out (judgement); say pour_time:8min and people:2 for yours.", library.Capital(people))
}

// coatNotes tell of release coats, those inside the run first of all.
func (r *runPlan) coatNotes() []string {
	c := r.c
	switch {
	case len(r.inside) == 0 && r.Coats == 0:
		return nil
	case len(r.inside) == 0:
		return []string{"Each release coat comes before the first pour, and sits an hour (common practice)."}
	case c.Yes("coat_first", false):
		return []string{fmt.Sprintf("The coat of %s is put on before the first pour, since it would have run out inside the run.", r.names(r.inside))}
	}
	first, now := r.ahead.Finish.High, r.Finish.High
	then := "and it ends no later"
	switch {
	case first < now:
		then = fmt.Sprintf("and all is out by %s in place of %s", clock(c, r.at(first)), clock(c, r.at(now)))
	case first > now:
		then = fmt.Sprintf("and nothing waits for it between, but all is out by %s only", clock(c, r.at(first)))
	}
	return []string{fmt.Sprintf("The release coat of %s runs out inside the run. You can put one on before the first pour, %s.", r.names(r.inside), then)}
}

func (r *runPlan) coatAction() []chat.Action {
	switch {
	case len(r.inside) == 0:
		return nil
	case r.c.Yes("coat_first", false):
		return []chat.Action{{Label: "Coats as they fall due", Do: chat.DoReplace, Line: planLine(r.c, r.sub(), map[string]string{"coat_first": ""})}}
	}
	return []chat.Action{{Label: "Coat before the first pour", Do: chat.DoReplace, Line: planLine(r.c, r.sub(), map[string]string{"coat_first": "yes"})}}
}

func (r *runAsk) sub() string {
	if r.c.Sub == "replan" {
		return "replan"
	}
	return "run"
}

// lifeNotes say which molds are near their end.
func (r *runPlan) lifeNotes() (notes []string) {
	if r.short > 0 {
		make := fmt.Sprintf("make %d more molds like %s", r.short, r.molds[0].Name)
		if r.short == 1 {
			make = fmt.Sprintf("make one more mold like %s", r.molds[0].Name)
		}
		notes = append(notes, fmt.Sprintf("These molds are worn out before the copies are made, by what half of such molds last: %s before you begin, or expect to stop. The plan is as if they lasted.", make))
	}
	const told, worth = 3, 0.25
	for i, m := range r.molds {
		pulls := r.Pulls[i]
		if pulls == 0 {
			notes = append(notes, fmt.Sprintf("%s is not needed.", library.Capital(m.Name)))
			continue
		}
		risk := r.lives[i].RiskRange(r.lives[i].Age, float64(pulls))
		if risk.Mid >= worth && len(notes) < told {
			notes = append(notes, fmt.Sprintf("%s has had %s and gets %d more: it may not last the run, in %s of cases (%s to %s).", library.Capital(m.Name), pullsOf(m.PullsSoFar()), pulls,
				roundPercent(risk.Mid), roundPercent(risk.Low), roundPercent(risk.High)))
		}
	}
	return notes
}

func (r *runPlan) working() (steps []working.Step) {
	j, h := r.job, r.job.Hands
	steps = append(steps, r.cure.Steps...)
	steps = working.Add(steps, "spares", "copies·s/(1 − s), rounded up", working.Definition, "%d × %s/(1 − %s): %d", r.copies, working.Num(r.scrap), working.Num(r.scrap), r.spares)
	steps = working.Add(steps, "molds a cup fills", "the most that are poured within the short end of the pot life, the cup's size and the bulletin's mass", "20 s a filling (common practice, no source)", "%d", j.PerCup)
	steps = working.Add(steps, "hands a pour", "batch + cavities × each", "common practice, no source, unless given or logged", "%d s + %d s a cavity; %d s a demold, %d s a coat that sits %d s", h.Batch, h.Cavity, h.Demold, h.Coat, h.CoatWait)
	slow := r.slowest()
	steps = working.Add(steps, "in the mold", "the later of demold and cool, p10, p50, p90", "forecast of /cure", "%d, %d, %d s", slow.Low, slow.Mid, slow.High)
	steps = working.Add(steps, "release coats", "before each pull that comes after the last a coat is good for", "common practice, no source", "%d in the run, each good for %s", r.Coats, pullsOf(moldcare.ReleaseEvery))
	steps = working.Add(steps, "the plan", "lists of acts from an event simulation, bettered by small changes with a fixed seed; each act by whoever is free first", "list scheduling; waiting times after Kiefer and Wolfowitz 1955, from memory",
		"%d acts, last out after %d, %d and %d s", len(r.Steps), r.Finish.Low, r.Finish.Mid, r.Finish.High)
	if r.stock != nil {
		steps = r.stock.working(steps)
	}
	return working.Add(steps, "the bound", "the larger of the least work over the hands, and of each mold filled alone again and again", working.Definition, "%d s, so the plan is at most %s longer than the best", r.Bound, quantity.Percent(r.Gap()))
}
