package library

import (
	"cmp"
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// Sharing is what members do about who sees one kind of thing, whose profile is
// P: share, adopt, follow, give; and what managers do with the shop's shelf.
// Subs declares it all, so that a command adds one line.
type Sharing[P any] struct {
	kind   shop.Kind
	things kind[thing[P]]
	fields []Field[P]
	like   string          // a name in the demo shop
	check  func(p P) error // refuses what does not fit together; may be nil
	notes  sharingNotes    // what is said of this kind
	rights shop.Sharing    // who sees it
	copies shop.Adopting   // what others make of it
	people shop.People
}

// sharingNotes are sentences that only one kind needs; each may be "".
type sharingNotes struct {
	adopted string // under a fresh copy, and under a change that was taken
	given   string // what goes with it when it is handed over
}

// thing is a record of the kind with its profile.
type thing[P any] struct {
	shop.Record
	name    string
	profile P
}

// one is the option that names the thing.
func (s Sharing[P]) one() chat.Option {
	return chat.Option{Name: string(s.kind), Help: "its name", Like: s.like, Required: true,
		Suggest: func(ctx context.Context, c *chat.Call, typed string) ([]chat.Choice, error) {
			return suggest(ctx, c, s.things, typed)
		}}
}

// Subs declares the subs of a command, in the order of a help page.
func (s Sharing[P]) Subs() []chat.Sub {
	word, one := string(s.kind), s.one()
	others := one
	others.Required, others.Help = false, "the name of what another member shares here"
	others.Suggest = func(ctx context.Context, c *chat.Call, typed string) ([]chat.Choice, error) {
		return suggest(ctx, c, s.ofOthers(), typed)
	}
	how := chat.Option{Name: "by", Kind: chat.OneWord, Choices: []chat.Choice{
		{Value: "shop", Label: "shop: all members here see it"}, {Value: "link", Label: "link: a code that you hand on"}}}
	share, unshare := how, how
	share.Help = "shop if left out; link gives a code for members of any shop"
	unshare.Help = "link revokes the code alone, shop leaves the code; both end if left out"
	sub := func(name, help string, run chat.Run, options ...chat.Option) chat.Sub {
		return chat.Sub{Name: name, Help: help, Writes: true, Run: run, Options: options}
	}
	return []chat.Sub{
		sub("share", "let others see a "+word+" of yours and adopt it", s.share, one, share),
		sub("unshare", "take it back; copies that were adopted stay", s.unshare, one, unshare),
		{Name: "adopt", Help: "make a copy of your own of what others share, or take over what is offered", Writes: true, Run: s.adopt,
			OneOf: [][]string{{word, "code"}}, Options: []chat.Option{others,
				{Name: "code", Help: "or the code that its owner gave you", Like: "4kd-w7m-9fh-2xq-vr3-pn6", Length: 60},
				{Name: "name", Help: "what to call your copy, where you have one of that name", Like: "their " + s.like, Length: 80}}},
		sub("changes", "what became of the origin of a copy, to take or to leave", s.changes, one,
			chat.Option{Name: "take", Kind: chat.OneWord, Help: "change takes what you did not change yourself, all everything, none leaves it", Choices: []chat.Choice{
				{Value: "change"}, {Value: "all"}, {Value: "none"}}},
			chat.Option{Name: "version", Kind: chat.Count, Help: "of the origin; the newest if left out", Like: "2"}),
		sub("give", "offer a "+word+" of yours to a member, who takes it over with all its versions", s.give, one,
			chat.Option{Name: "to", Kind: chat.Person, Help: "the member who is to have it", Like: "bram"},
			chat.Option{Name: "withdraw", Kind: chat.YesNo, Help: "yes takes the offer back"}),
		sub("hide", "managers: take a "+word+" off the shop's shelf", s.mark(shop.MarkHide), one,
			chat.Option{Name: "why", Help: "what its owner should know", Like: "the pot life can't be right"}),
		sub("unhide", "managers: put it back on the shelf", s.mark(shop.MarkUnhide), one),
		sub("pin", "managers: put a "+word+" first on the shelf", s.mark(shop.MarkPin), one),
		sub("unpin", "managers: put it back among the others", s.mark(shop.MarkUnpin), one),
	}
}

// line is a command line about the thing.
func (s Sharing[P]) line(sub string, id int64, version int, more map[string]string) string {
	options := map[string]string{string(s.kind): chat.Ref(id, version)}
	for k, v := range more {
		options[k] = v
	}
	return chat.FormatLine(string(s.kind)+" "+sub, options, []string{string(s.kind)})
}

// Offer is the button under a private thing that shows it to the shop.
func (s Sharing[P]) Offer(r shop.Record) []chat.Action {
	if r.Shared {
		return nil
	}
	return []chat.Action{{Label: "Share with shop", Line: s.line("share", r.ID, 0, nil)}}
}

func (s Sharing[P]) share(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	t, err := find(ctx, c, s.things, string(s.kind), Offer)
	if err != nil {
		return nil, err
	}
	if c.Text("by") == "link" {
		return s.link(ctx, c, t)
	}
	if c.By.OwnShop() {
		return nil, fault.New(fault.NotAllowed, "nobody else has this shelf: it is that of your direct messages").In("by").
			Hint("share it in your shop's server, or hand on a code with by:link")
	}
	out, err := s.rights.Share(ctx, c.Stamp(), s.kind, t.ID)
	if err != nil {
		return nil, fmt.Errorf("share a %s: %w", s.kind, err)
	}
	r := &chat.Reply{
		Title: fmt.Sprintf("%q is shared with %s", t.name, out.Shop),
		Facts: outFacts(out),
		Notes: []string{"Members here see it as it is and as you change it, and can adopt a copy of their own. Nobody but you can change it."},
		Actions: []chat.Action{{Label: "Take it back", Do: chat.DoReplace, Line: s.line("unshare", t.ID, 0, map[string]string{"by": "shop"})},
			{Label: "Show it", Line: s.line("show", t.ID, 0, nil)}},
	}
	if out.Hidden {
		r.Notes = append(r.Notes, hiddenNote(out.Why))
	}
	return r, nil
}

func (s Sharing[P]) link(ctx context.Context, c *chat.Call, t thing[P]) (*chat.Reply, error) {
	out, err := s.rights.Link(ctx, c.Stamp(), s.kind, t.ID)
	if err != nil {
		return nil, fmt.Errorf("make a code for a %s: %w", s.kind, err)
	}
	return &chat.Reply{
		Title:   fmt.Sprintf("The code for %q is %s", t.name, out.Code),
		Facts:   outFacts(out),
		Steps:   []string{fmt.Sprintf("Give it to whoever may have a copy. In any shop they type /%s adopt code:%s", s.kind, out.Code)},
		Notes:   []string{"Whoever has the code can adopt a copy, is offered what you change later, and can hand the code on. You can revoke it; copies stay."},
		Actions: []chat.Action{{Label: "Revoke the code", Do: chat.DoReplace, Line: s.line("unshare", t.ID, 0, map[string]string{"by": "link"})}},
	}, nil
}

// outFacts tell how far a thing is out.
func outFacts(out shop.Out) []chat.Fact {
	var facts []chat.Fact
	word := func(key, label, text string) {
		if text != "" {
			facts = append(facts, chat.Fact{Key: key, Label: label, Value: text, Text: text})
		}
	}
	word("code", "Code", out.Code)
	word("shop", "Shared with", out.Shop)
	word("taker", "Offered to", out.Taker)
	if out.Copies > 0 {
		facts = append(facts, chat.Whole("copies", "Adopted copies", out.Copies, fmt.Sprint(out.Copies)))
	}
	return facts
}

func (s Sharing[P]) unshare(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	t, err := find(ctx, c, s.things, string(s.kind), Offer)
	if err != nil {
		return nil, err
	}
	what := shop.BackAll
	title := fmt.Sprintf("%q is yours alone again", t.name)
	switch c.Text("by") {
	case "link":
		what, title = shop.BackCode, fmt.Sprintf("The code for %q is revoked", t.name)
	case "shop":
		what, title = shop.BackShop, fmt.Sprintf("%q is off the shop's shelf", t.name)
	}
	out, err := s.rights.Unshare(ctx, c.Stamp(), s.kind, t.ID, what)
	if err != nil {
		return nil, fmt.Errorf("unshare a %s: %w", s.kind, err)
	}
	r := &chat.Reply{Title: title, Facts: outFacts(out)}
	if out.Copies > 0 {
		r.Notes = append(r.Notes, copiesStay(out.Copies)+" Who can't see yours any more is not offered what you change.")
	}
	if out.Code != "" {
		r.Notes = append(r.Notes, fmt.Sprintf("Its code still works: /%s unshare by:link revokes it.", s.kind))
	}
	if out.ShopID == 0 {
		r.Actions = append(r.Actions, chat.Action{Label: "Share with shop", Line: s.line("share", t.ID, 0, nil)})
	}
	return r, nil
}

func copiesStay(n int) string {
	if n == 1 {
		return "The copy that was adopted stays with its owner."
	}
	return fmt.Sprintf("The %d copies that were adopted stay with their owners.", n)
}

func (s Sharing[P]) give(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	t, err := find(ctx, c, s.things, string(s.kind), Offer)
	if err != nil {
		return nil, err
	}
	back := c.Yes("withdraw", false)
	switch {
	case back && c.Has("to"):
		return nil, fault.New(fault.TooManyOptions, "an offer is made or withdrawn, not both").In("withdraw").Hint("keep to, or withdraw:yes")
	case back:
		out, err := s.rights.Offer(ctx, c.Stamp(), s.kind, t.ID, 0)
		if err != nil {
			return nil, fmt.Errorf("withdraw an offer: %w", err)
		}
		return &chat.Reply{Title: fmt.Sprintf("%q is offered to nobody any more", t.name), Facts: outFacts(out)}, nil
	case !c.Has("to"):
		return nil, fault.New(fault.MissingOption, "to is missing: the member who is to have it").In("to").Hint("such as to:bram")
	}
	if !c.By.MayChange(t.Record) { // before the other member is looked for
		return nil, fault.New(fault.NotAllowed, "%s belongs to %s, who alone can give it away", t.name, t.OwnerOf).In(string(s.kind)).
			Hint("make a copy of your own with /%s adopt", s.kind)
	}
	to, err := Person(ctx, c, s.people, "to")
	if err != nil {
		return nil, err
	}
	out, err := s.rights.Offer(ctx, c.Stamp(), s.kind, t.ID, to.ID)
	if err != nil {
		return nil, fmt.Errorf("offer a %s: %w", s.kind, err)
	}
	who := cmp.Or(out.Taker, "that member")
	out.Code = "" // the one that anyone may use would be taken for the other
	return &chat.Reply{
		Title:   fmt.Sprintf("%q is offered to %s", t.name, who),
		Facts:   append(outFacts(out), chat.Fact{Key: "offer", Label: "Code of the offer", Value: out.Offer, Text: out.Offer}),
		Steps:   []string{fmt.Sprintf("Tell %s: /%s list shows the offer with a button, or /%s adopt code:%s takes it.", who, s.kind, s.kind, out.Offer)},
		Notes:   []string{"It stays yours until it is taken; then it is theirs with all its versions, shared or not as it is now. Nobody else can use the code." + s.notes.given},
		Actions: []chat.Action{{Label: "Withdraw the offer", Do: chat.DoReplace, Line: s.line("give", t.ID, 0, map[string]string{"withdraw": "yes"})}},
	}, nil
}

// marked is what is said after each mark, and what undoes it.
var marked = map[shop.Mark]struct{ title, note, undo, label string }{
	shop.MarkHide:   {"%q is hidden from the shelf", "Its owner and the managers still see it, with the reason. It was not changed, and who adopted a copy keeps it.", "unhide", "Put it back"},
	shop.MarkUnhide: {"%q is back on the shelf", "", "hide", "Hide it"},
	shop.MarkPin:    {"%q comes first on the shelf", "", "unpin", "Unpin it"},
	shop.MarkUnpin:  {"%q is among the others again", "", "pin", "Pin it"},
}

// mark runs what a manager does with the shelf.
func (s Sharing[P]) mark(m shop.Mark) chat.Run {
	return func(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
		t, err := find(ctx, c, s.othersFirst(c, c.Text(string(s.kind))), string(s.kind), Offer)
		if err != nil {
			return nil, err
		}
		if err := s.rights.Mark(ctx, c.Stamp(), s.kind, t.ID, m, c.Text("why")); err != nil {
			return nil, fmt.Errorf("%s a %s: %w", m, s.kind, err)
		}
		said := marked[m]
		r := &chat.Reply{
			Title:   fmt.Sprintf(said.title, t.name),
			Actions: []chat.Action{{Label: said.label, Do: chat.DoReplace, Line: s.line(said.undo, t.ID, 0, nil)}},
		}
		if said.note != "" {
			r.Notes = append(r.Notes, said.note)
		}
		return r, nil
	}
}

// ofOthers finds what other members share.
func (s Sharing[P]) ofOthers() kind[thing[P]] {
	k := s.things
	k.names = func(ctx context.Context, v shop.Viewer) ([]shop.Entry, error) {
		all, err := s.things.names(ctx, v)
		var theirs []shop.Entry
		for _, e := range all {
			if e.Owner != v.Member.ID {
				theirs = append(theirs, e)
			}
		}
		return theirs, err
	}
	return k
}

// othersFirst finds what others share before one's own of the same name: one
// would not say so much of what one alone can see.
func (s Sharing[P]) othersFirst(c *chat.Call, typed string) kind[thing[P]] {
	k := s.things
	k.names = func(ctx context.Context, v shop.Viewer) ([]shop.Entry, error) {
		theirs, err := s.ofOthers().names(ctx, v)
		same := matching(theirs, func(name string) bool { return chat.Fold(name) == chat.Fold(typed) })
		if err != nil || len(same) > 0 {
			return theirs, err
		}
		return s.things.names(ctx, v)
	}
	return k
}
