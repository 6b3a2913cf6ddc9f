package commands

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/forecast"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/part"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

func init() { register("pour", newPour) }

type pourCommand struct{ deps }

// coatsMost is how many coats a part is built in at most (judgement).
const coatsMost = 20

func newPour(d deps) chat.Command {
	p := pourCommand{d}
	which := chat.Option{Name: "pour", Help: "its number; may be left out while one is running", Like: "#12", Suggest: library.SuggestPour(d.Pours)}
	share := chat.Option{Name: "share", Kind: chat.YesNo, Help: "yes lets it count, by half, for others of this shop"}
	one := []chat.Option{which}
	saw := slices.Concat([]chat.Option{which}, library.SeenOptions, []chat.Option{share})
	return chat.Command{
		Name:  "pour",
		Help:  "keep a pour's clock, be called when it is ready, and count what came out",
		About: "A pour keeps the forecast it began with and calls you once, when it should be ready and cool. What you find at it, ready or still soft, narrows the next forecast for that material: your own pours first, and those that others share with the shop by half. Done counts a pull of each mold. What you saw earlier is told with ago or at. All of it can be taken back for ten minutes. Nobody else sees a pour unless you show it.",
		Asks: []chat.Ask{
			{Question: "I am mixing now. When may I look?", Line: `/pour start material:"demo rigid white" mold:"harbor pawn"`},
			{Question: "I brush it in three coats. When does the next one go on?", Line: `/pour start material:"demo flexible amber" thickness:"6 mm" coats:3`},
			{Question: "What is curing right now?", Line: `/pour list`},
		},
		Subs: []chat.Sub{
			{Name: "start", Help: "start its clock as A meets B", Writes: true, Computes: true, Run: p.start, Options: p.startOptions(),
				Forms: []chat.Form{{Title: "A pour", Options: []string{"material", "mold", "tint", "temp", "count"}}}},
			{Name: "list", Help: "your pours and those the shop shows, with what each is going through", Run: p.list},
			{Name: "show", Help: "where a pour stands", Computes: true, Options: one, Run: p.show},
			{Name: "ready", Help: "it is ready to come out", Options: saw, Writes: true, Run: p.ready,
				Forms: []chat.Form{{Name: "earlier", Title: "When did you first see it ready?", Pressed: true, Options: []string{"ago", "at"}}}},
			{Name: "soft", Help: "it is still soft", Options: saw, Writes: true, Run: p.soft},
			{Name: "done", Help: "it is out: count a pull of each mold, all parts good if you say no more", Writes: true, Run: p.done,
				Forms: []chat.Form{{Name: "spoiled", Title: "What was spoiled?", Pressed: true, Options: []string{"spoiled", "why", "spoiled_in"}}},
				Options: slices.Concat([]chat.Option{which,
					{Name: "good", Help: "parts that came out well; the rest was spoiled", Kind: chat.Count, Zero: true, Like: "5"},
					{Name: "spoiled", Help: "parts that did not; the rest was good", Kind: chat.Count, Zero: true, Like: "1"},
					{Name: "why", Help: "what spoiled them, for the record", Like: "bubbles at the crown"},
					{Name: "spoiled_in", Help: "of several molds, those with the spoiled parts", Like: "harbor pawn 2", Suggest: d.library.SuggestMolds},
				}, library.SeenOptions)},
			{Name: "fail", Help: "it never set: nothing is counted", Writes: true, Run: p.fail,
				Options: []chat.Option{which, {Name: "why", Help: "what you think it was, for the record", Like: "B was short"}}},
			{Name: "coat", Help: "the next coat is on: start its clock", Options: one, Writes: true, Run: p.coat},
			{Name: "note", Help: "keep a note or the link of a photo with a pour", Writes: true, Run: p.note,
				Forms: []chat.Form{{Title: "A note", Options: []string{"text", "photo"}}},
				Options: []chat.Option{which,
					{Name: "text", Help: "what to remember of it", Like: "stirred 30 s, 48 % humidity", Length: 500, Long: true},
					{Name: "photo", Help: "the https link of a photo", Like: "https://example.org/pawns.jpg", Length: 500},
				}},
			{Name: "share", Help: "let the members of the shop see that it runs", Options: one, Writes: true, Run: p.share},
			{Name: "unshare", Help: "keep it to yourself", Options: one, Writes: true, Run: p.unshare},
			{Name: "undo", Help: "take the last answer, end, coat or note back, within ten minutes", Options: one, Writes: true, Run: p.undo},
			{Name: "cancel", Help: "a pour that never was: it and its answers do not count", Options: one, Writes: true, Run: p.cancel},
		},
	}
}

func (p pourCommand) startOptions() []chat.Option {
	return slices.Concat([]chat.Option{
		{Name: "material", Help: "what you poured", Like: "demo rigid white", Required: true, Suggest: p.library.SuggestMaterial},
		{Name: "mold", Help: "into a mold of yours or the shop's", Like: "harbor pawn", Suggest: p.library.SuggestMold},
		{Name: "molds", Help: "or into several from one batch", Like: "harbor pawn, harbor pawn 2", Length: 500, Suggest: p.library.SuggestMolds},
		{Name: "volume", Help: "or what one part takes", Like: "250 ml", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Volume}},
		{Name: "file", Help: "or a 3-D file of the part", Kind: chat.Attachment},
		forecast.Thickness, forecast.Thinnest, forecast.WallOf,
	}, forecast.Temps, []chat.Option{
		{Name: "count", Help: "parts poured, all cavities if left out", Like: "6", Kind: chat.Count},
		{Name: "tint", Help: "each tint with its amount: percent of the mix, grams or drops", Like: "brick red 0.5%", Suggest: p.library.SuggestTints},
		{Name: "filler", Help: "dry filler in parts per hundred of resin: it takes the place of some of it", Like: "microspheres 20 phr", Suggest: suggestFiller},
		{Name: "mixed", Help: "what you weighed out, A and B together without filler and tint; reckoned if left out", Like: "132 g", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Mass}},
		{Name: "coats", Help: "brushed or slushed in so many coats; thickness is that of all of them", Like: "3", Kind: chat.Count, Min: 1, Max: coatsMost},
		{Name: "where", Help: "where it stands, to find it again", Like: "shelf by the window", Length: 100},
		{Name: "share", Help: "yes lets the members of this shop see that it runs", Kind: chat.YesNo},
		{Name: "sure", Help: "yes starts it though the stock has not enough, or is past its date", Kind: chat.YesNo},
	}, part.Options)
}

// pourLine is a command about a pour.
func pourLine(sub string, p shop.Pour, more map[string]string) string {
	options := map[string]string{"pour": chat.Ref(p.ID, 0)}
	for k, v := range more {
		options[k] = v
	}
	return chat.FormatLine("pour "+sub, options, []string{"pour"})
}

func (p pourCommand) list(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	const most = 25
	own, err := p.Pours.Pours(ctx, c.By, most)
	if err != nil {
		return nil, fmt.Errorf("list pours: %w", err)
	}
	seen, err := p.Pours.Running(ctx, c.By, most)
	if err != nil {
		return nil, fmt.Errorf("list running pours: %w", err)
	}
	r := &chat.Reply{}
	running, others := 0, 0
	for _, pour := range own {
		if pour.State == shop.PourRunning {
			running++
		}
		p.listed(c, r, pour, "")
	}
	for _, pour := range seen {
		if pour.Owner != c.By.Member.ID {
			others++
			p.listed(c, r, pour, ", "+pour.OwnerOf)
		}
	}
	r.Title = listTitle(running, others)
	if running == 0 {
		r.Notes = []string{"/pour start begins one."}
	}
	return r, nil
}

func listTitle(running, others int) string {
	shown := quantity.Count(others, "pour", "pours") + " that others show here"
	switch {
	case running == 0 && others > 0:
		return "None of yours is under way, but " + shown
	case running == 0:
		return "No pour is under way"
	case others > 0:
		return quantity.Count(running, "pour", "pours") + " under way, and " + shown
	}
	return quantity.Count(running, "pour", "pours") + " under way"
}

// listed adds a pour to a list, with a button for the first few.
func (p pourCommand) listed(c *chat.Call, r *chat.Reply, pour shop.Pour, whose string) {
	const buttons = 5
	name := chat.Ref(pour.ID, 0) + " " + library.PourName(pour) + whose
	r.Facts = append(r.Facts, chat.Fact{Key: "pour", Label: name, Value: chat.Ref(pour.ID, 0), Text: standing(c, pour)})
	if len(r.Actions) < buttons {
		r.Actions = append(r.Actions, chat.Action{Label: name, Line: pourLine("show", pour, nil)})
	}
}

// standing is where a pour stands, in a line: "try it until 10:20, started 09:30".
func standing(c *chat.Call, pour shop.Pour) string {
	phase := library.PhaseOf(pour, c.At)
	switch pour.State {
	case shop.PourRunning:
		text := phase.Name + untilText(c, phase) + ", started " + clock(c, pour.Started)
		if d := pour.Foreseen.Demold; d.High > 0 && pour.CoatsOn >= pour.Coats {
			text += ", out " + between(c, pour.CoatedAt(), d)
		}
		return text + placeText(pour)
	case shop.PourReady:
		return "ready since " + clock(c, pour.Ended) + placeText(pour)
	case shop.PourDone:
		return "done at " + clock(c, pour.Ended) + ", " + outcome(pour.Good, pour.Spoiled)
	}
	return string(pour.State) + " at " + clock(c, pour.Ended)
}

func untilText(c *chat.Call, phase library.Phase) string {
	left := phase.Until.Sub(c.At)
	switch {
	case phase.Until.IsZero():
		return ""
	case left < 2*time.Minute && c.Public: // a card that stands there for a while
		return " until " + c.Clock(phase.Until.In(c.By.Zone()).Format("15:04:05"), phase.Until)
	case left < 2*time.Minute: // the clock shows whole minutes
		return " for " + quantity.Text(math.Ceil(left.Seconds()/5)*5, quantity.Time, c.By.System())
	}
	return " until " + clock(c, phase.Until)
}

func placeText(pour shop.Pour) string {
	if pour.Where == "" {
		return ""
	}
	return ", " + pour.Where
}

// undoable reports that the last entry of a pour's log can be taken back.
func undoable(c *chat.Call, p shop.Pour) bool {
	return len(p.Log) > 0 && !p.Log[len(p.Log)-1].At.Before(c.At.Add(-shop.TakeBackTime))
}

func after(from time.Time, s float64) time.Time {
	return from.Add(time.Duration(math.Round(s)) * time.Second)
}
