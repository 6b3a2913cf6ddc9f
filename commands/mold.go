package commands

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/moldcare"
	"github.com/pourwright/pourwright/internal/part"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

func init() { register("mold", newMold) }

type moldCommand struct {
	deps
	sharing library.Sharing[shop.MoldProfile]
}

func newMold(d deps) chat.Command {
	m := moldCommand{d, d.library.ShareMolds(d.Books)}
	one := chat.Option{Name: "mold", Help: "its name", Like: "harbor pawn", Required: true, Suggest: d.library.SuggestMold}
	why := chat.Option{Name: "why", Help: "what spoiled it, for the record", Like: "bubbles at the crown"}
	return chat.Command{
		Name:  "mold",
		Help:  "keep molds: build them, count their pulls, know when a release coat is due and how long they last",
		About: "A mold's clock is its pulls. Each is counted, good or spoiled, and so is each release coat; from that and from what molds of its kind are known to give comes how many pulls are left, with an honest range. What others share with the shop counts by half.",
		Asks: []chat.Ask{
			{Question: "How many more pulls will this mold give?", Line: `/mold life mold:"harbor pawn"`},
			{Question: "I pulled a good one. Is a release coat due?", Line: `/mold pull mold:"harbor pawn"`},
			{Question: "How do I make a copy of my own of what another member shares?", Line: `/mold adopt mold:"shell knob"`},
			{Question: "How do I keep a mold that I have used for a while?", Line: `/mold add name:"bench knob" family:condensation volume:"31 ml" thickest:"26 mm" pulls:12`},
		},
		Subs: append([]chat.Sub{
			{Name: "add", Help: "save a mold, by what it holds or from the part's 3-D file", Writes: true, Run: m.add,
				OneOf: [][]string{{"volume", "file"}}, Forms: moldForms[:1], Options: moldAddOptions()},
			m.buildSub(),
			{Name: "pull", Help: "count a pull of a mold of yours, good or spoiled", Writes: true, Run: m.pull, Options: []chat.Option{one,
				{Name: "result", Help: "good if left out", Kind: chat.OneWord, Like: "good", Choices: []chat.Choice{{Value: shop.MarkGood}, {Value: shop.MarkSpoiled}}}, why,
				{Name: "alone", Kind: chat.YesNo, Help: "yes counts it though a pour into that mold is under way"}}},
			{Name: "release", Help: "a release coat was put on", Writes: true, Run: m.release, Options: []chat.Option{one}},
			{Name: "undo", Help: "take the last pull or coat back, within ten minutes", Writes: true, Run: m.undo, Options: []chat.Option{one}},
			{Name: "retire", Help: "a mold that casts no more: torn, stuck, degraded, lost or other", Writes: true, Run: m.retire, Options: []chat.Option{one,
				{Name: "why", Help: "how it ended; the first three teach how long molds last", Kind: chat.OneWord, Required: true, Like: "torn", Choices: retireChoices()},
				{Name: "note", Help: "anything to remember about it", Like: "at the neck, where the wall is thin"}}},
			{Name: "life", Help: "how long it lasts, and what the next pull risks", Computes: true, Run: m.life, Options: []chat.Option{one,
				{Name: "next", Help: "pulls to come for which the risk is wanted; 10 if left out", Kind: chat.Count, Like: "10", Min: 1, Max: 10000},
				{Name: "late_wear", Help: "pulls of wear that one counts which was made with the coat overdue; 1.5 if left out", Kind: chat.Measure,
					Dims: []quantity.Dim{quantity.Number}, Like: "1.5", Min: 1, Max: 10}}},
			{Name: "show", Help: "everything about a mold", Run: m.show, Options: []chat.Option{one}},
			{Name: "list", Help: "the molds you can use here, with what is due", Run: m.list},
			{Name: "edit", Help: "change a mold of yours; the old version is kept", Writes: true, Run: m.edit,
				Options: moldEditOptions(one), Forms: m.editForms()},
			{Name: "history", Help: "a mold's pulls, coats and versions", Run: m.history, Options: []chat.Option{one}},
			{Name: "remove", Help: "take a mold of yours off the shelf", Writes: true, Run: m.remove, Options: []chat.Option{one,
				{Name: "sure", Kind: chat.YesNo, Help: "yes removes it"}}},
		}, m.sharing.Subs()...),
	}
}

func retireChoices() []chat.Choice {
	labels := map[string]string{"stuck": "stuck: a cast would not come out", "degraded": "degraded: hard, swollen or without detail", "other": "other: sold, no longer wanted"}
	var out []chat.Choice
	for _, r := range moldcare.Reasons() {
		out = append(out, chat.Choice{Value: r, Label: labels[r]})
	}
	return out
}

func moldAddOptions() []chat.Option {
	var options []chat.Option
	for _, f := range library.MoldFields() {
		options = append(options, f.Option)
	}
	return slices.Concat(options, []chat.Option{{Name: "file", Help: "a 3-D file of one part, in place of volume", Kind: chat.Attachment}}, part.Options)
}

// moldCounts are what stands under every answer about a mold's pulls.
func moldCounts(m shop.Mold) []chat.Fact {
	care := library.CareOf(m)
	due := fmt.Sprintf("in %s", pullsOf(care.Due()))
	if care.Due() == 0 {
		due = "now, before the next pull"
	}
	return []chat.Fact{
		chat.Whole("pulls", "Pulls so far", care.Pulls, pullsOf(care.Pulls)),
		chat.Whole("pulls_since_release", "Since the last coat", care.Since(), pullsOf(care.Since())),
		chat.Whole("release_due", "Release coat due", care.Due(), due),
	}
}

// coatNotes tell of a release coat that is due before a mold is filled so often.
func coatNotes(m shop.Mold, fills int) []string {
	due := library.CareOf(m).Due()
	switch {
	case m.Retired != "" || due >= fills:
		return nil
	case due == 0:
		return []string{fmt.Sprintf("A release coat is due on %s before this pour: put it on, let it sit about an hour, wipe it (common practice); then /mold release.", m.Name)}
	}
	return []string{fmt.Sprintf("A release coat falls due on %s after %s of these.", m.Name, pullsOf(due))}
}

func pullsOf(n int) string { return quantity.Count(n, "pull", "pulls") }

func moldLine(sub string, m shop.Mold, more map[string]string) string {
	options := map[string]string{"mold": chat.Ref(m.ID, 0)}
	for k, v := range more {
		options[k] = v
	}
	return chat.FormatLine("mold "+sub, options, []string{"mold"})
}

func (d moldCommand) pull(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := d.library.Mold(ctx, c, "mold", library.Offer)
	if err != nil {
		return nil, err
	}
	good := c.Text("result") == shop.MarkGood || !c.Has("result") && !c.Has("why")
	if !c.Yes("alone", false) {
		if r, err := d.whosePull(ctx, c, m, good); r != nil || err != nil {
			return r, err
		}
	}
	late := library.CareOf(m).Late()
	if m, err = d.Pulls.PullMold(ctx, c.Stamp(), m.ID, good, c.Text("why")); err != nil {
		return nil, fmt.Errorf("count a pull: %w", err)
	}
	result := shop.MarkGood
	if !good {
		result = shop.MarkSpoiled
	}
	r := &chat.Reply{Title: fmt.Sprintf("Pull %d of %s: %s", m.PullsSoFar(), m.Name, result), Facts: moldCounts(m)}
	if m.Tally.Spoiled > 0 && m.Tally.Good+m.Tally.Spoiled >= fewPulls {
		r.Facts = append(r.Facts, goodRate(m))
	}
	if !good && !c.Has("result") {
		r.Notes = append(r.Notes, "Counted as spoiled, since a reason is given; result:good says otherwise.")
	}
	if late {
		r.Notes = append(r.Notes, fmt.Sprintf("The release coat was due before this pull, so it counts %s pulls of wear (judgement, no source).", short(moldcare.LateWear)))
	}
	switch due := library.CareOf(m).Due(); {
	case due == 0:
		r.Notes = append(r.Notes, "A release coat is due before the next pull: put it on, let it sit about an hour, wipe it (common practice).")
		r.Actions = append(r.Actions, chat.Action{Label: "Release coat is on", Line: moldLine("release", m, nil)}, library.CoatCall(m))
	case !good:
		r.Notes = append(r.Notes, "A spoiled pull wears the mold like any other and is counted.")
	}
	r.Actions = append(r.Actions,
		chat.Action{Label: "Take it back", Line: moldLine("undo", m, nil)},
		chat.Action{Label: "How long will it last?", Line: moldLine("life", m, nil)})
	return r, nil
}

// whosePull asks whether a pull is that of a pour under way, which counts one
// itself once it is done; nil where there is none.
func (d moldCommand) whosePull(ctx context.Context, c *chat.Call, m shop.Mold, good bool) (*chat.Reply, error) {
	const looked, asked = 200, 3
	running, err := d.Pours.Running(ctx, c.By, looked)
	if err != nil {
		return nil, fmt.Errorf("list running pours: %w", err)
	}
	r := &chat.Reply{Title: fmt.Sprintf("Is that the pour under way in %s? Nothing is counted yet", m.Name)}
	for _, p := range slices.Backward(running) { // the newest first
		i := slices.IndexFunc(p.InMolds(), func(f shop.Fill) bool { return f.Mold == m.ID })
		if i < 0 || !library.OpenPour(p, c.At) || !c.By.MayChange(p.Record) || !c.By.MayChange(m.Record) || len(r.Actions) == asked {
			continue
		}
		ref := chat.Ref(p.ID, 0)
		more := map[string]string{}
		if !good {
			more["spoiled"] = fmt.Sprint(p.InMolds()[i].Count)
			if c.Text("why") != "" {
				more["why"] = c.Text("why")
			}
			if len(p.Fills) > 1 {
				more["spoiled_in"] = chat.Ref(m.ID, 0)
			}
		}
		r.Facts = append(r.Facts, chat.Fact{Key: "pour", Label: ref + " " + library.PourName(p), Value: ref, Text: standing(c, p)})
		r.Actions = append(r.Actions, chat.Action{Label: "Yes, that pour: done", Line: pourLine("done", p, more)})
		if len(p.Fills) > 1 {
			r.Notes = append(r.Notes, fmt.Sprintf("Pour %s filled %s: done counts a pull of each.", ref, library.List(fillNames(p.Fills))))
		}
	}
	if len(r.Actions) == 0 {
		return nil, nil
	}
	if len(r.Actions) > 1 {
		for i, f := range r.Facts {
			r.Actions[i].Label = fmt.Sprintf("Yes, pour %s: done", f.Value)
		}
	}
	alone := map[string]string{"result": shop.MarkGood, "alone": "yes"}
	if !good {
		alone["result"] = shop.MarkSpoiled
	}
	if c.Text("why") != "" {
		alone["why"] = c.Text("why")
	}
	r.Actions = append(r.Actions, chat.Action{Label: "No, count the pull alone", Line: moldLine("pull", m, alone)})
	r.Notes = append(r.Notes, "A pour counts its pull when it is done, so that none is counted twice.")
	return r, nil
}

// fewPulls are too few to tell a share of good ones from (judgement).
const fewPulls = 3

func goodRate(m shop.Mold) chat.Fact {
	rate := moldcare.GoodRate(m.Tally.Good, m.Tally.Good+m.Tally.Spoiled)
	return chat.Share("good_rate", "Good ones", rate.Mid).Between(rate.Low, rate.High).
		Says(fmt.Sprintf("%d of %d, so %s to %s in the long run", m.Tally.Good, m.Tally.Good+m.Tally.Spoiled, quantity.Percent(rate.Low), quantity.Percent(rate.High)))
}

func (d moldCommand) release(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := d.library.Mold(ctx, c, "mold", library.Offer)
	if err != nil {
		return nil, err
	}
	wait := moldcare.Wait()
	ready := after(c.At, wait.Mid)
	m, call, err := d.coat(ctx, c, m, ready)
	if err != nil {
		return nil, err
	}
	r := &chat.Reply{
		Title: fmt.Sprintf("Release coat on %s, at %s. Fill it from %s", m.Name, pullsOf(m.PullsSoFar()), clock(c, ready)),
		Facts: append(moldCounts(m),
			chat.Num("wait", "Let it sit", wait.Mid, quantity.Time, c.By.System()).Between(wait.Low, wait.High).Says(timeSpan(wait, c.By.System())),
			chat.Fact{Key: "ready_at", Label: "Wipe and fill from", Value: ready.UTC().Format(time.RFC3339), Text: clock(c, ready)}),
		Steps: []string{
			"Spread it thin into every corner with a soft brush.",
			fmt.Sprintf("Let it sit until %s, an hour or as its label says.", clock(c, ready)),
			"Wipe off what has not gone in: what is left shows on the cast and spoils paint.",
			"Pour.",
		},
		Notes:    []string{"The wait is common practice, no source; the label of the release wins."},
		Cautions: chat.Cautions(caution.For(caution.Situation{Step: caution.Releasing, Family: moldcare.Family(m.Family).Material(), Text: m.Notes})),
		Actions:  []chat.Action{{Label: "Take it back", Line: moldLine("undo", m, nil)}},
	}
	if call.ID == 0 {
		r.Notes = append(r.Notes, "You have as many reminders as can be kept, so none was set for it.")
		return r, nil
	}
	r.Notes = append(r.Notes, fmt.Sprintf("You will be called at %s to wipe it.", clock(c, ready)))
	r.Actions = append(r.Actions, chat.Action{Label: "Don't call me", Line: dueLine("cancel", call)})
	return r, nil
}

// coat keeps a release coat and the call to wipe it. Where no more calls can be
// kept, the coat is kept without.
func (d moldCommand) coat(ctx context.Context, c *chat.Call, m shop.Mold, ready time.Time) (coated shop.Mold, call shop.Due, err error) {
	plan := shop.DuePlan{About: wipe(m), First: ready, Zone: c.By.Zone().String(), Place: placeFor(c)}
	err = d.Together.Together(ctx, func(b shop.Books) (err error) {
		if coated, err = b.Pulls.CoatMold(ctx, c.Stamp(), m.ID); err != nil {
			return err
		}
		call, err = b.Dues.AddDue(ctx, c.Stamp(), shop.Due{At: ready, DuePlan: plan})
		return err
	})
	if fault.Is(err, fault.LimitReached) {
		call = shop.Due{}
		coated, err = d.Pulls.CoatMold(ctx, c.Stamp(), m.ID)
	}
	if err != nil {
		return m, call, fmt.Errorf("keep a release coat: %w", err)
	}
	return coated, call, nil
}

// wipe is what a member is called for once a release coat has sat.
func wipe(m shop.Mold) string {
	return fault.Clip("Wipe "+m.Name+": its release coat has sat. Then it can be filled", 200)
}

func (d moldCommand) undo(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := d.library.Mold(ctx, c, "mold", library.Offer)
	if err != nil {
		return nil, err
	}
	var mark shop.MoldMark
	err = d.Together.Together(ctx, func(b shop.Books) (err error) {
		if m, mark, err = b.Pulls.UndoMark(ctx, c.Stamp(), m.ID); err != nil || mark.What != shop.MarkCoat {
			return err
		}
		return uncall(ctx, c, b.Dues, wipe(m), after(mark.At, moldcare.Wait().Mid))
	})
	if err != nil {
		return nil, fmt.Errorf("take a mark back: %w", err)
	}
	return &chat.Reply{Title: fmt.Sprintf("Taken back: %s of %s", markText(mark), m.Name), Facts: moldCounts(m)}, nil
}

// uncall takes back the call that a release coat made, if it is still to come.
func uncall(ctx context.Context, c *chat.Call, dues shop.Dues, about string, at time.Time) error {
	const looked = 500 // above what is kept of one member
	all, err := dues.Dues(ctx, c.By, looked)
	if err != nil {
		return fmt.Errorf("list dues: %w", err)
	}
	for _, due := range all {
		// A mark is kept to the millisecond, what a call says of itself as it was.
		if due.About == about && due.First.Truncate(time.Millisecond).Equal(at) && due.State == shop.DuePending {
			if _, err := dues.CancelDue(ctx, c.Stamp(), due.ID); err != nil {
				return fmt.Errorf("cancel the call of a coat: %w", err)
			}
		}
	}
	return nil
}

// markText is an entry of the log in words.
func markText(m shop.MoldMark) string {
	if m.What == shop.MarkCoat {
		return fmt.Sprintf("the release coat at %s", pullsOf(m.Number))
	}
	return fmt.Sprintf("pull %d, %s", m.Number, m.What)
}

func (d moldCommand) retire(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := d.library.Mold(ctx, c, "mold", library.Offer)
	if err != nil {
		return nil, err
	}
	p := m.MoldProfile
	p.Retired, p.RetiredNote = c.Text("why"), c.Text("note")
	if m, err = d.Molds.EditMold(ctx, c.Stamp(), m.ID, m.Version, p); err != nil {
		return nil, fmt.Errorf("retire a mold: %w", err)
	}
	r := &chat.Reply{
		Title: fmt.Sprintf("%s is retired after %s: %s", m.Name, pullsOf(m.PullsSoFar()), m.Retired),
		Facts: moldCounts(m)[:1],
		Notes: []string{"It is known to have lasted that long, and not that it would have failed then: the next estimate takes it so."},
		Actions: []chat.Action{
			{Label: "Put it back in use", Line: moldLine("edit", m, map[string]string{"clear": "retired"})},
			{Label: "How long do such molds last?", Line: moldLine("life", m, nil)},
		},
	}
	if moldcare.Fails(m.Retired) {
		r.Notes = []string{"Its end teaches how long such molds last: yours, and by half those of others if it is shared."}
	}
	return r, nil
}
