package commands

import (
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/shop"
)

func init() { register("me", newMe) }

type meCommand struct{ deps }

func newMe(d deps) chat.Command {
	m := meCommand{d}
	return chat.Command{
		Name:  "me",
		Help:  "your units and clock, and all that is held about you",
		About: "What you set here goes before the shop's settings, in every shop. Only you can see it, take it away with you, or erase it.",
		Asks: []chat.Ask{
			{Question: "How do I read ounces while the shop weighs in grams?", Line: "/me set units:us"},
			{Question: "What is held about me?", Line: "/me export"},
		},
		Subs: []chat.Sub{
			{Name: "show", Help: "what you have set", Run: m.show},
			{Name: "set", Help: "set it", Writes: true, Run: m.set, Options: library.Options(library.Wishes()),
				Forms: []chat.Form{{Title: "Your own wishes", Options: []string{"units", "zone", "quiet_hours", "ready", "to"}, Fill: m.fill}}},
			{Name: "export", Help: "everything held about you, as a file", Run: m.export},
			{Name: "erase", Help: "erase everything held about you", Writes: true, Run: m.erase, Options: []chat.Option{
				{Name: "sure", Help: "yes erases it; without it you are told what would go", Kind: chat.YesNo},
			}},
		},
	}
}

func (m meCommand) show(_ context.Context, c *chat.Call) (*chat.Reply, error) {
	r := &chat.Reply{
		Title: "What you have set",
		Notes: []string{fmt.Sprintf("Where it says shop, %s decides: %s, %s.", c.By.Shop.Name, c.By.Shop.Set.Units, c.By.Shop.Set.Zone)},
		Actions: []chat.Action{
			{Label: "Change", Do: chat.DoForm, Line: "/me set"},
			{Label: "What is held about me", Line: "/me export"},
		},
	}
	for _, w := range library.Wishes() {
		r.Facts = append(r.Facts, w.Show(c.By.Member.Pref, c.By.System()))
	}
	return r, nil
}

func (m meCommand) fill(_ context.Context, c *chat.Call) (map[string]string, error) {
	return library.Shown(library.Wishes(), c.By.Member.Pref, c.By.System()), nil
}

func (m meCommand) set(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	before := c.By.Member.Pref
	after, changed, err := library.Change(c, library.Wishes(), before)
	if err != nil {
		return nil, err
	}
	if len(changed) == 0 {
		return nil, fault.New(fault.MissingOption, "nothing to change is given").In("units").
			Hint("name what changes, such as units:us or quiet_hours:22:00-07:00")
	}
	if err := m.People.SetPrefs(ctx, c.Stamp(), after); err != nil {
		return nil, fmt.Errorf("set wishes: %w", err)
	}
	return &chat.Reply{
		Title: "Your wishes are set", Facts: library.BeforeAfter(changed, before, after, c.By.System()),
		Notes: []string{"They hold for you alone, in every shop."},
	}, nil
}

func (m meCommand) export(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	held, err := m.Own.Export(ctx, c.By)
	if err != nil {
		return nil, fmt.Errorf("export: %w", err)
	}
	mine, shared, err := m.counts(ctx, c)
	if err != nil {
		return nil, err
	}
	return &chat.Reply{
		Title: "Everything held about you is in the file",
		Facts: append(mine, shared, chat.Whole("bytes", "Size of the file", len(held), fmt.Sprintf("%d bytes", len(held)))),
		Files: []chat.File{{Name: "held-about-me.json", Data: held}},
		Notes: []string{"It is JSON text: your records with all their versions, your wishes, and what was kept so that buttons work.",
			"It is for reading. /data export kind:all makes the file that /data import brings in elsewhere."},
	}, nil
}

// counts are the member's own records on the shelf, by kind, and how many of
// them others here can see.
func (m meCommand) counts(ctx context.Context, c *chat.Call) (mine []chat.Fact, shared chat.Fact, err error) {
	materials, err := m.Materials.Materials(ctx, c.By)
	if err != nil {
		return nil, shared, fmt.Errorf("list materials: %w", err)
	}
	molds, err := m.Molds.Molds(ctx, c.By)
	if err != nil {
		return nil, shared, fmt.Errorf("list molds: %w", err)
	}
	tints, err := m.Tints.Tints(ctx, c.By)
	if err != nil {
		return nil, shared, fmt.Errorf("list tints: %w", err)
	}
	formulas, err := m.Formulas.Formulas(ctx, c.By)
	if err != nil {
		return nil, shared, fmt.Errorf("list formulas: %w", err)
	}
	const everyPour = 10000 // above what is kept of one member
	pours, err := m.Pours.Pours(ctx, c.By, everyPour)
	if err != nil {
		return nil, shared, fmt.Errorf("list pours: %w", err)
	}
	n := map[string]int{"pours": len(pours)}
	containers, err := m.Stock.Containers(ctx, c.By)
	if err != nil {
		return nil, shared, fmt.Errorf("list containers: %w", err)
	}
	count := func(kind string, r shop.Record) {
		if !c.By.MayChange(r) {
			return
		}
		n[kind]++
		if r.Shared {
			n["shared"]++
		}
	}
	for _, one := range materials {
		count("materials", one.Record)
	}
	for _, one := range molds {
		count("molds", one.Record)
	}
	for _, one := range tints {
		count("tints", one.Record)
	}
	for _, one := range formulas {
		count("formulas", one.Record)
	}
	for _, one := range containers {
		count("containers", one.Record)
	}
	whole := func(key, label string) chat.Fact { return chat.Whole(key, label, n[key], fmt.Sprint(n[key])) }
	return []chat.Fact{whole("materials", "Materials of yours"), whole("molds", "Molds of yours"), whole("tints", "Tints of yours"),
		whole("formulas", "Formulas of yours"), whole("pours", "Pours of yours"), whole("containers", "Jugs and packs of yours")}, whole("shared", "Of these shared"), nil
}

func (m meCommand) erase(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	if !c.Yes("sure", false) {
		return m.warn(ctx, c)
	}
	if err := m.Own.Erase(ctx, c.Stamp()); err != nil {
		return nil, fmt.Errorf("erase: %w", err)
	}
	return &chat.Reply{
		Title: "Everything held about you is erased",
		Notes: []string{"If you ask again you begin anew. A backup made before keeps what it held until whoever runs this deletes it."},
	}, nil
}

// warn says what would go and asks once more; it changes nothing.
func (m meCommand) warn(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	mine, shared, err := m.counts(ctx, c)
	if err != nil {
		return nil, err
	}
	managers, err := m.People.Managers(ctx, c.By)
	if err != nil {
		return nil, fmt.Errorf("list managers: %w", err)
	}
	if len(managers) == 1 && managers[0].ID == c.By.Member.ID {
		c.Note(fmt.Sprintf("You are the only manager on the list of %s: put another one on it first, with /shop set managers:NAME.", c.By.Shop.Name))
	}
	out, err := m.Sharing.SharedOut(ctx, c.By)
	if err != nil {
		return nil, fmt.Errorf("list what is shared: %w", err)
	}
	if len(out) > 0 {
		c.Note("Members who adopted a copy keep it, without your name. To leave the thing itself to someone, hand it over first, such as with /material give.")
	}
	return &chat.Reply{
		Title: "This would erase everything held about you, for good",
		Facts: append(append(mine, shared), library.OutLines(out)...),
		Steps: []string{
			"Your pours go with what you found at them, also what you shared: it teaches nobody any more.",
			"Your materials, molds, tints and formulas with all their versions go, and your jugs and packs with their logs, shared ones too: others here can't use them any more.",
			"Your wishes go, your place on lists of managers, what was measured in your files, and the buttons of your answers.",
			"What you set or answered for a shop stays with the shop, without your name; your own shop, where you talk to me alone, goes.",
		},
		Notes: []string{"Nothing is erased yet. Take a copy first if you may want any of it back."},
		Actions: []chat.Action{
			{Label: "Take a copy", Line: "/me export"},
			{Label: "Take it along", Line: "/data export kind:all"},
			{Label: "Erase everything", Do: chat.DoReplace, Line: "/me erase sure:yes"},
		},
	}, nil
}
