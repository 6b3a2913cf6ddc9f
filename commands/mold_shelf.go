package commands

import (
	"context"
	"fmt"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/moldcare"
	"github.com/pourwright/pourwright/internal/shop"
)

// This file does what /mold does with the shelf.

// moldForms are the steps in which a chat form asks for a mold.
var moldForms = []chat.Form{
	{Name: "main", Title: "A mold", Options: []string{"name", "volume", "thickest", "pulls", "notes"}},
	{Name: "more", Title: "More about the mold", Options: []string{"wall", "release_every", "made_on", "cost", "notes"}},
}

func moldEditOptions(one chat.Option) []chat.Option {
	options := []chat.Option{one}
	for _, f := range library.MoldFields() {
		f.Required = false
		options = append(options, f.Option)
	}
	return append(options, chat.Option{Name: "clear", Help: "values to forget, by option name; retired puts it back in use", Like: "notes, retired"})
}

func (d moldCommand) editForms() []chat.Form {
	forms := make([]chat.Form, len(moldForms))
	for i, f := range moldForms {
		f.Fill = func(ctx context.Context, c *chat.Call) (map[string]string, error) {
			if !c.Has("mold") {
				return nil, fault.New(fault.MissingOption, "mold is missing: its name").In("mold").Hint(`such as mold:"harbor pawn"`)
			}
			kept, err := d.library.Mold(ctx, c, "mold", library.Take)
			return library.TypedMold(kept, c.By.System()), err
		}
		forms[i] = f
	}
	return forms
}

func (d moldCommand) add(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	var p shop.MoldProfile
	var measured []chat.Image
	if c.Has("file") {
		found, err := d.parts.Measure(ctx, c, "file")
		if err != nil {
			return nil, err
		}
		if err := found.NeedVolume("file"); err != nil {
			return nil, err
		}
		p.Volume = found.CastVolume() / 1000
		if found.NoThick == "" {
			p.Thickest, p.Thinnest = found.Thickest.Mid, min(found.Thinnest.Mid, found.Thickest.Mid)
		}
		for _, f := range found.Findings {
			c.Note(f)
		}
		measured = d.picture(c, found)
	} else if c.Has("unit") || c.Has("resize") {
		return nil, fault.New(fault.TooManyOptions, "only a file has a unit or can be resized").In("unit").Hint("leave unit and resize out, or attach the file")
	}
	if err := library.SetMold(c, &p); err != nil {
		return nil, err
	}
	p.LastCoat = moldcare.CoatBefore(p.Pulls, p.ReleaseEvery)
	kept, err := d.Molds.AddMold(ctx, c.Stamp(), p, false)
	if err != nil {
		return nil, fmt.Errorf("add a mold: %w", err)
	}
	r := d.card(c, kept)
	r.Title, r.Images = fmt.Sprintf("Saved %q", kept.Name), measured
	r.Actions = append(r.Actions, d.sharing.Offer(kept.Record)...)
	if p.Pulls > 0 {
		r.Notes = append(r.Notes, fmt.Sprintf("Of its %s, %d are taken as since the last release coat: put one on with /mold release if that is wrong.", pullsOf(p.Pulls), p.Pulls-p.LastCoat))
	}
	return r, nil
}

// card shows what is known of a mold.
func (d moldCommand) card(c *chat.Call, m shop.Mold) *chat.Reply {
	r := &chat.Reply{Title: fmt.Sprintf("%s, %s, %s", m.Name, m.Family, pullsOf(m.PullsSoFar())), Facts: moldCounts(m)}
	if m.Retired != "" {
		text := m.Retired
		if m.RetiredNote != "" {
			text += ", " + m.RetiredNote
		}
		r.Title += ", retired: " + m.Retired
		r.Facts = append(r.Facts, chat.Fact{Key: "retired", Label: "Retired", Value: m.Retired, Text: text})
	}
	for _, f := range library.MoldFields() {
		fact, ok := f.Show(&m.MoldProfile, c.By.System())
		switch {
		case !ok || f.Name == "name" || f.Name == "pulls":
			continue
		case f.Name == "cost":
			fact.Unit = c.By.Shop.Set.Currency
			fact.Text = strings.TrimSpace(fmt.Sprintf("%.2f %s", m.Cost, c.By.Shop.Set.Currency))
		}
		r.Facts = append(r.Facts, fact)
	}
	if m.Tally.Good+m.Tally.Spoiled >= fewPulls {
		r.Facts = append(r.Facts, goodRate(m))
	}
	if m.Thickest == 0 {
		r.Notes = append(r.Notes, "Its thickest section is not said: /cure and /pour need it to foresee the demold.")
	}
	if m.Retired == "" && library.CareOf(m).Late() {
		r.Notes = append(r.Notes, "A release coat is due before the next pull.")
	}
	r.Notes = append(r.Notes, fmt.Sprintf("Version %d, %s.", m.Version, library.Standing(c, m.Record)))
	r.Actions = append(r.Actions, chat.Action{Label: "How long will it last?", Line: moldLine("life", m, nil)})
	if m.Owner == c.By.Member.ID {
		if m.Retired == "" {
			r.Actions = append(r.Actions, chat.Action{Label: "Count a pull", Line: moldLine("pull", m, nil)},
				chat.Action{Label: "Release coat is on", Line: moldLine("release", m, nil)})
		}
		r.Actions = append(r.Actions, chat.Action{Label: "Edit", Do: chat.DoForm, Form: "main", Line: moldLine("edit", m, nil)},
			chat.Action{Label: "Wall, dates and cost", Do: chat.DoForm, Form: "more", Line: moldLine("edit", m, nil)})
	}
	return r
}

func (d moldCommand) show(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := d.library.Mold(ctx, c, "mold", library.Take)
	if err != nil {
		return nil, err
	}
	r := d.card(c, m)
	return r, d.sharing.Tell(ctx, c, r, m.Record)
}

func (d moldCommand) list(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	all, err := d.Molds.Molds(ctx, c.By)
	if err != nil {
		return nil, fmt.Errorf("list molds: %w", err)
	}
	r := &chat.Reply{Title: fmt.Sprintf("%d molds on your shelf", len(all))}
	switch len(all) {
	case 0:
		r.Title, r.Notes = "No molds on your shelf", []string{"/mold add saves one."}
	case 1:
		r.Title = "1 mold on your shelf"
	}
	for _, m := range all {
		r.Facts = append(r.Facts, chat.Fact{Key: "mold", Label: m.Name, Value: m.Name, Text: moldListed(c, m)})
		if len(r.Actions) < 5 {
			r.Actions = append(r.Actions, chat.Action{Label: m.Name, Line: moldLine("show", m, nil)})
		}
	}
	return r, d.sharing.TellList(ctx, c, r)
}

// moldListed is a mold on one line.
func moldListed(c *chat.Call, m shop.Mold) string {
	parts := []string{m.Family, pullsOf(m.PullsSoFar())}
	switch due := library.CareOf(m).Due(); {
	case m.Retired != "":
		parts = append(parts, "retired: "+m.Retired)
	case due == 0:
		parts = append(parts, "release coat due now")
	default:
		parts = append(parts, "release coat in "+pullsOf(due))
	}
	return strings.Join(append(parts, library.Badges(c, m.Record)...), ", ")
}

func (d moldCommand) edit(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := d.library.Mold(ctx, c, "mold", library.Offer)
	if err != nil {
		return nil, err
	}
	p := m.MoldProfile
	if err := library.SetMold(c, &p); err != nil {
		return nil, err
	}
	if err := clearMold(c, &p); err != nil {
		return nil, err
	}
	if c.Has("pulls") {
		if err := recount(m, &p); err != nil {
			return nil, err
		}
	}
	now, err := d.Molds.EditMold(ctx, c.Stamp(), m.ID, m.Version, p)
	if err != nil {
		return nil, fmt.Errorf("edit a mold: %w", err)
	}
	r := d.card(c, now)
	r.Title = fmt.Sprintf("Changed %q, now version %d", now.Name, now.Version)
	r.Actions = append(r.Actions, d.sharing.Offer(now.Record)...)
	was, is := library.TypedMold(m, c.By.System()), library.TypedMold(now, c.By.System())
	for _, f := range library.MoldFields() {
		if was[f.Name] != is[f.Name] {
			r.Steps = append(r.Steps, fmt.Sprintf("%s: %s → %s", f.Name, orNotSaid(was[f.Name]), orNotSaid(is[f.Name])))
		}
	}
	if m.Retired != now.Retired {
		r.Steps = append(r.Steps, "back in use")
	}
	return r, nil
}

// recount sets the pulls that a mold came with so that all it has had are what
// the profile now says.
func recount(m shop.Mold, p *shop.MoldProfile) error {
	counted := m.Tally.Good + m.Tally.Spoiled
	if p.Pulls < counted {
		return fault.New(fault.OutOfRange, "%s were counted one by one at %s, so it can't have had %d", pullsOf(counted), m.Name, p.Pulls).
			In("pulls").Hint("give %d or more; /mold undo takes back the last one within ten minutes", counted)
	}
	p.LastCoat = moldcare.CoatBefore(p.Pulls, p.ReleaseEvery)
	p.Pulls -= counted
	return nil
}

func clearMold(c *chat.Call, p *shop.MoldProfile) error {
	for _, name := range library.ClearNames(c) {
		if name == "retired" {
			p.Retired, p.RetiredNote = "", ""
			continue
		}
		if err := library.ClearOne(library.MoldFields(), p, name, "clear:notes, or clear:retired"); err != nil {
			return err
		}
	}
	if p.ReleaseEvery == 0 {
		p.ReleaseEvery = moldcare.ReleaseEvery
	}
	return nil
}

func (d moldCommand) history(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := d.library.Mold(ctx, c, "mold", library.Take)
	if err != nil {
		return nil, err
	}
	const most = 50
	marks, err := d.Pulls.MoldMarks(ctx, c.By, m.ID, most)
	if err != nil {
		return nil, fmt.Errorf("read a mold's log: %w", err)
	}
	versions, err := d.Molds.MoldHistory(ctx, c.By, m.ID)
	if err != nil {
		return nil, fmt.Errorf("list a mold's versions: %w", err)
	}
	r := &chat.Reply{Title: fmt.Sprintf("%s: %s, version %d", m.Name, pullsOf(m.PullsSoFar()), m.Version)}
	for _, mark := range marks {
		text := library.When(c, mark.At)
		if mark.Why != "" {
			text += ": " + mark.Why
		}
		if mark.Late {
			text += " (the release coat was overdue)"
		}
		r.Facts = append(r.Facts, chat.Fact{Key: mark.What, Label: library.Capital(markText(mark)), Value: mark.Number, Unit: "1", Text: text})
	}
	r.Facts = append(r.Facts, library.VersionFacts(c, versions)...)
	if len(marks) == most {
		r.Notes = append(r.Notes, fmt.Sprintf("The newest %d of its log; /me export has all of it.", most))
	}
	return r, nil
}

func (d moldCommand) remove(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := d.library.Mold(ctx, c, "mold", library.Offer)
	if err != nil {
		return nil, err
	}
	if !c.Yes("sure", false) {
		return library.AskRemove(c, "mold", "mold", m.Name, m.Record, "It leaves your shelf and, if shared, the shop's, and its pulls teach nothing any more. A mold that came to its end is better retired: /mold retire keeps what it taught.")
	}
	if err := d.Molds.RemoveMold(ctx, c.Stamp(), m.ID); err != nil {
		return nil, fmt.Errorf("remove a mold: %w", err)
	}
	return &chat.Reply{Title: fmt.Sprintf("Removed %q", m.Name)}, nil
}
