package library

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"unicode/utf8"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// adopt makes a copy of what others share, or takes over what is offered.
func (s Sharing[P]) adopt(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	from := shop.Source{Code: c.Text("code")}
	if !c.Has("code") {
		t, err := find(ctx, c, s.ofOthers(), string(s.kind), Offer)
		if err != nil {
			return nil, s.unlessOwn(ctx, c, err)
		}
		from.ID = t.ID
		if ask, err := s.copyOrThing(ctx, c, t.ID); ask != nil || err != nil {
			return ask, err
		}
	}
	seen, err := s.copies.Look(ctx, c.By, s.kind, from)
	if err != nil {
		return nil, fmt.Errorf("look at what is adopted: %w", err)
	}
	var id int64
	if seen.Offer {
		id, err = s.copies.TakeOver(ctx, c.Stamp(), s.kind, seen.Code, c.Text("name"))
	} else {
		id, err = s.copies.Adopt(ctx, c.Stamp(), s.kind, from, c.Text("name"))
	}
	if err != nil {
		return nil, s.renamed(seen, err)
	}
	t, err := s.things.byID(ctx, c.By, id, 0)
	if err != nil {
		return nil, fmt.Errorf("read what was adopted: %w", err)
	}
	r := &chat.Reply{
		Title:   fmt.Sprintf("Adopted %q from %s", t.name, cmp.Or(seen.OwnerOf, "another member")),
		Notes:   []string{fmt.Sprintf("It is a copy of your own, seen by you alone. When its origin changes, /%s show offers you the change.", s.kind)},
		Actions: []chat.Action{{Label: "Show it", Line: s.line("show", id, 0, nil)}},
	}
	if seen.Offer {
		r.Title = fmt.Sprintf("%q is yours now", t.name)
		r.Notes = []string{fmt.Sprintf("%s handed it over with all its versions. It is %s.", cmp.Or(seen.OwnerOf, "A member"), seenBy(c, t.Record))}
	} else if s.notes.adopted != "" {
		r.Notes = append(r.Notes, s.notes.adopted)
	}
	return r, nil
}

// copyOrThing asks what is meant where the thing itself is offered to who wants
// a copy of it: a copy of a mold would count from none. A name for the copy is
// answer enough.
func (s Sharing[P]) copyOrThing(ctx context.Context, c *chat.Call, id int64) (*chat.Reply, error) {
	if c.Has("name") {
		return nil, nil
	}
	offers, err := s.copies.Offers(ctx, c.By, s.kind)
	if err != nil {
		return nil, fmt.Errorf("list what is offered: %w", err)
	}
	i := slices.IndexFunc(offers, func(o shop.Sight) bool { return o.ID == id })
	if i < 0 {
		return nil, nil
	}
	o := offers[i]
	return &chat.Reply{
		Title: fmt.Sprintf("%s offers you %q itself. Nothing is adopted yet", cmp.Or(o.OwnerOf, "A member"), o.Name),
		Notes: []string{"Taken over it is yours, with all its versions. A copy is another one, and the offer stands."},
		Actions: []chat.Action{
			{Label: "Take over " + o.Name, Line: chat.FormatLine(string(s.kind)+" adopt", map[string]string{"code": o.Code}, nil)},
			{Label: "Make a copy", Line: s.line("adopt", id, 0, map[string]string{"name": o.Name})},
		},
	}, nil
}

// unlessOwn says of a name that nobody else shares that it is the caller's own.
func (s Sharing[P]) unlessOwn(ctx context.Context, c *chat.Call, refused error) error {
	if !fault.Is(refused, s.things.unknown) {
		return refused
	}
	all, err := s.things.names(ctx, c.By)
	if err != nil {
		return fmt.Errorf("list %ss: %w", s.kind, err)
	}
	typed := chat.Fold(c.Text(string(s.kind)))
	if own := matching(all, func(name string) bool { return chat.Fold(name) == typed }); len(own) > 0 {
		return fault.New(fault.NotAllowed, "%q is yours already", own[0].Name).In(string(s.kind)).
			Hint("adopt what others share; /%s list shows whose is whose", s.kind)
	}
	return refused
}

// renamed adds to a refusal of a name one that would do.
func (s Sharing[P]) renamed(seen shop.Sight, err error) error {
	f := fault.As(err)
	if f == nil {
		return fmt.Errorf("adopt a %s: %w", s.kind, err)
	}
	const mostName = 80
	other := fmt.Sprintf("%s of %s", seen.Name, cmp.Or(seen.OwnerOf, "another"))
	if f.Code == fault.NameTaken && utf8.RuneCountInString(other) <= mostName {
		return f.Hint("give your copy another name, such as name:%q", other).Choose(other)
	}
	return f
}

// changed is how a copy stands to its origin.
type changed[P any] struct {
	shop.Change
	thing       thing[P]
	merged, all P // with what its owner did not change, and with everything
	differences []Difference
}

// own reports a line that the copy's owner changed too.
func (x changed[P]) own() bool {
	for _, d := range x.differences {
		if d.Mine != "" {
			return true
		}
	}
	return false
}

// changedTo compares an own copy with a version of its origin, 0 for the
// newest.
func (s Sharing[P]) changedTo(ctx context.Context, c *chat.Call, t thing[P], version int) (x changed[P], err error) {
	x.thing = t
	if x.Change, err = s.copies.Change(ctx, c.By, s.kind, t.ID, version); err != nil {
		return x, fmt.Errorf("read the origin of a %s: %w", s.kind, err)
	}
	if !x.Reach {
		return x, nil
	}
	var was, now P
	for _, read := range []struct {
		text []byte
		to   *P
	}{{x.Was, &was}, {x.Now, &now}} {
		if err := json.Unmarshal(read.text, read.to); err != nil {
			return x, fmt.Errorf("read the origin of a %s: %w", s.kind, err)
		}
	}
	x.merged, x.differences = Merge(s.fields, was, now, t.profile, c.By.System(), false)
	x.all, _ = Merge(s.fields, was, now, t.profile, c.By.System(), true)
	return x, nil
}

// changes tells what became of a copy's origin, takes it or leaves it.
func (s Sharing[P]) changes(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	t, err := find(ctx, c, s.things, string(s.kind), Offer)
	if err != nil {
		return nil, err
	}
	x, err := s.changedTo(ctx, c, t, c.Count("version", 0))
	if err != nil {
		return nil, err
	}
	switch take := c.Text("take"); {
	case !x.Reach:
		return &chat.Reply{Title: fmt.Sprintf("The origin of %q is out of sight", t.name), Notes: []string{outOfSight}}, nil
	case take == "":
		return s.look(ctx, c, x)
	case take == "none":
		return s.leave(ctx, c, x)
	default:
		return s.take(ctx, c, x, take == "all")
	}
}

const outOfSight = "What it was adopted from is not shared with you here any more, so its changes are not offered. This copy is yours and stays."

// look lists the differences, with what to press. Where there is nothing to take
// the version is noted, so that lists do not name the copy again.
func (s Sharing[P]) look(ctx context.Context, c *chat.Call, x changed[P]) (*chat.Reply, error) {
	r := &chat.Reply{Title: fmt.Sprintf("%q says what its origin says", x.thing.name)}
	if len(x.differences) == 0 {
		if x.Version <= max(x.thing.Origin.Version, x.thing.Origin.Left) {
			return r, nil
		}
		if err := s.copies.Follow(ctx, c.Stamp(), s.kind, x.thing.ID, x.thing.Version, x.Version, nil); err != nil {
			return nil, fmt.Errorf("note the version of an origin: %w", err)
		}
		return r, nil
	}
	r.Title = fmt.Sprintf("The origin of %q changed, now version %d", x.thing.name, x.Version)
	for _, d := range x.differences {
		r.Steps = append(r.Steps, d.String())
	}
	if x.own() {
		r.Notes = append(r.Notes, "Where yours says something else you changed it yourself: taking the change keeps that, taking all of it does not.")
	}
	r.Actions = s.changeActions(x)
	return r, nil
}

// changeActions are the buttons under a change. They name its version, so that
// a press takes what was shown and nothing newer.
func (s Sharing[P]) changeActions(x changed[P]) []chat.Action {
	button := func(label, take string) chat.Action {
		return chat.Action{Label: label, Do: chat.DoReplace,
			Line: s.line("changes", x.thing.ID, x.thing.Version, map[string]string{"take": take, "version": strconv.Itoa(x.Version)})}
	}
	actions := []chat.Action{button("Take the change", "change")}
	if x.own() {
		actions = append(actions, button("Take all of it", "all"))
	}
	return append(actions, button("Leave it", "none"))
}

func (s Sharing[P]) leave(ctx context.Context, c *chat.Call, x changed[P]) (*chat.Reply, error) {
	if err := s.copies.Follow(ctx, c.Stamp(), s.kind, x.thing.ID, x.thing.Version, x.Version, nil); err != nil {
		return nil, fmt.Errorf("leave a change: %w", err)
	}
	return &chat.Reply{
		Title:   fmt.Sprintf("%q stays as it is", x.thing.name),
		Notes:   []string{fmt.Sprintf("Version %d of its origin is not offered again; a later one is.", x.Version)},
		Actions: []chat.Action{{Label: "Show it", Line: s.line("show", x.thing.ID, 0, nil)}},
	}, nil
}

func (s Sharing[P]) take(ctx context.Context, c *chat.Call, x changed[P], all bool) (*chat.Reply, error) {
	p := x.merged
	if all {
		p = x.all
	}
	if s.check != nil {
		if f := fault.As(s.check(p)); f != nil {
			return nil, fault.New(fault.NotAllowed, "together with your own values the change does not fit: %s", f.Message).In("take").
				Hint("change your own values with /%s edit first, or leave the change with take:none", s.kind)
		}
	}
	profile, err := json.Marshal(p)
	if err != nil {
		return nil, fmt.Errorf("encode what is taken: %w", err)
	}
	if err := s.copies.Follow(ctx, c.Stamp(), s.kind, x.thing.ID, x.thing.Version, x.Version, profile); err != nil {
		return nil, fmt.Errorf("take a change: %w", err)
	}
	now, err := s.things.byID(ctx, c.By, x.thing.ID, 0)
	if err != nil {
		return nil, fmt.Errorf("read what was changed: %w", err)
	}
	r := &chat.Reply{
		Title:   fmt.Sprintf("Changed %q, now version %d", now.name, now.Version),
		Actions: []chat.Action{{Label: "Show it", Line: s.line("show", now.ID, 0, nil)}},
	}
	for _, d := range x.differences {
		if d.Mine != "" && !all {
			r.Notes = append(r.Notes, fmt.Sprintf("%s stays %s, as you changed it; the origin says %s.", d.Label, d.Mine, d.Now))
			continue
		}
		r.Steps = append(r.Steps, Difference{Label: d.Label, Was: cmp.Or(d.Mine, d.Was), Now: d.Now}.String())
	}
	if s.notes.adopted != "" {
		r.Notes = append(r.Notes, s.notes.adopted)
	}
	return r, nil
}
