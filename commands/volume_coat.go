package commands

import (
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shape"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/working"
)

func (v volumeCommand) coat(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	side, err := shape.ParseSide(c.Text("side"))
	if err != nil {
		return nil, err
	}
	w := shape.CoatWant{Area: c.Value("area", 0), Wall: c.Value("wall", 0), Coats: c.Count("coats", 0), Side: side}
	var steps []working.Step
	if c.Has("file") {
		p, err := v.parts.Measure(ctx, c, "file")
		if err != nil {
			return nil, err
		}
		p.Surface(&w)
		steps = p.Steps
		for _, f := range p.Findings {
			c.Note(f)
		}
	}
	got, err := w.Measure()
	if err != nil {
		return nil, err
	}
	sys := c.By.System()
	r := &chat.Reply{
		Title: fmt.Sprintf("%s for %s of wall, %s a coat", quantity.Text(got.Volume, quantity.Volume, sys), quantity.Text(w.Wall, quantity.Length, sys), quantity.Text(got.PerCoat, quantity.Volume, sys)),
		Facts: []chat.Fact{
			volumeFact(c, got.Volume),
			chat.Num("per_coat", "Each coat", got.PerCoat, quantity.Volume, sys),
			chat.Whole("coats", "Coats", got.Coats, fmt.Sprintf("%d of %s", got.Coats, quantity.Text(got.Each, quantity.Length, sys))),
			chat.Num("area", "Surface", w.Area, quantity.Area, sys),
		},
		Notes:   got.Notes,
		Working: append(steps, got.Steps...),
	}
	if got.First > got.PerCoat*1.001 {
		r.Facts = append(r.Facts, chat.Num("first_coat", "First coat", got.First, quantity.Volume, sys))
	}
	m, err := v.named(ctx, c)
	if err != nil {
		return nil, err
	}
	if err := weighed(c, r, m, got.Volume, got.Coats); err != nil {
		return nil, err
	}
	return r, v.recoat(ctx, c, r, m, got)
}

// recoat adds when the next coat goes on, where a material is named and there
// is a next one. What can't be foreseen is no reason to hold the volumes back.
func (v volumeCommand) recoat(ctx context.Context, c *chat.Call, r *chat.Reply, m *shop.Material, got shape.Coat) error {
	if got.Coats < 2 || m == nil {
		return nil
	}
	sys := c.By.System()
	room := c.Value("temp", c.By.Shop.Set.Temp)
	f, err := v.cures.Estimate(ctx, c, *m, cure.Setup{Thickest: got.Each, OpenTop: true, Room: room, Humidity: c.By.Shop.Set.Humidity, System: sys})
	if why := fault.As(err); why != nil && why.Code != fault.Internal {
		r.Notes = append(r.Notes, fmt.Sprintf("When the next coat goes on can't be foreseen: %s. Wait until the last no longer moves and is still tacky; the bulletin's own recoat time wins.", why.Message))
		return nil
	}
	if err != nil {
		return err
	}
	next := library.Recoat(shop.Foreseen{Gel: f.Gel, Demold: f.Title})
	if next.Low <= 0 {
		return nil
	}
	r.Facts = append(r.Facts, chat.Num("recoat", "Next coat after", next.Mid, quantity.Time, sys).Between(next.Low, next.High).Says(timeSpan(next, sys)))
	r.Notes = append(r.Notes, "The next coat goes on once the last no longer moves and is still tacky (common practice). The span is an estimate; a gloved finger and the bulletin's own recoat time win.")
	if !c.Has("temp") {
		c.Note(fmt.Sprintf("At the shop's %s; is your room colder?", quantity.Text(room, quantity.Temp, sys)))
	}
	r.Working = working.Add(r.Working, "next coat", "from gel to twice that, or to demold", "heat equation with the material's reaction for gel and demold; tacky until then is judgement",
		"gel %s s at p90, demold %s s at p10: %s to %s s", working.Num(f.Gel.High), working.Num(f.Title.Low), working.Num(next.Low), working.Num(next.High))
	return nil
}

// cupOf is the cup that one coat is mixed in.
func cupOf(ml float64, coats int) float64 {
	if coats <= 1 {
		return 0
	}
	return ml / float64(coats) * 1.2
}
