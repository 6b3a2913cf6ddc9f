package commands

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/moldcare"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// done closes a pour: its parts are out, and a pull is counted at each mold.
func (p pourCommand) done(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	pour, err := library.Pour(ctx, c, p.Pours, "pour", library.OpenPour)
	if err != nil {
		return nil, err
	}
	if !c.By.MayChange(pour.Record) || pour.State.Ended() {
		return nil, p.refuse(ctx, c, pour, shop.PourDone)
	}
	end := shop.PourEnd{State: shop.PourDone, Why: c.Text("why")}
	if end.At, err = library.Seen(c); err != nil {
		return nil, err
	}
	if end.Good, end.Spoiled, err = partsOut(c, max(pour.Count, 1)); err != nil {
		return nil, err
	}
	spoiled, err := spoiledFills(c, pour, end.Spoiled)
	if err != nil {
		return nil, err
	}
	molds, notes, err := p.toCount(ctx, c, pour)
	if err != nil {
		return nil, err
	}
	for _, m := range molds {
		end.Pulls = append(end.Pulls, shop.PourPull{Mold: m.ID, Good: !slices.Contains(spoiled, m.ID)})
	}
	id, before := pour.ID, pour.State
	pour, err = p.PourLog.EndPour(ctx, c.Stamp(), id, end)
	if f := fault.As(err); f != nil && f.Code == fault.LimitReached && len(end.Pulls) > 0 {
		// A full log of molds is no reason to keep a pour running.
		notes = append(notes, fmt.Sprintf("No pull was counted: %s.", f.Message))
		end.Pulls, molds = nil, nil
		pour, err = p.PourLog.EndPour(ctx, c.Stamp(), id, end)
	}
	if err != nil {
		return nil, fmt.Errorf("close a pour: %w", err)
	}
	return p.closed(ctx, c, pour, before, molds, notes)
}

// refuse gives the store's own refusal of an end, which says why.
func (p pourCommand) refuse(ctx context.Context, c *chat.Call, pour shop.Pour, to shop.PourState) error {
	_, err := p.PourLog.EndPour(ctx, c.Stamp(), pour.ID, shop.PourEnd{State: to})
	if err == nil {
		return fmt.Errorf("pour %d in state %s was taken to %s", pour.ID, pour.State, to)
	}
	return err
}

// partsOut reads how many parts came out well: all of them where nothing is
// said, the rest where one number is.
func partsOut(c *chat.Call, parts int) (good, spoiled int, err error) {
	good, spoiled = c.Count("good", 0), c.Count("spoiled", 0)
	switch {
	case !c.Has("good") && !c.Has("spoiled") && (c.Has("why") || c.Has("spoiled_in")):
		return 0, 0, fault.New(fault.MissingOption, "how many of the %d were spoiled?", parts).In("spoiled").Hint("give spoiled:1, or how many it were")
	case !c.Has("good"):
		good = parts - spoiled
	case !c.Has("spoiled"):
		spoiled = parts - good
	}
	if good < 0 || spoiled < 0 || good+spoiled != parts {
		option := "spoiled"
		if !c.Has("spoiled") {
			option = "good"
		}
		return 0, 0, fault.New(fault.OutOfRange, "good and spoiled do not add up to the %s poured", quantity.Count(parts, "part", "parts")).In(option).
			Hint("good and spoiled are %d together; give one of them and the rest is the other", parts)
	}
	return good, spoiled, nil
}

// spoiledFills gives the molds whose pull counts as a spoiled one: those where
// half of the parts or more are spoiled (judgement). Of several molds it must be
// said which, unless all parts are.
func spoiledFills(c *chat.Call, pour shop.Pour, spoiled int) (ids []int64, err error) {
	fills := pour.InMolds()
	all, parts := fills, 0
	if c.Has("spoiled_in") {
		if all, err = fillsNamed(c, fills); err != nil {
			return nil, err
		}
	}
	for _, f := range all {
		ids = append(ids, f.Mold)
		parts += f.Count
	}
	switch {
	case spoiled == 0 || len(fills) == 0:
		return nil, nil
	case len(fills) > 1 && !c.Has("spoiled_in") && spoiled < max(pour.Count, 1):
		return nil, whichSpoiled(fills)
	case c.Has("spoiled_in") && (spoiled > parts || spoiled < len(all)):
		return nil, fault.New(fault.OutOfRange, "%s can't be in %s of %s", quantity.Count(spoiled, "spoiled part", "spoiled parts"),
			quantity.Count(len(all), "mold", "molds"), quantity.Count(parts, "part", "parts")).In("spoiled_in").
			Hint("name just the molds with spoiled parts, with commas between")
	case 2*spoiled < parts:
		return nil, nil
	}
	return ids, nil
}

func whichSpoiled(fills []shop.Fill) error {
	names := make([]string, len(fills))
	f := fault.New(fault.MissingOption, "in which of the %d molds?", len(fills)).In("spoiled_in")
	for i, fill := range fills {
		names[i] = fill.Name
		f.Offer(fault.Choice{Value: chat.Ref(fill.Mold, 0), Label: fill.Name})
	}
	return f.Hint("name those with spoiled parts: %s", strings.Join(names, ", "))
}

// fillsNamed are the fills of a pour that spoiled_in names, by name or number.
func fillsNamed(c *chat.Call, fills []shop.Fill) (named []shop.Fill, err error) {
	for _, name := range strings.Split(c.Text("spoiled_in"), ",") {
		name = strings.TrimSpace(name)
		i := slices.IndexFunc(fills, func(f shop.Fill) bool {
			return chat.Fold(f.Name) == chat.Fold(name) || chat.Ref(f.Mold, 0) == name
		})
		if i < 0 {
			return nil, fault.New(fault.UnknownMold, "%q was not filled by this pour", fault.Clip(name, 60)).In("spoiled_in").
				Hint("it filled %s", library.List(fillNames(fills)))
		}
		if !slices.Contains(named, fills[i]) {
			named = append(named, fills[i])
		}
	}
	return named, nil
}

func fillNames(fills []shop.Fill) []string {
	names := make([]string, len(fills))
	for i, f := range fills {
		names[i] = f.Name
	}
	return names
}

// toCount gives the molds of a pour at which its member counts a pull, and says
// of the others why not.
func (p pourCommand) toCount(ctx context.Context, c *chat.Call, pour shop.Pour) (molds []shop.Mold, notes []string, err error) {
	for _, f := range pour.InMolds() {
		m, err := p.Molds.Mold(ctx, c.By, f.Mold, 0)
		switch {
		case fault.As(err) != nil:
			notes = append(notes, fmt.Sprintf("%s is gone, or not shared any more, so no pull was counted there.", library.Capital(f.Name)))
		case err != nil:
			return nil, nil, fmt.Errorf("fetch a mold of a pour: %w", err)
		case !c.By.MayChange(m.Record):
			notes = append(notes, fmt.Sprintf("%s is %s's, and only its owner counts what is pulled from it: tell %s.", library.Capital(m.Name), m.OwnerOf, m.OwnerOf))
		case m.Retired != "":
			notes = append(notes, fmt.Sprintf("%s was retired meanwhile (%s), so no pull was counted there.", library.Capital(m.Name), m.Retired))
		default:
			molds = append(molds, m)
		}
	}
	return molds, notes, nil
}

// closed is what a maker needs to know when the parts are out.
func (p pourCommand) closed(ctx context.Context, c *chat.Call, pour shop.Pour, before shop.PourState, molds []shop.Mold, notes []string) (*chat.Reply, error) {
	r := &chat.Reply{
		Title: fmt.Sprintf("Done: %s, %s", library.PourName(pour), outcome(pour.Good, pour.Spoiled)),
		Facts: []chat.Fact{chat.Whole("good", "Good ones", pour.Good, fmt.Sprint(pour.Good)), chat.Whole("spoiled", "Spoiled", pour.Spoiled, fmt.Sprint(pour.Spoiled))},
		Live:  p.card(c, pour).Live,
	}
	r.Notes = append(r.Notes, notes...)
	for _, m := range molds {
		late := library.CareOf(m).Late()
		now, err := p.Molds.Mold(ctx, c.By, m.ID, 0)
		if err != nil {
			return nil, fmt.Errorf("fetch a mold that was pulled: %w", err)
		}
		pulledOf(r, now, late, len(molds) > 1)
	}
	if halfNote := spoiledNote(pour, molds); halfNote != "" {
		r.Notes = append(r.Notes, halfNote)
	}
	if f := pour.Foreseen; f.Peak.High > cure.CoolFace && c.At.Before(after(pour.CoatedAt(), f.Cool.High)) {
		r.Notes = append(r.Notes, hotUntil(c, pour))
	}
	r.Notes = append(r.Notes, careNotes(c, pour, molds)...)
	if pour.Spoiled > 0 {
		r.Actions = append(r.Actions, wentWrong(pour, ""))
	}
	p.afterwards(c, r, pour, molds)
	sanded := pour.Foreseen.FullCure.Mid > 0 // that is told of, so its dust is too
	r.Cautions = chat.Cautions(caution.For(caution.Situation{Step: caution.Demolding, Powder: sanded}))
	r.Facts = append(r.Facts, numberFacts(pour)...)
	if before != shop.PourRunning {
		return r, nil
	}
	if pour.Foreseen.Physics > 0 { // else it teaches nothing, and that is told
		by := "now"
		if !pour.Ended.Equal(c.At) {
			by = clock(c, pour.Ended)
		}
		r.Notes = append(r.Notes, fmt.Sprintf("It was not said to be ready before, so it counts as ready by %s.", by))
	}
	return r, p.learned(ctx, c, pour, r)
}

// pulledOf tells where a mold stands after a pull.
func pulledOf(r *chat.Reply, m shop.Mold, late, several bool) {
	counts := moldCounts(m)
	if several {
		for i := range counts {
			counts[i].Label = m.Name + ": " + strings.ToLower(counts[i].Label)
		}
	}
	r.Facts = append(r.Facts, counts...)
	if late {
		r.Notes = append(r.Notes, fmt.Sprintf("The release coat of %s was due before this pull, so it counts %s pulls of wear (judgement, no source).", m.Name, short(moldcare.LateWear)))
	}
	if library.CareOf(m).Due() == 0 {
		r.Notes = append(r.Notes, fmt.Sprintf("A release coat is due on %s before the next pull: put it on, let it sit about an hour, wipe it (common practice).", m.Name))
		label := "Release coat is on"
		if several {
			label = fault.Clip("Coat is on: "+m.Name, 40)
		}
		r.Actions = append(r.Actions, chat.Action{Label: label, Line: moldLine("release", m, nil)}, library.CoatCall(m))
	}
}

// spoiledNote says how spoiled parts count at the molds.
func spoiledNote(pour shop.Pour, molds []shop.Mold) string {
	switch {
	case pour.Spoiled == 0 || len(molds) == 0:
		return ""
	case pour.Good == 0:
		return "A spoiled pull wears the mold like any other and is counted."
	}
	return "A pull counts as a spoiled one where half of its parts or more are (judgement); it wears the mold like any other."
}

// hotPour is °C inside from which a pour is told to be hard on the mold
// (judgement): well above what rubber is warmed to in order to dry.
const hotPour = 60

// careNotes are what the molds need now. Common practice, no source.
func careNotes(c *chat.Call, pour shop.Pour, molds []shop.Mold) []string {
	var notes []string
	damp := slices.IndexFunc(molds, func(m shop.Mold) bool { return m.Family == "condensation" })
	if damp >= 0 && pour.Foreseen.Peak.High > hotPour {
		notes = append(notes, fmt.Sprintf("It may have reached %s inside. A condensation-cure mold gives its moisture off to heat, and each hot pour shortens its life: let %s cool and rest open in the room before the next (common practice).",
			tempSpan(pour.Foreseen.Peak, c.By.System()), molds[damp].Name))
	}
	if len(molds) > 0 {
		notes = append(notes, "If you put it away: clean and dry, flat or in its jacket so that it keeps its shape, out of the sun, and nothing on top (common practice).")
	}
	return notes
}

// afterwards offers what comes once a part is out.
func (p pourCommand) afterwards(c *chat.Call, r *chat.Reply, pour shop.Pour, molds []shop.Mold) {
	if full := pour.Foreseen.FullCure.Mid; full > 0 {
		at := after(pour.CoatedAt(), full)
		if at.After(c.At) {
			r.Facts = append(r.Facts, instant(c, "full_cure_at", "Fully cured", at))
			r.Actions = append(r.Actions, chat.Action{Label: "Call me at full cure", Line: chat.FormatLine("due add",
				map[string]string{"about": fault.Clip("Fully cured: "+library.PourName(pour), 200), "at": at.UTC().Format(time.RFC3339)}, []string{"about", "at"})})
			r.Notes = append(r.Notes, fmt.Sprintf("It has its full strength at %s: sand, paint and load it then.", clock(c, at)))
		}
	}
	if len(molds) == 1 {
		r.Actions = append(r.Actions, chat.Action{Label: "How long will it last?", Line: moldLine("life", molds[0], nil)})
	}
	r.Actions = append(r.Actions, chat.Action{Label: "Undo", Line: pourLine("undo", pour, nil)})
}

// outcome is how many came out well, "5 good, 1 spoiled".
func outcome(good, spoiled int) string {
	if spoiled == 0 {
		return fmt.Sprintf("%d good", good)
	}
	return fmt.Sprintf("%d good, %d spoiled", good, spoiled)
}
