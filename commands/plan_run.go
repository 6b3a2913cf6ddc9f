package commands

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/forecast"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/plan"
	"github.com/pourwright/pourwright/internal/quantity"
)

// runPlan is a run with its plan and what goes into each cup.
type runPlan struct {
	*runAsk
	plan.Plan
	cups   []forecast.Batch // of each step; only those of pours are filled in
	chores []chore
	inside []int     // molds whose coat falls inside the run
	ahead  plan.Plan // with those coats before the first pour, where there are any

	stock    *runStock // nil where nothing of the material is kept
	pouredAt []time.Time
}

func (p planCommand) run(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	r, err := p.asked(ctx, c)
	if err != nil {
		return nil, err
	}
	made, err := p.planned(ctx, r)
	if err != nil {
		return nil, err
	}
	return p.reply(ctx, made)
}

// planned makes the plan that was asked for.
func (p planCommand) planned(ctx context.Context, r *runAsk) (*runPlan, error) {
	if err := p.gathered(ctx, r); err != nil {
		return nil, err
	}
	made, err := plan.Make(r.job, ctx.Done())
	if err != nil {
		return nil, planFailed(ctx, err)
	}
	out := &runPlan{runAsk: r, Plan: made, inside: coatsInside(made, len(r.molds))}
	if len(out.inside) > 0 {
		ahead := r.job
		ahead.Molds = slices.Clone(r.job.Molds)
		for _, i := range out.inside {
			ahead.Molds[i].Since = max(ahead.Molds[i].Since, ahead.Molds[i].Every) // due at once
		}
		if out.ahead, err = plan.Make(ahead, ctx.Done()); err != nil {
			return nil, planFailed(ctx, err)
		}
		if r.c.Yes("coat_first", false) {
			out.Plan, r.job = out.ahead, ahead
		}
	}
	if err := p.mixed(ctx, out); err != nil {
		return nil, err
	}
	if err := p.stocked(ctx, out); err != nil {
		return nil, err
	}
	out.chores = out.choresOf()
	return out, nil
}

// planFailed tells a refusal from what broke.
func planFailed(ctx context.Context, err error) error {
	if fault.As(err) != nil {
		return err
	}
	if ctx.Err() != nil {
		return fmt.Errorf("plan a run: %w: %w", context.Cause(ctx), err)
	}
	return fmt.Errorf("plan a run: %w", err)
}

// coatsInside are the molds that get a coat after they have been poured.
func coatsInside(p plan.Plan, molds int) (inside []int) {
	poured := make([]bool, molds)
	for _, s := range p.Steps {
		for _, m := range s.Molds {
			switch {
			case s.Kind == plan.Pour:
				poured[m] = true
			case s.Kind == plan.Coat && poured[m] && !slices.Contains(inside, m):
				inside = append(inside, m)
			}
		}
	}
	slices.Sort(inside)
	return inside
}

// mixed works out what goes into the cup of each pour; cups that are alike once.
func (p planCommand) mixed(ctx context.Context, r *runPlan) error {
	known := map[string]forecast.Batch{}
	r.cups = make([]forecast.Batch, len(r.Steps))
	for i, s := range r.Steps {
		if s.Kind != plan.Pour {
			continue
		}
		volume := 0.0
		for k, m := range s.Molds {
			volume += r.molds[m].Volume * float64(s.Parts[k])
		}
		key := fmt.Sprintf("%g %d", volume, len(s.Molds))
		b, ok := known[key]
		if !ok {
			var err error
			if b, err = p.cures.Batch(ctx, r.want(volume, len(s.Molds)), r.room(), r.c.By.System()); err != nil {
				return err
			}
			known[key] = b
		}
		r.cups[i] = b
	}
	return nil
}

// chore is what hands do in one go, in words. Molds that are taken out one after
// another are one.
type chore struct {
	plan.Step
	text  string
	title string // short, for a calendar and a call
	alike string // what it has in common with the same chore of another round
	parts int    // that are out by then, of a demold
}

// choresOf writes the steps of a plan down.
func (r *runPlan) choresOf() []chore {
	var out []chore
	held, parts := make([]int, len(r.molds)), 0
	for i := 0; i < len(r.Steps); i++ {
		s := r.Steps[i]
		switch s.Kind {
		case plan.Pour:
			for k, m := range s.Molds {
				held[m] = s.Parts[k]
			}
			text := r.pourText(s, r.cups[i])
			out = append(out, chore{Step: s, text: text, alike: text, title: "Pour " + r.names(s.Molds) + ": " + r.amounts(r.cups[i])})
		case plan.Coat:
			wipe := clock(r.c, r.at(s.End+r.job.Hands.CoatWait))
			text := fmt.Sprintf("Release coat on %s; let it sit until %s, then wipe", r.names(s.Molds), wipe)
			title := "Release coat on " + r.names(s.Molds)
			out = append(out, chore{Step: s, text: text, title: title, alike: title + ", and let it sit"})
		default:
			one := s
			one.Molds = slices.Clone(s.Molds)
			for i+1 < len(r.Steps) && r.Steps[i+1].Kind == plan.Demold && r.Steps[i+1].Start-one.End < sameVisit {
				i++
				one.Molds = append(one.Molds, r.Steps[i].Molds...)
				one.End = max(one.End, r.Steps[i].End)
			}
			before := 0 // molds that were full as the run began
			for _, m := range one.Molds {
				if held[m] == 0 {
					before++
				}
				parts += held[m]
				held[m] = 0
			}
			title, what := "Take out "+r.names(one.Molds), quantity.Count(parts, "part", "parts")+" so far"
			ch := chore{Step: one, title: title, alike: title, parts: parts}
			if before == len(one.Molds) {
				what, ch.parts = "what it held before", 0
				ch.alike += ": " + what
			}
			ch.text = title + ": " + what
			out = append(out, ch)
		}
	}
	return out
}

// sameVisit is the pause in s within which hands stay at it.
const sameVisit = 90

func (r *runPlan) names(molds []int) string {
	const told = 4
	var names []string
	for _, m := range molds {
		names = append(names, r.molds[m].Name)
	}
	if len(names) > told {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:told-1], ", "), len(names)-told+1)
	}
	return library.List(names)
}

// amounts is what goes into a cup, "A 44.0 g + B 40.8 g".
func (r *runPlan) amounts(b forecast.Batch) string {
	sys, step := r.c.By.System(), r.c.By.Shop.Set.ScaleStep
	if b.NoWeights != "" {
		return fmt.Sprintf("A %s + B %s", quantity.Text(b.VolumeA, quantity.Volume, sys), quantity.Text(b.VolumeB, quantity.Volume, sys))
	}
	return fmt.Sprintf("A %s + B %s", quantity.TextStep(b.MassA, step, sys), quantity.TextStep(b.MassB, step, sys))
}

func (r *runPlan) pourText(s plan.Step, b forecast.Batch) string {
	text := fmt.Sprintf("Pour %s: %s", r.names(s.Molds), r.amounts(b))
	if len(b.Cups) > 1 {
		text += fmt.Sprintf(", in %d cups", len(b.Cups))
	}
	if b.VolumeTotal > 0 {
		text += " (" + quantity.Text(b.VolumeTotal, quantity.Volume, r.c.By.System()) + ")"
	}
	for _, d := range r.tintOf(b) {
		text += fmt.Sprintf(", %s %s", d.name, quantity.Text(d.grams, quantity.Mass, r.c.By.System()))
	}
	for k, m := range s.Molds {
		if s.Parts[k] < r.molds[m].Cavities {
			text += fmt.Sprintf("; only %d of %s's %d cavities", s.Parts[k], r.molds[m].Name, r.molds[m].Cavities)
		}
	}
	return text
}

// dose is a tint of a cup.
type dose struct {
	name  string
	grams float64
}

func (r *runPlan) tintOf(b forecast.Batch) (out []dose) {
	load := 0.0
	for _, a := range r.tints {
		load += a.Share
	}
	for _, a := range r.tints {
		out = append(out, dose{a.Name, a.Share * b.MassTotal / (1 - load)})
	}
	return out
}

// total adds up over the cups.
func (r *runPlan) total(of func(forecast.Batch) float64) (sum float64) {
	for i, s := range r.Steps {
		if s.Kind == plan.Pour {
			sum += of(r.cups[i])
		}
	}
	return sum
}

// onScale puts a sum of weighed amounts back on the scale's grid.
func (r *runPlan) onScale(g float64) float64 {
	step := r.c.By.Shop.Set.ScaleStep
	if step <= 0 {
		return g
	}
	n := math.Round(g / step)
	return math.Round(n*step*1e9) / 1e9
}
