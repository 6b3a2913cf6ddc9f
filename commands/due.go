package commands

import (
	"cmp"
	"context"
	"fmt"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/shop"
)

func init() { register("due", newDue) }

type dueCommand struct{ deps }

func newDue(d deps) chat.Command {
	u := dueCommand{d}
	which := chat.Option{Name: "due", Help: "its number, or what it is about", Like: "#7", Required: true, Suggest: library.SuggestDue(d.Dues)}
	to := chat.Option{Name: "to", Help: "where to be called, as in /me if left out", Kind: chat.OneWord,
		Choices: []chat.Choice{{Value: "here", Label: "here: in this channel"}, {Value: "dm", Label: "dm: by direct message"}}}
	return chat.Command{
		Name:  "due",
		Help:  "be called back: to wipe a mold, to look at a pour, every month",
		About: "A reminder comes where you asked for it, or by direct message, and calls nobody but you. In your quiet hours it waits. What could not be shown anywhere is kept in the list. A pour makes its own.",
		Asks: []chat.Ask{
			{Question: "Remind me to wipe the mold in an hour", Line: `/due add about:"wipe the mold" in:1h`},
			{Question: "Remind me to look at the jugs every month", Line: `/due add about:"look at the jugs" at:"mon 9:00" every:month`},
			{Question: "What am I waiting for?", Line: "/due list"},
		},
		Subs: []chat.Sub{
			{Name: "list", Help: "what you will be called for, and what you missed", Run: u.list},
			{Name: "add", Help: "be called back at a time", Writes: true, Run: u.add,
				OneOf: [][]string{{"in", "at"}},
				Forms: []chat.Form{{Title: "A reminder", Options: []string{"about", "in", "at", "every", "to"}}},
				Options: []chat.Option{
					{Name: "about", Help: "what to remind you of", Like: "wipe the mold", Required: true, Length: 200},
					{Name: "in", Help: "how long from now", Like: "1 h"},
					{Name: "at", Help: "or when, by your own clock", Like: "tomorrow 9:00"},
					{Name: "every", Help: "and how often again", Like: "2 weeks"},
					to,
				}},
			{Name: "coat", Help: "be called to put a release coat on a mold", Writes: true, Run: u.coat, Options: []chat.Option{
				{Name: "mold", Help: "which mold", Like: "harbor pawn", Required: true, Suggest: d.library.SuggestMold},
				{Name: "in", Help: "how long from now, 1 h if left out", Like: "1 h"}, to}},
			{Name: "opened", Help: "you opened a material today: be called before it is too old", Writes: true, Run: u.opened, Options: []chat.Option{
				{Name: "material", Help: "what you opened", Like: "demo rigid white", Required: true, Suggest: d.library.SuggestMaterial}, to}},
			{Name: "snooze", Help: "be called later", Writes: true, Run: u.snooze, Options: []chat.Option{which,
				{Name: "in", Help: "how much later", Like: "10 min", Required: true}}},
			{Name: "done", Help: "it is taken care of; a series goes on", Writes: true, Run: u.done, Options: []chat.Option{which}},
			{Name: "cancel", Help: "not to be called, a whole series too", Writes: true, Run: u.cancel, Options: []chat.Option{which}},
		},
	}
}

func (u dueCommand) add(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	zone := c.By.Zone()
	d := shop.Due{DuePlan: shop.DuePlan{About: c.Text("about")}}
	var err error
	if c.Has("in") {
		d.At, err = library.In(c.Text("in"), c.At, zone)
	} else {
		d.At, err = library.At(c.Text("at"), c.At, zone)
	}
	if err != nil {
		return nil, err
	}
	if c.Has("every") {
		if d.Every, err = library.Every(c.Text("every")); err != nil {
			return nil, err
		}
	}
	return u.keep(ctx, c, d)
}

// keep adds a call and says when and where it comes.
func (u dueCommand) keep(ctx context.Context, c *chat.Call, d shop.Due) (*chat.Reply, error) {
	d.First, d.Zone, d.Place = d.At, c.By.Zone().String(), placeFor(c)
	d, err := u.Dues.AddDue(ctx, c.Stamp(), d)
	if err != nil {
		return nil, fmt.Errorf("add a due: %w", err)
	}
	r := &chat.Reply{
		Title:   fmt.Sprintf("You will be called at %s: %s", clock(c, d.At), d.About),
		Facts:   dueFacts(c, d),
		Actions: []chat.Action{{Label: "Cancel it", Line: dueLine("cancel", d)}, {Label: "List mine", Line: "/due list"}},
	}
	if until := shop.QuietUntil(c.By.Member.Pref.QuietHours, d.At, c.By.Zone()); !until.IsZero() {
		r.Notes = append(r.Notes, fmt.Sprintf("That is in your quiet hours: it waits until %s.", clock(c, until)))
	}
	if c.Text("to") == "here" && c.Place == "" {
		r.Notes = append(r.Notes, "It comes to you alone: nothing can be posted here later.")
	}
	return r, nil
}

// coat is a call whose message has the button that counts the coat.
func (u dueCommand) coat(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := u.library.Mold(ctx, c, "mold", library.Offer)
	if err != nil {
		return nil, err
	}
	d := shop.Due{DuePlan: shop.DuePlan{About: fault.Clip("Release coat on "+m.Name, 200), Coat: m.ID}}
	if d.At, err = library.In(cmp.Or(c.Text("in"), "1 h"), c.At, c.By.Zone()); err != nil {
		return nil, err
	}
	return u.keep(ctx, c, d)
}

// opened is a call before what was opened today is too old.
func (u dueCommand) opened(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := u.library.Material(ctx, c, "material", library.Offer)
	if err != nil {
		return nil, err
	}
	at, last, err := library.UseBy(m, c.At, c.By.Zone())
	if err != nil {
		return nil, err
	}
	r, err := u.keep(ctx, c, shop.Due{At: at, DuePlan: shop.DuePlan{About: fault.Clip(fmt.Sprintf("%s, opened %s: use it by %s, or pour a trial cup first",
		m.Name, c.At.In(c.By.Zone()).Format("2 Jan 2006"), last.Format("2 Jan 2006")), 200)}})
	if err != nil {
		return nil, err
	}
	r.Facts = append(r.Facts, chat.Fact{Key: "use_by", Label: "Use it by", Value: last.UTC().Format(time.RFC3339), Text: last.Format("2 Jan 2006")})
	r.Notes = append(r.Notes, fmt.Sprintf("Its profile says %s once opened; the label and the bulletin win. Keep it shut and dry.", m.ShelfOpened))
	return r, nil
}

// placeFor is where a call for the caller goes, "" for a direct message.
func placeFor(c *chat.Call) string {
	to := c.Text("to")
	if to == "" {
		to = c.By.Member.Pref.To
	}
	if to == "dm" {
		return ""
	}
	return c.Place
}

// dueFacts are a due's time and what else there is to it.
func dueFacts(c *chat.Call, d shop.Due) []chat.Fact {
	to, toText := "dm", "you alone"
	if d.Place != "" {
		to, toText = "here", "this channel"
		if d.Place != c.Place {
			toText = "the channel where you asked"
		}
	}
	facts := []chat.Fact{
		{Key: "due", Label: "Due", Value: d.At.UTC().Format(time.RFC3339), Text: clock(c, d.At)},
		{Key: "number", Label: "Number", Value: chat.Ref(d.ID, 0), Text: chat.Ref(d.ID, 0)},
		{Key: "to", Label: "Goes to", Value: to, Text: toText},
	}
	if every := d.Every.String(); every != "" {
		facts = append(facts, chat.Fact{Key: "every", Label: "Every", Value: every, Text: every + ", by the clock of " + d.Zone})
	}
	return facts
}

func dueLine(sub string, d shop.Due) string {
	return chat.FormatLine("due "+sub, map[string]string{"due": chat.Ref(d.ID, 0)}, nil)
}

func (u dueCommand) list(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	const most, buttons = 25, 5
	// What was missed stands in this list, so it is told by it.
	if _, err := u.Dues.TellMissed(ctx, c.Stamp(), most); err != nil {
		return nil, fmt.Errorf("tell what was missed: %w", err)
	}
	all, err := u.Dues.Dues(ctx, c.By, most+1)
	if err != nil {
		return nil, fmt.Errorf("list dues: %w", err)
	}
	r := &chat.Reply{Title: "You wait for nothing"}
	if len(all) > most {
		all = all[:most]
		r.Notes = append(r.Notes, fmt.Sprintf("These are the first %d; there are more.", most))
	}
	coming := 0
	for _, d := range all {
		name := chat.Ref(d.ID, 0) + " " + d.About
		if d.State == shop.DuePending || d.State == shop.DueClaimed {
			coming++
			text := clock(c, d.At)
			if every := d.Every.String(); every != "" {
				text += ", then every " + every
			}
			if d.At.Before(c.At) {
				text += ", not called yet"
			}
			r.Facts = append(r.Facts, chat.Fact{Key: "due", Label: name, Value: d.At.UTC().Format(time.RFC3339), Text: text})
		}
		if !d.Missed.IsZero() {
			r.Notes = append(r.Notes, library.MissedText(c, d))
		}
		action := chat.Action{Label: fault.Clip("Cancel "+name, 40), Line: dueLine("cancel", d)}
		if !d.Missed.IsZero() {
			word := "Done "
			if d.Pour != 0 { // it closes no pour
				word = "Seen "
			}
			action = chat.Action{Label: fault.Clip(word+name, 40), Line: dueLine("done", d)}
		}
		if len(r.Actions) < buttons {
			r.Actions = append(r.Actions, action)
		}
	}
	switch {
	case coming == 1:
		r.Title = "You wait for 1 call"
	case coming > 1:
		r.Title = fmt.Sprintf("You wait for %d calls", coming)
	case len(all) == 0:
		r.Notes = append(r.Notes, `/due add about:"wipe the mold" in:"1 h" makes a reminder; /pour start makes its own.`)
	}
	return r, u.running(ctx, c, r)
}

// running adds the pours whose clocks run, each with what it is at.
func (u dueCommand) running(ctx context.Context, c *chat.Call, r *chat.Reply) error {
	const most = 25
	pours, err := u.Pours.Running(ctx, c.By, most)
	if err != nil {
		return fmt.Errorf("list running pours: %w", err)
	}
	for _, p := range pours {
		if p.Owner != c.By.Member.ID {
			continue // it calls its owner
		}
		at := library.PhaseOf(p, c.At)
		text := at.Name + ": " + at.Text
		if !at.Until.IsZero() {
			text += ", until " + clock(c, at.Until)
		}
		r.Facts = append(r.Facts, chat.Fact{Key: "running", Label: "Pour " + chat.Ref(p.ID, 0) + " " + library.PourName(p), Value: chat.Ref(p.ID, 0), Text: text})
	}
	return nil
}

func (u dueCommand) snooze(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	d, err := library.Due(ctx, c, u.Dues, "due")
	if err != nil {
		return nil, err
	}
	from := c.At
	if d.State == shop.DuePending && d.At.After(from) {
		from = d.At // later than it would have been
	}
	until, err := library.In(c.Text("in"), from, c.By.Zone())
	if err != nil {
		return nil, err
	}
	if d, err = u.Dues.SnoozeDue(ctx, c.Stamp(), d.ID, until); err != nil {
		return nil, fmt.Errorf("put a due off: %w", err)
	}
	return &chat.Reply{
		Title:   fmt.Sprintf("You will be called at %s: %s", clock(c, d.At), d.About),
		Facts:   dueFacts(c, d),
		Actions: []chat.Action{{Label: "Done", Line: dueLine("done", d)}, {Label: "Cancel it", Line: dueLine("cancel", d)}},
	}, nil
}

func (u dueCommand) done(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	d, err := library.Due(ctx, c, u.Dues, "due")
	if err != nil {
		return nil, err
	}
	if d, err = u.Dues.DoneDue(ctx, c.Stamp(), d.ID); err != nil {
		return nil, fmt.Errorf("take note of a due: %w", err)
	}
	r := &chat.Reply{Title: "Done: " + d.About}
	if d.State == shop.DuePending {
		r.Facts = dueFacts(c, d)
		r.Notes = []string{fmt.Sprintf("It comes again at %s.", clock(c, d.At))}
		r.Actions = []chat.Action{{Label: "Cancel it", Line: dueLine("cancel", d)}}
	}
	return r, nil
}

func (u dueCommand) cancel(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	d, err := library.Due(ctx, c, u.Dues, "due")
	if err != nil {
		return nil, err
	}
	if d, err = u.Dues.CancelDue(ctx, c.Stamp(), d.ID); err != nil {
		return nil, fmt.Errorf("cancel a due: %w", err)
	}
	return &chat.Reply{Title: "Canceled: " + d.About}, nil
}
