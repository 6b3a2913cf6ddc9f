package commands

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

func (p pourCommand) show(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	pour, err := library.Pour(ctx, c, p.Pours, "pour", library.OpenPour)
	if err != nil {
		return nil, err
	}
	r := p.card(c, pour)
	r.Cautions, err = p.cardCautions(ctx, c, pour)
	return r, err
}

// cardCautions are what to mind in the phase that a pour is in: its card stands
// in the place of the answer that told them when it was poured.
func (p pourCommand) cardCautions(ctx context.Context, c *chat.Call, pour shop.Pour) ([]chat.Caution, error) {
	now := caution.Situation{}
	switch library.PhaseOf(pour, c.At).Name {
	case library.PhaseMixing, library.PhasePotLife, library.PhaseGelling, library.PhaseNextCoat, library.PhaseLateCoat:
		now.Step = caution.Mixing
	case library.PhaseTryIt, library.PhaseReady:
		return chat.Cautions(caution.For(caution.Situation{Step: caution.Demolding})), nil
	default:
		return nil, nil
	}
	m, err := p.Materials.Material(ctx, c.By, pour.MaterialID, pour.MaterialVersion)
	switch {
	case fault.As(err) != nil: // gone, or not the reader's to see: its own sheet tells
	case err != nil:
		return nil, fmt.Errorf("fetch the material of a pour: %w", err)
	default:
		now.Family, now.MaxDepth, now.Section = m.Family, m.MaxDepth, pour.Thickest
	}
	return chat.Cautions(caution.For(now)), nil
}

// card is a pour as it stands: the same wherever it is shown, and kept up to
// date where it can be. What others may see of it is what a pour that is shared
// shows; the rest is its owner's.
func (p pourCommand) card(c *chat.Call, pour shop.Pour) *chat.Reply {
	phase := library.PhaseOf(pour, c.At)
	mine := c.By.MayChange(pour.Record)
	r := &chat.Reply{
		Title: library.PourName(pour) + ": " + phase.Name + untilText(c, phase),
		Facts: cardFacts(c, pour, phase),
		Live:  &chat.Live{Pour: pour.ID, Next: phase.Until, Over: pour.State.Ended()},
	}
	if !mine {
		r.Notes = append(r.Notes, fmt.Sprintf("It is %s's pour: %s alone answers for it.", pour.OwnerOf, pour.OwnerOf))
		return r
	}
	if !c.Public {
		r.Notes = append(r.Notes, kept(c, pour)...)
	}
	if pour.State == shop.PourRunning && phase.Name == library.PhaseReady {
		r.Notes = append(r.Notes, "Nine in ten are ready by now. Touch the sprue and say what you find.")
	}
	r.Actions = pourActions(c, pour)
	return r
}

// kept is what a member found, noted and thought of a pour: theirs alone, also
// where they show its card to all, which goes on changing by itself.
func kept(c *chat.Call, pour shop.Pour) (notes []string) {
	for _, a := range pour.Answers {
		notes = append(notes, library.Capital(found(c, a))+".")
	}
	for _, e := range pour.Log {
		if e.What == shop.EventNote {
			notes = append(notes, noteText(c, e))
		}
	}
	if ended, ok := endOf(pour); ok && ended.Why != "" {
		notes = append(notes, "Why: "+ended.Why)
	}
	return notes
}

// endOf is the entry that ended a pour.
func endOf(pour shop.Pour) (shop.PourEvent, bool) {
	for i := len(pour.Log) - 1; i >= 0; i-- {
		if e := pour.Log[i]; e.What == string(pour.State) {
			return e, pour.State.Ended()
		}
	}
	return shop.PourEvent{}, false
}

// noteText is a note with its link as they were typed: they are text, whoever
// wrote them.
func noteText(c *chat.Call, e shop.PourEvent) string {
	words := strings.Fields(e.Text) // on one line, which it can't leave
	if e.Photo != "" {
		words = append(words, "photo", e.Photo)
	}
	return clock(c, e.At) + ": " + strings.Join(words, " ")
}

// cardFacts are the clocks of a pour, what matters now ahead.
func cardFacts(c *chat.Call, p shop.Pour, phase library.Phase) []chat.Fact {
	facts := []chat.Fact{{Key: "phase", Label: "Now", Value: phase.Name, Text: phaseText(c, phase)}}
	if p.Coats > 0 {
		facts = append(facts, chat.Whole("coats_on", "Coats on", p.CoatsOn, fmt.Sprintf("%d of %d", p.CoatsOn, p.Coats)))
	}
	facts = append(facts, instant(c, "started", "Started", p.Started))
	if p.State.Ended() {
		facts = append(facts, instant(c, "ended", "Ended", p.Ended))
	} else {
		facts = append(facts, foreseenFacts(c, p)...)
	}
	facts = append(facts, whereFacts(p)...)
	if !p.State.Ended() {
		facts = append(facts, heatFacts(c, p)...)
	}
	facts = append(facts, pouredFacts(c, p)...)
	facts = append(facts, numberFacts(p)...)
	return append(facts, chat.Fact{Key: "shared", Label: "Seen by", Value: p.Shared, Text: seenBy(p)})
}

func numberFacts(p shop.Pour) []chat.Fact {
	return []chat.Fact{
		{Key: "pour", Label: "Number", Value: chat.Ref(p.ID, 0), Text: chat.Ref(p.ID, 0)},
		{Key: "state", Label: "It is", Value: string(p.State), Text: string(p.State)},
	}
}

func phaseText(c *chat.Call, phase library.Phase) string {
	return phase.Name + untilText(c, phase) + ": " + phase.Text
}

func seenBy(p shop.Pour) string {
	if p.Shared {
		return "the shop's members"
	}
	return "you alone"
}

// instant is a time as RFC 3339, and on the reader's clock.
func instant(c *chat.Call, key, label string, at time.Time) chat.Fact {
	return chat.Fact{Key: key, Label: label, Value: at.UTC().Format(time.RFC3339), Text: clock(c, at)}
}

// foreseenFacts are the times to come, each as a time since the pour, or the
// last coat, and on the reader's clock.
func foreseenFacts(c *chat.Call, p shop.Pour) []chat.Fact {
	sys, from, f := c.By.System(), p.CoatedAt(), p.Foreseen
	var facts []chat.Fact
	span := func(key, label string, r quantity.Range) {
		if r.High > 0 {
			facts = append(facts, chat.Num(key, label, r.Mid, quantity.Time, sys).Between(r.Low, r.High).
				Says(timeSpan(r, sys)+", "+between(c, from, r)))
		}
	}
	if p.CoatsOn < p.Coats && f.Gel.High > 0 {
		next := library.Recoat(f)
		facts = append(facts, chat.Num("next_coat", "Next coat", next.Mid, quantity.Time, sys).Between(next.Low, next.High).Says(coatWindow(c, p)))
	}
	if p.CoatsOn >= p.Coats {
		span("demold", "Ready to demold", f.Demold)
		if f.Peak.High == 0 || f.Peak.High > cure.CoolFace {
			span("cool", "Cool to handle", f.Cool)
		}
	}
	if f.Remind > 0 && p.CoatsOn >= p.Coats {
		facts = append(facts, instant(c, "ready_at", "Ready and cool by", after(from, f.Remind)).
			Says(clock(c, after(from, cure.RoundOut(quantity.Exactly(f.Remind)).High))))
	}
	return facts
}

// heatFacts are how hot it gets, and how long it flows.
func heatFacts(c *chat.Call, p shop.Pour) (facts []chat.Fact) {
	sys, f := c.By.System(), p.Foreseen
	if f.Peak.High > 0 {
		facts = append(facts, chat.Num("peak_temp", "Hottest inside", f.Peak.Mid, quantity.Temp, sys).Between(f.Peak.Low, f.Peak.High).Says(tempSpan(f.Peak, sys)))
	}
	if f.PotLife.High > 0 {
		facts = append(facts, chat.Num("pot_life", "Pot life", f.PotLife.Mid, quantity.Time, sys).Between(f.PotLife.Low, f.PotLife.High).
			Says(timeSpan(f.PotLife, sys)+", "+between(c, p.CoatedAt(), f.PotLife)))
	}
	return facts
}

// whereFacts are what it went into, its tint, and where it stands.
func whereFacts(p shop.Pour) (facts []chat.Fact) {
	word := func(key, label, text string) {
		if text != "" {
			facts = append(facts, chat.Fact{Key: key, Label: label, Value: text, Text: text})
		}
	}
	names := make([]string, len(p.Fills))
	for i, f := range p.Fills {
		names[i] = fmt.Sprintf("%s (%d)", f.Name, f.Count)
	}
	word("molds", "Molds", strings.Join(names, ", "))
	word("tint", "Tint", p.Tint)
	word("where", "Where", p.Where)
	return facts
}

// pouredFacts are how much was poured, and what came of it.
func pouredFacts(c *chat.Call, p shop.Pour) (facts []chat.Fact) {
	if p.Mass > 0 {
		facts = append(facts, chat.Num("mass_total", "In the mold", p.Mass, quantity.Mass, c.By.System()))
	}
	if p.State == shop.PourDone {
		return append(facts, chat.Whole("good", "Good ones", p.Good, fmt.Sprint(p.Good)), chat.Whole("spoiled", "Spoiled", p.Spoiled, fmt.Sprint(p.Spoiled)))
	}
	if p.Count > 1 {
		facts = append(facts, chat.Whole("parts", "Parts", p.Count, fmt.Sprint(p.Count)))
	}
	return facts
}

// pourActions are the answers that a pour still takes, of its owner.
func pourActions(c *chat.Call, p shop.Pour) []chat.Action {
	press := func(label, sub string, more map[string]string) chat.Action {
		return chat.Action{Label: label, Line: pourLine(sub, p, more)}
	}
	var actions []chat.Action
	if p.State == shop.PourRunning {
		if p.CoatsOn < p.Coats {
			actions = append(actions, press("Coat is on", "coat", nil))
		} else {
			actions = append(actions, press("Ready", "ready", nil), press("Still soft", "soft", nil))
		}
	}
	if !p.State.Ended() {
		actions = append(actions, press("Done", "done", nil),
			chat.Action{Label: "Some spoiled", Do: chat.DoForm, Form: "spoiled", Line: pourLine("done", p, nil)},
			press("Failed", "fail", nil))
	}
	if undoable(c, p) {
		actions = append(actions, press("Undo", "undo", nil))
	}
	if p.State == shop.PourReady && len(p.Answers) > 0 && !p.Answers[len(p.Answers)-1].Shared && p.Foreseen.Physics > 0 {
		actions = append(actions, press("Share with shop", "ready", map[string]string{"share": "yes"}))
	}
	if !p.State.Ended() {
		show := press("Show to the shop", "share", nil)
		if p.Shared {
			show = press("Keep to myself", "unshare", nil)
		}
		actions = append(actions, show, press("Cancel", "cancel", nil))
	}
	return actions
}

// clock is an instant as the reader's clock shows it; the day is told where it
// is another one than that of the call.
func clock(c *chat.Call, at time.Time) string {
	return c.Clock(shop.ClockText(at, c.At, c.By.Zone()), at)
}

// between is a range of times after an instant, on the clock.
func between(c *chat.Call, from time.Time, r quantity.Range) string {
	r = cure.RoundOut(r)
	low, high := clock(c, after(from, r.Low)), clock(c, after(from, r.High))
	if low == high {
		return "at " + low
	}
	return "between " + low + " and " + high
}
