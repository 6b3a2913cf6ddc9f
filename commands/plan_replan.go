package commands

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/plan"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// This file goes on with a run that is under way.

// runDone is what is done of a run.
type runDone struct {
	wanted  int // good parts of the whole run
	good    int
	spoiled int
	coming  int // parts in the molds
	failed  int // pours that never set
	holding []int64
}

// holds reports that a pour that is in a mold is of this run.
func (d *runDone) holds(p shop.Pour) bool { return slices.Contains(d.holding, p.ID) }

// spares are what the rest of the run needs beside those in the molds, whose own
// spoiled ones are to be made up for too.
func (d *runDone) spares(r *runAsk) int {
	missing := d.wanted - d.good
	return missing + plan.Spares(missing, r.scrap) - d.coming - r.copies
}

func (p planCommand) replan(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	r, err := p.asked(ctx, c)
	if err != nil {
		return nil, err
	}
	if err := p.underWay(ctx, r); err != nil {
		return nil, err
	}
	if r.copies <= 0 {
		return r.allPoured(), nil
	}
	made, err := p.planned(ctx, r)
	if err != nil {
		return nil, err
	}
	out, err := p.reply(ctx, made)
	if err != nil {
		return nil, err
	}
	d := r.done
	out.Title = fmt.Sprintf("%d of %d made, %d in the molds. Still to pour: %s", d.good, d.wanted, d.coming, out.Title)
	out.Facts = append(out.Facts, d.facts()...)
	out.Notes = append(d.notes(c), out.Notes...)
	return out, nil
}

// underWay counts what is done since the run began, and leaves what is still
// wanted.
func (p planCommand) underWay(ctx context.Context, r *runAsk) error {
	c := r.c
	if !c.Has("since") && !c.Has("made") {
		return fault.New(fault.MissingOption, "nothing is kept of a plan: when did the run begin?").In("since").
			Hint(`press Something changed under the plan, or give since:"2026-11-30 09:00", or made with the good parts that you have`)
	}
	d := &runDone{wanted: r.copies}
	r.done = d
	if c.Has("since") {
		since, err := p.since(c)
		if err != nil {
			return err
		}
		own, err := p.Pours.Pours(ctx, c.By, poursRead)
		if err != nil {
			return fmt.Errorf("list pours: %w", err)
		}
		for _, pour := range own {
			if pour.MaterialID == r.material.ID && !pour.Started.Before(since) && r.fillsThese(pour) {
				d.count(pour, c.At)
			}
		}
	}
	if c.Has("made") {
		d.good = c.Count("made", 0)
	}
	r.copies = d.wanted - d.good - d.coming
	return nil
}

// since reads when the run began, which is past.
func (p planCommand) since(c *chat.Call) (time.Time, error) {
	typed := c.Text("since")
	at, err := time.Parse(time.RFC3339, typed)
	if err != nil {
		local, wrong := time.Parse("2006-01-02 15:04", typed)
		if wrong != nil {
			return at, fault.New(fault.BadTime, "%q does not say when the run began", fault.Echo(typed)).In("since").Hint(`give day and time, such as since:"2026-11-30 09:00"`)
		}
		at = shop.Wall(local, c.By.Zone())
	}
	if at.After(c.At) || at.Before(c.At.Add(-pinnedAge)) {
		return at, fault.New(fault.BadTime, "the run did not begin within the last year by %s", at.In(c.By.Zone()).Format("2006-01-02 15:04")).In("since").
			Hint("give when it began; /plan run plans one to come")
	}
	c.Pin("since", at.UTC().Format(time.RFC3339))
	return at, nil
}

func (r *runAsk) fillsThese(pour shop.Pour) bool {
	return slices.ContainsFunc(pour.InMolds(), func(f shop.Fill) bool {
		return slices.ContainsFunc(r.molds, func(m shop.Mold) bool { return f.Mold != 0 && f.Mold == m.ID })
	})
}

func (d *runDone) count(pour shop.Pour, now time.Time) {
	switch {
	case pour.State == shop.PourDone:
		d.good += pour.Good
		d.spoiled += pour.Spoiled
	case pour.State == shop.PourFailed:
		d.failed++
	case library.OpenPour(pour, now):
		d.coming += pour.Count
		d.holding = append(d.holding, pour.ID)
	}
}

func (d *runDone) facts() []chat.Fact {
	return []chat.Fact{chat.Whole("made", "Good parts made", d.good, fmt.Sprint(d.good)),
		chat.Whole("in_molds", "Parts in the molds", d.coming, fmt.Sprint(d.coming)),
		chat.Whole("spoiled", "Parts spoiled", d.spoiled, fmt.Sprint(d.spoiled))}
}

func (d *runDone) notes(c *chat.Call) (notes []string) {
	if c.Has("made") {
		notes = append(notes, fmt.Sprintf("%s made, as you said.", quantity.Count(d.good, "good part", "good parts")))
	}
	if d.failed > 0 {
		notes = append(notes, fmt.Sprintf("%s never set since the run began, and made nothing.", quantity.Count(d.failed, "pour", "pours")))
	}
	if c.Has("since") {
		notes = append(notes, "Counted are your pours of this material into these molds since it began: /pour start and /pour done log them. Name a mold that was retired since no more.")
	}
	return notes
}

// allPoured is the answer where nothing is left to pour.
func (r *runAsk) allPoured() *chat.Reply {
	d := r.done
	out := &chat.Reply{Title: fmt.Sprintf("All %d are made", d.wanted), Facts: d.facts(), Notes: d.notes(r.c)}
	if d.coming > 0 {
		out.Title = fmt.Sprintf("%d of %d are made, and the rest is in the molds", d.good, d.wanted)
		out.Notes = append(out.Notes, "There are no spares beside these: look at each as it comes out, and plan again if one is spoiled.")
		out.Actions = []chat.Action{{Label: "What is curing", Line: "/pour list"}}
	}
	return out
}
