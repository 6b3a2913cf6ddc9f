package commands

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/stock"
)

// add keeps a container, with the call before it is too old where it is open.
func (s stockCommand) add(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := s.library.Material(ctx, c, "material", library.Offer)
	if err != nil {
		return nil, err
	}
	in, err := stock.Split(m.Profile, partOf(c), c.Measure("amount"))
	if err != nil {
		return nil, err
	}
	one := shop.Container{MaterialID: m.ID, ContainerPlan: shop.ContainerPlan{
		Material: m.Name, Part: string(partOf(c)), A: in.A, B: in.B, Lot: strings.TrimSpace(c.Text("lot")), Tare: c.Value("tare", 0), Low: c.Value("low", 0)}}
	one.Shared = c.Yes("shared", false)
	if err := containerDays(c, &one); err != nil {
		return nil, err
	}
	shelf, err := s.shelf(ctx, c)
	if err != nil {
		return nil, err
	}
	if one.Low == 0 { // what was wished of the last one
		for _, other := range shelf.Of(m) {
			if other.Part == one.Part && c.By.MayChange(other.Record) {
				one.Low = max(one.Low, other.Low)
			}
		}
	}
	kept, called, err := s.keep(ctx, c, one, m)
	if err != nil {
		return nil, err
	}
	if shelf, err = s.shelf(ctx, c); err != nil {
		return nil, err
	}
	r := s.card(c, shelf, kept)
	r.Title = fmt.Sprintf("Added %s, %s", chat.Ref(kept.ID, 0), lowerCall(c, shelf, kept))
	r.Notes = append(r.Notes, called...)
	if one.OpenedOn.IsZero() {
		r.Notes = append(r.Notes, "Say /stock open when you open it: its open life begins then.")
	}
	r.Cautions = chat.Cautions(caution.For(caution.Situation{Step: caution.Storing, Family: m.Family, Text: m.Notes,
		OldJug: one.Bought.IsZero() && one.OpenedOn.IsZero() && one.UseBy.IsZero()}))
	return r, nil
}

// lowerCall is a container in the words of a sentence.
func lowerCall(c *chat.Call, shelf library.Stock, one shop.Container) string {
	return one.Name() + ": " + containerText(c, shelf, one)
}

// containerDays reads the days of a container.
func containerDays(c *chat.Call, one *shop.Container) (err error) {
	if c.Has("bought") {
		if one.Bought, err = library.PastDay(c, "bought", "you bought it"); err != nil {
			return err
		}
	}
	if c.Has("opened") {
		if one.OpenedOn, err = library.PastDay(c, "opened", "it was opened"); err != nil {
			return err
		}
	}
	if !one.OpenedOn.IsZero() && one.OpenedOn.Before(one.Bought) {
		return fault.New(fault.BadTime, "it was opened on %s, before it was bought on %s", dayText(one.OpenedOn), dayText(one.Bought)).In("opened").
			Hint("give the day you opened it, or leave bought out")
	}
	if !c.Has("use_by") {
		return nil
	}
	if one.UseBy, err = time.ParseInLocation(time.DateOnly, c.Text("use_by"), time.UTC); err != nil || one.UseBy.Year() < 1990 || one.UseBy.Year() > 2200 {
		return fault.New(fault.BadTime, "%.30q is no day", c.Text("use_by")).In("use_by").Hint("give year, month and day, such as 2027-09-30; of a month alone its last day")
	}
	return nil
}

// keep adds a container in one write with its call.
func (s stockCommand) keep(ctx context.Context, c *chat.Call, one shop.Container, m shop.Material) (kept shop.Container, notes []string, err error) {
	write := func(with bool) error {
		return s.Together.Together(ctx, func(b shop.Books) (err error) {
			if kept, err = b.Stock.AddContainer(ctx, c.Stamp(), one); err != nil || !with || one.OpenedOn.IsZero() {
				return err
			}
			kept, notes, err = callFor(ctx, c, b, kept, m)
			return err
		})
	}
	if err = write(true); callsFull(err) {
		notes, err = []string{callsAreFull}, write(false)
	}
	if err != nil {
		return kept, nil, fmt.Errorf("keep a container: %w", err)
	}
	return kept, notes, nil
}

// callsAreFull is said where a jug is kept without its call.
const callsAreFull = "You have as many reminders as can be kept, so none was made for this one: /due list shows them."

// callFor adds the call before an opened container is too old, and ties it to
// it.
func callFor(ctx context.Context, c *chat.Call, b shop.Books, one shop.Container, m shop.Material) (shop.Container, []string, error) {
	last := lastOpen(one, m)
	if last.IsZero() {
		return one, []string{fmt.Sprintf(`The profile of %s does not say how long it lasts once opened, so you are not called: /material edit material:%q shelf_opened:"4 months".`, m.Name, m.Name)}, nil
	}
	at, ok := library.CallBefore(last, c.At, c.By.Zone())
	if !ok {
		return one, nil, nil
	}
	about := fault.Clip(fmt.Sprintf("%s, number %s, opened %s: use it by %s, or pour a trial cup first", one.Name(), chat.Ref(one.ID, 0), dayText(one.OpenedOn), dayText(last)), 200)
	d := callOf(c, about, at)
	due, err := b.Dues.AddDue(ctx, c.Stamp(), d)
	if err != nil {
		return one, nil, err
	}
	if one, err = b.Stock.ChangeContainer(ctx, c.Stamp(), one.ID, shop.ContainerChange{Call: &due.ID}); err != nil {
		return one, nil, err
	}
	return one, []string{fmt.Sprintf("You will be called on %s, before its open life ends on %s.", clock(c, at), dayText(last))}, nil
}

// lastOpen is the last day of an opened container, as its profile or its label
// says it; zero where neither does.
func lastOpen(one shop.Container, m shop.Material) time.Time {
	sealed := one.UseBy
	if sealed.IsZero() && !one.Bought.IsZero() && m.ShelfLife != (material.Span{}) {
		sealed = shop.AddSpan(one.Bought, m.ShelfLife)
	}
	if m.ShelfOpened == (material.Span{}) {
		return sealed
	}
	return stock.LastDay(sealed, shop.AddSpan(one.OpenedOn, m.ShelfOpened))
}

// open keeps since when a container is open.
func (s stockCommand) open(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	fits := func(one shop.Container) bool { return one.OpenedOn.IsZero() }
	if c.Has("container") {
		fits = anyContainer
	}
	shelf, one, err := s.which(ctx, c, fits)
	if err != nil {
		return nil, err
	}
	day := shelf.Today()
	if c.Has("opened") {
		if day, err = library.PastDay(c, "opened", "it was opened"); err != nil {
			return nil, err
		}
	}
	if !one.Bought.IsZero() && day.Before(one.Bought) {
		return nil, fault.New(fault.BadTime, "%s was bought on %s, after that", jugName(one), dayText(one.Bought)).In("opened").Hint("give the day you opened it, such as %s", shelf.Today().Format(time.DateOnly))
	}
	m, known := shelf.Profile(one)
	opened, notes := one, []string(nil)
	write := func(with bool) error {
		return s.Together.Together(ctx, func(b shop.Books) (err error) {
			if opened, err = b.Stock.ChangeContainer(ctx, c.Stamp(), one.ID, shop.ContainerChange{Opened: &day}); err != nil || !with || !known {
				return err
			}
			opened, notes, err = callFor(ctx, c, b, opened, m)
			return err
		})
	}
	if err = write(true); callsFull(err) {
		notes, err = []string{callsAreFull}, write(false)
	}
	if err != nil {
		return nil, fmt.Errorf("open a container: %w", err)
	}
	if shelf, err = s.shelf(ctx, c); err != nil {
		return nil, err
	}
	r := s.card(c, shelf, opened)
	r.Title = fmt.Sprintf("Opened %s on %s", jugName(opened), dayText(day))
	if k := shelf.Keeps(opened); !k.Last.IsZero() && !k.Guessed {
		r.Title += ": use it by " + dayText(k.Last)
	}
	r.Notes = append(r.Notes, notes...)
	r.Notes = append(r.Notes, "Write the day on the jug, close it tight and dry after each use, and keep its own cap and spoon with it.")
	r.Actions = append([]chat.Action{{Label: "Take it back", Line: stockLine("undo", opened, nil)}}, r.Actions...)
	r.Cautions = chat.Cautions(caution.For(caution.Situation{Step: caution.Storing, Family: m.Family, Text: m.Notes, OldJug: one.Bought.IsZero() && one.UseBy.IsZero() && one.OpenedOn.IsZero()}))
	return r, nil
}

// card is all that is said of a container.
func (s stockCommand) card(c *chat.Call, shelf library.Stock, one shop.Container) *chat.Reply {
	r := &chat.Reply{Title: jugName(one) + ": " + containerText(c, shelf, one),
		Facts: []chat.Fact{{Key: "container", Label: "Number", Value: chat.Ref(one.ID, 0), Text: chat.Ref(one.ID, 0)}, leftFact(c, one)}}
	r.Facts = append(r.Facts, shelfFacts(c, shelf, one)...)
	text := func(key, label, value string) {
		if value != "" {
			r.Facts = append(r.Facts, chat.Fact{Key: key, Label: label, Value: value, Text: value})
		}
	}
	text("lot", "Lot", one.Lot)
	if !one.Bought.IsZero() {
		r.Facts = append(r.Facts, chat.Fact{Key: "bought", Label: "Bought", Value: one.Bought.Format(time.RFC3339), Text: dayText(one.Bought)})
	}
	r.Facts = append(r.Facts, weightFacts(c, one)...)
	if shelf.Past(one) {
		r.Notes = append(r.Notes, "It is past its date. Pour a trial cup before you trust it with a mold.")
	}
	r.Notes = append(r.Notes, lowNotes(c, shelf, one.ID)...)
	r.Actions = append(r.Actions, chat.Action{Label: "Is it still good?", Line: stockLine("check", one, nil)})
	if one.OpenedOn.IsZero() && one.Finished.IsZero() {
		r.Actions = append(r.Actions, chat.Action{Label: "I opened it today", Line: stockLine("open", one, nil)})
	}
	if c.By.MayChange(one.Record) && one.Finished.IsZero() {
		share := chat.Action{Label: "Share with the shop", Line: stockLine("share", one, nil)}
		if one.Shared {
			share = chat.Action{Label: "Keep to myself", Line: stockLine("unshare", one, nil)}
		}
		r.Actions = append(r.Actions, share, chat.Action{Label: "It is empty", Line: stockLine("finish", one, nil)})
	}
	return r
}
