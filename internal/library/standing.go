package library

import (
	"cmp"
	"context"
	"fmt"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/shop"
)

// Standing says whose a record is and who sees it.
func Standing(c *chat.Call, r shop.Record) string {
	owner := "yours"
	if r.Owner != c.By.Member.ID {
		owner = cmp.Or(r.OwnerOf, "another member") + "'s"
	}
	return owner + ", " + seenBy(c, r)
}

func seenBy(c *chat.Call, r shop.Record) string {
	switch {
	case !r.Shared:
		return "seen by you alone"
	case r.Shop != c.By.Shop.ID:
		return "shared with another shop"
	case r.Pinned:
		return "shared with the shop and pinned"
	}
	return "shared with the shop"
}

// Badges are what a list says of a record beside what it is.
func Badges(c *chat.Call, r shop.Record) []string {
	var out []string
	if r.Owner != c.By.Member.ID {
		out = append(out, cmp.Or(r.OwnerOf, "another member")+"'s")
	}
	if r.Hidden {
		out = append(out, "hidden from the shelf"+because(r.Why))
	}
	if r.Pinned && r.Shop == c.By.Shop.ID {
		out = append(out, "pinned")
	}
	return out
}

func because(why string) string {
	if why == "" {
		return ""
	}
	return ": " + why
}

func hiddenNote(why string) string {
	return "A manager has hidden it from the shelf" + because(why) + ". Its owner and the managers alone see it there; a manager can put it back."
}

// Tell adds to the card of a thing how it stands: hidden, where it was adopted
// from and what became of that, and to whom it is offered.
func (s Sharing[P]) Tell(ctx context.Context, c *chat.Call, r *chat.Reply, t shop.Record) error {
	if t.Hidden {
		r.Notes = append(r.Notes, hiddenNote(t.Why))
	}
	if err := s.tellOrigin(ctx, c, r, t); err != nil || !c.By.MayChange(t) {
		return err
	}
	out, err := s.rights.Out(ctx, c.By, s.kind, t.ID)
	if err != nil {
		return fmt.Errorf("read how far a %s is out: %w", s.kind, err)
	}
	if out.Code != "" { // which is not told here: a card can be posted
		r.Notes = append(r.Notes, fmt.Sprintf("Whoever has its code can adopt a copy: /%s share by:link tells it again, /%s unshare by:link revokes it.", s.kind, s.kind))
	}
	if out.Copies > 0 {
		r.Facts = append(r.Facts, chat.Whole("copies", "Adopted copies", out.Copies, fmt.Sprint(out.Copies)))
	}
	if out.Offer != "" {
		r.Notes = append(r.Notes, fmt.Sprintf("It is offered to %s and stays yours until it is taken.", cmp.Or(out.Taker, "another member")))
		r.Actions = append(r.Actions, chat.Action{Label: "Withdraw the offer", Line: s.line("give", t.ID, 0, map[string]string{"withdraw": "yes"})})
	}
	r.Actions = append(r.Actions, s.Offer(t)...)
	return nil
}

// tellOrigin tells of the line a copy is in and, to its owner, what changed.
func (s Sharing[P]) tellOrigin(ctx context.Context, c *chat.Call, r *chat.Reply, rec shop.Record) error {
	from := rec.Origin
	if from.ID == 0 {
		return nil
	}
	gone := "a member who left"
	line := fmt.Sprintf("Adopted from %s, version %d", cmp.Or(from.By, gone), from.Version)
	r.Facts = append(r.Facts, chat.Fact{Key: "origin", Label: "Adopted from", Value: cmp.Or(from.By, gone), Text: strings.TrimPrefix(line, "Adopted from ")})
	// A card shows its first facts; where it came from has to be seen.
	if from.First != from.ID {
		line += fmt.Sprintf(", who had adopted it too: the line began with %s", cmp.Or(from.FirstBy, gone))
	}
	r.Notes = append(r.Notes, line+".")
	if !c.By.MayChange(rec) {
		return nil
	}
	t, err := s.things.byID(ctx, c.By, rec.ID, 0)
	if err != nil {
		return fmt.Errorf("read a copy: %w", err)
	}
	x, err := s.changedTo(ctx, c, t, 0)
	switch {
	case err != nil:
		return err
	case !x.Reach:
		r.Notes = append(r.Notes, outOfSight)
		return nil
	case x.Newest <= max(from.Version, from.Left) || len(x.differences) == 0:
		return nil
	}
	const most = 4
	var said []string
	for _, d := range x.differences[:min(len(x.differences), most)] {
		said = append(said, d.String())
	}
	text := fmt.Sprintf("Its origin changed, now version %d: %s", x.Version, strings.Join(said, "; "))
	if more := len(x.differences) - most; more > 0 {
		text += fmt.Sprintf("; and %d more, which /%s changes lists", more, s.kind)
	}
	r.Notes = append(r.Notes, text+".")
	r.Actions = append(s.changeActions(x), r.Actions...)
	return nil
}

// OutLines tell what of a member's others see or have copies of, a line each.
func OutLines(all []shop.Out) []chat.Fact {
	facts := make([]chat.Fact, len(all))
	for i, out := range all {
		var parts []string
		if out.ShopID != 0 {
			parts = append(parts, "shared with "+cmp.Or(out.Shop, "a shop"))
		}
		if out.Code != "" {
			parts = append(parts, "a code is out")
		}
		switch {
		case out.Copies == 1:
			parts = append(parts, "1 adopted copy")
		case out.Copies > 1:
			parts = append(parts, fmt.Sprintf("%d adopted copies", out.Copies))
		}
		facts[i] = chat.Fact{Key: "out", Label: out.Name + ", " + string(out.Kind), Value: out.Name, Text: strings.Join(parts, ", ")}
	}
	return facts
}

// TellList adds to a list what waits for the member: things offered, and copies
// whose origin changed.
func (s Sharing[P]) TellList(ctx context.Context, c *chat.Call, r *chat.Reply) error {
	offers, err := s.copies.Offers(ctx, c.By, s.kind)
	if err != nil {
		return fmt.Errorf("list what is offered: %w", err)
	}
	changed, err := s.copies.Changed(ctx, c.By, s.kind)
	if err != nil {
		return fmt.Errorf("list changed origins: %w", err)
	}
	const most = 3
	for _, o := range offers[:min(len(offers), most)] {
		r.Notes = append(r.Notes, fmt.Sprintf("%s offers you %q: it would be yours, with all its versions.", cmp.Or(o.OwnerOf, "A member"), o.Name))
		r.Actions = append(r.Actions, chat.Action{Label: "Take over " + o.Name,
			Line: chat.FormatLine(string(s.kind)+" adopt", map[string]string{"code": o.Code}, nil)})
	}
	if more := len(offers) - most; more > 0 {
		r.Notes = append(r.Notes, fmt.Sprintf("%d more are offered to you, once these are taken.", more))
	}
	if len(changed) == 0 {
		return nil
	}
	return s.tellChanged(ctx, c, r, changed, most)
}

func (s Sharing[P]) tellChanged(ctx context.Context, c *chat.Call, r *chat.Reply, changed map[int64]int, most int) error {
	entries, err := s.things.names(ctx, c.By)
	if err != nil {
		return fmt.Errorf("list %ss: %w", s.kind, err)
	}
	var names []string
	for _, e := range entries {
		if changed[e.ID] == 0 {
			continue
		}
		names = append(names, e.Name)
		if len(names) <= most {
			r.Actions = append(r.Actions, chat.Action{Label: "What changed in " + e.Name, Line: s.line("changes", e.ID, 0, nil)})
		}
	}
	r.Notes = append(r.Notes, "The origin changed of what you adopted as "+strings.Join(names[:min(len(names), 2*most)], ", ")+": take the change or leave it.")
	return nil
}
