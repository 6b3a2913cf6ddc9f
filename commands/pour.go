package commands

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/forecast"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/part"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

func init() { register("pour", newPour) }

type pourCommand struct{ deps }

func newPour(d deps) chat.Command {
	p := pourCommand{d}
	which := chat.Option{Name: "pour", Help: "its number; may be left out while one is running", Like: "#12", Suggest: library.SuggestPour(d.Pours)}
	share := chat.Option{Name: "share", Kind: chat.YesNo, Help: "yes lets it count, by half, for others of this shop"}
	return chat.Command{
		Name:  "pour",
		Help:  "keep a pour's clock, and say when it was ready: that teaches /cure",
		About: "A pour keeps the forecast it began with. What you find at it, ready or still soft, narrows the next forecast for that material: your own pours first, and those that others share with the shop by half. An answer can be taken back for ten minutes.",
		Asks: []chat.Ask{
			{Question: "I just poured. When may I look?", Line: `/pour start material:"demo rigid white" mold:"harbor pawn"`},
			{Question: "What is curing right now?", Line: `/pour list`},
		},
		Subs: []chat.Sub{
			{Name: "start", Help: "it is in the mold: start its clock", Writes: true, Run: p.start,
				Forms: []chat.Form{{Title: "A pour", Options: []string{"material", "mold", "temp", "count"}}},
				Options: slices.Concat([]chat.Option{
					{Name: "material", Help: "what you poured", Like: "demo rigid white", Required: true, Suggest: d.library.SuggestMaterial},
					{Name: "mold", Help: "into a mold of yours or the shop's", Like: "harbor pawn", Suggest: d.library.SuggestMold},
					{Name: "volume", Help: "or what one part takes", Like: "250 ml", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Volume}},
					{Name: "file", Help: "or a 3-D file of the part", Kind: chat.Attachment},
					forecast.Thickness, forecast.Thinnest, forecast.WallOf,
				}, forecast.Temps, []chat.Option{
					{Name: "count", Help: "parts poured, all cavities if left out", Like: "6", Kind: chat.Count},
				}, part.Options)},
			{Name: "list", Help: "your pours, those under way first", Run: p.list},
			{Name: "show", Help: "where a pour stands", Options: []chat.Option{which}, Run: p.show},
			{Name: "ready", Help: "it is ready to come out", Options: []chat.Option{which, share}, Writes: true, Run: p.ready},
			{Name: "soft", Help: "it is still soft", Options: []chat.Option{which, share}, Writes: true, Run: p.soft},
			{Name: "undo", Help: "take the last answer back, within ten minutes", Options: []chat.Option{which}, Writes: true, Run: p.undo},
			{Name: "cancel", Help: "a pour that never was: it and its answers do not count", Options: []chat.Option{which}, Writes: true, Run: p.cancel},
		},
	}
}

func (p pourCommand) start(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := p.library.Material(ctx, c, "material", library.Offer)
	if err != nil {
		return nil, err
	}
	if err := oneTarget(c); err != nil {
		return nil, err
	}
	if err := forecast.Reaches(m.Profile); err != nil {
		return nil, err
	}
	site, err := p.cures.Section(ctx, c, m)
	if err != nil {
		return nil, err
	}
	f, err := p.cures.Estimate(ctx, c, m, site.Setup)
	if err != nil {
		return nil, forecast.Blame(c, err)
	}
	pour := planned(c, m, &site, &f)
	var begun shop.Pour
	err = p.Together.Together(ctx, func(books shop.Books) error {
		if begun, err = books.Pours.StartPour(ctx, c.Stamp(), pour); err != nil {
			return fmt.Errorf("start a pour: %w", err)
		}
		return call(ctx, c, books.Dues, begun)
	})
	if err != nil {
		return nil, err
	}
	return p.begun(c, m, site, f, begun), nil
}

// call makes the one call that a pour is due: when it is ready and cool, nine
// times in ten, or at even odds where its member chose that.
func call(ctx context.Context, c *chat.Call, dues shop.Dues, pour shop.Pour) error {
	about, in := "Ready to come out: ", pour.Foreseen.Remind
	if c.By.Member.Pref.Ready == "p50" && pour.Foreseen.Demold.Mid > 0 {
		about, in = "Worth a look: ", pour.Foreseen.Demold.Mid
	}
	if in <= 0 {
		return nil // nothing is foreseen of it
	}
	at := after(pour.Started, in)
	_, err := dues.AddDue(ctx, c.Stamp(), shop.Due{At: at, Pour: pour.ID, DuePlan: shop.DuePlan{
		About: cut(about+library.PourName(pour), 200), First: at, Zone: c.By.Zone().String(), Place: placeFor(c)}})
	if err != nil {
		return fmt.Errorf("add the call of a pour: %w", err)
	}
	return nil
}

// What is still soft is looked at again after a quarter of the time it has had,
// within these bounds: common practice, no source.
const (
	softShare   = 4
	softLeast   = 10 * time.Minute
	softMost    = 24 * time.Hour
	callsLooked = 200 // as many as a member has
)

// callAgain makes sure that a pour found soft is called for again, and gives
// when.
func callAgain(ctx context.Context, c *chat.Call, dues shop.Dues, pour shop.Pour) (time.Time, error) {
	coming, err := dues.Dues(ctx, c.By, callsLooked)
	if err != nil {
		return time.Time{}, fmt.Errorf("list dues: %w", err)
	}
	for _, d := range coming {
		if d.Pour == pour.ID && d.At.After(c.At) {
			return d.At, nil
		}
	}
	at := c.At.Add(min(max(c.At.Sub(pour.Started)/softShare, softLeast), softMost).Round(time.Second))
	_, err = dues.AddDue(ctx, c.Stamp(), shop.Due{At: at, Pour: pour.ID, DuePlan: shop.DuePlan{
		About: cut("Look again: "+library.PourName(pour), 200), First: at, Zone: c.By.Zone().String(), Place: placeFor(c)}})
	if err != nil {
		return time.Time{}, fmt.Errorf("add another call of a pour: %w", err)
	}
	return at, nil
}

// oneTarget wants a mold, or a file, or a volume or thickness or both.
func oneTarget(c *chat.Call) error {
	loose := c.Has("volume") || c.Has("thickness")
	switch {
	case c.Has("mold") && (loose || c.Has("file")):
		return fault.New(fault.TooManyOptions, "a stored mold has its own volume and sections").In("mold").
			Hint("keep mold, or file, or volume and thickness")
	case c.Has("file") && loose:
		return fault.New(fault.TooManyOptions, "a file has its own volume and sections").In("file").
			Hint("keep file, or volume and thickness")
	case !c.Has("mold") && !c.Has("file") && !loose:
		return fault.New(fault.MissingOption, "what was it poured into?").In("mold").
			Hint(`give mold:"harbor pawn", or thickness:"12 mm" with volume:"250 ml" if you like`)
	}
	return nil
}

// planned is what is kept of a pour as it begins.
func planned(c *chat.Call, m shop.Material, site *forecast.Site, f *forecast.Forecast) shop.Pour {
	s := site.Setup
	pour := shop.Pour{MaterialID: m.ID, MaterialVersion: m.Version, PourPlan: shop.PourPlan{
		Material: m.Name, Thickest: s.Thickest, Thinnest: s.Thinnest, Room: s.Room, Resin: s.Resin, MoldTemp: s.Mold,
		Count: c.Count("count", 1), Volume: c.Value("volume", s.Volume),
		Foreseen: shop.Foreseen{PotLife: f.PotLife, Gel: f.Gel, Demold: f.Title, Cool: f.Cool, Peak: f.Peak, Physics: f.Physics, Remind: f.Remind},
	}}
	if mold := site.Mold; mold != nil {
		pour.MoldID, pour.Mold, pour.Volume = mold.ID, mold.Name, mold.Volume
		pour.Count = c.Count("count", mold.Cavities)
		if pour.Count > mold.Cavities {
			site.Notes = append(site.Notes, fmt.Sprintf("%d parts are %s; this clock is the first one's: start one for each.",
				pour.Count, fillsOf((pour.Count+mold.Cavities-1)/mold.Cavities, mold.Cavities)))
			pour.Count = mold.Cavities
		}
	}
	if rho, ok := m.Mixed(); ok {
		pour.Mass = pour.Volume * float64(pour.Count) * rho.Value
	}
	if site.Guessed || f.Has(cure.NoModel) {
		pour.Foreseen.Physics = 0 // its answers can't be held against the model
	}
	if site.Guessed {
		pour.Thickest, pour.Foreseen.Peak = 0, quantity.Range{}
	}
	return pour
}

func (p pourCommand) begun(c *chat.Call, m shop.Material, site forecast.Site, f forecast.Forecast, pour shop.Pour) *chat.Reply {
	r := &chat.Reply{
		Title:   fmt.Sprintf("Poured at %s: %s", clock(c, pour.Started), library.PourName(pour)),
		Facts:   pourFacts(c, pour),
		Actions: pourActions(pour),
	}
	if d := pour.Foreseen.Demold; d.High > 0 {
		r.Title += ". Out " + between(c, pour.Started, d)
	}
	for _, remark := range f.Remarks {
		if pressing[remark.Flag] && (!site.Guessed || remark.Flag == cure.TooCold || remark.Flag == cure.Moist) {
			r.Notes = append(r.Notes, remark.Text)
		}
	}
	r.Notes = append(r.Notes, site.Notes...)
	if text := f.Learned.Text(); text != "" {
		r.Notes = append(r.Notes, text)
	}
	teaches := ""
	if pour.Foreseen.Physics > 0 {
		teaches = ": that narrows the next forecast"
	}
	r.Notes = append(r.Notes, fmt.Sprintf("It is pour %s. Look when it may be ready and say so, ready or still soft%s.", library.Ref(pour.ID, 0), teaches))
	r.Cautions = chat.Cautions(caution.For(caution.Situation{
		Step: caution.Mixing, Family: m.Family, Mass: site.Setup.Mass, MaxMass: m.MaxMass, Section: pour.Thickest, MaxDepth: m.MaxDepth, Text: m.Notes,
	}))
	return r
}

// clock is an instant as the reader's clock shows it; the day is told where it
// is another one than that of the call.
func clock(c *chat.Call, at time.Time) string {
	at = at.In(c.By.Zone())
	if y, m, d := c.At.In(c.By.Zone()).Date(); at.Year() == y && at.Month() == m && at.Day() == d {
		return at.Format("15:04")
	}
	return at.Format("Mon 2 Jan 15:04")
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

func after(from time.Time, s float64) time.Time {
	return from.Add(time.Duration(math.Round(s)) * time.Second)
}

// pourFacts are the clocks of a pour, each as a time since it began and on the
// reader's clock.
func pourFacts(c *chat.Call, p shop.Pour) []chat.Fact {
	sys := c.By.System()
	instant := func(key, label string, at time.Time) chat.Fact {
		return chat.Fact{Key: key, Label: label, Value: at.UTC().Format(time.RFC3339), Text: clock(c, at)}
	}
	facts := []chat.Fact{instant("started", "Poured", p.Started)}
	span := func(key, label string, r quantity.Range) {
		if r.High > 0 {
			facts = append(facts, chat.Num(key, label, r.Mid, quantity.Time, sys).Between(r.Low, r.High).
				Says(timeSpan(r, sys)+", "+between(c, p.Started, r)))
		}
	}
	f := p.Foreseen
	span("demold", "Ready to demold", f.Demold)
	if f.Peak.High == 0 || f.Peak.High > cure.CoolFace {
		span("cool", "Cool to handle", f.Cool)
	}
	span("pot_life", "Pot life", f.PotLife)
	if f.Peak.High > 0 {
		facts = append(facts, chat.Num("peak_temp", "Hottest inside", f.Peak.Mid, quantity.Temp, sys).Between(f.Peak.Low, f.Peak.High).Says(tempSpan(f.Peak, sys)))
	}
	if f.Remind > 0 {
		facts = append(facts, instant("ready_at", "Ready and cool by", after(p.Started, f.Remind)).
			Says(clock(c, after(p.Started, cure.RoundOut(quantity.Exactly(f.Remind)).High))))
	}
	if p.Mass > 0 {
		facts = append(facts, chat.Num("mass_total", "In the mold", p.Mass, quantity.Mass, sys))
	}
	return append(facts, chat.Fact{Key: "pour", Label: "Number", Value: library.Ref(p.ID, 0), Text: library.Ref(p.ID, 0)},
		chat.Fact{Key: "state", Label: "It is", Value: string(p.State), Text: string(p.State)})
}

// pourActions are the answers that a pour still takes.
func pourActions(p shop.Pour) []chat.Action {
	line := func(sub string, more ...string) string {
		options := map[string]string{"pour": library.Ref(p.ID, 0)}
		for _, o := range more {
			options[o] = "yes"
		}
		return chat.FormatLine("pour "+sub, options, []string{"pour"})
	}
	switch p.State {
	case shop.PourRunning:
		actions := []chat.Action{{Label: "Ready", Line: line("ready")}, {Label: "Still soft", Line: line("soft")}}
		if len(p.Answers) > 0 {
			return append(actions, chat.Action{Label: "Undo", Line: line("undo")})
		}
		return append(actions, chat.Action{Label: "Never happened", Line: line("cancel")})
	case shop.PourReady:
		actions := []chat.Action{{Label: "Undo", Line: line("undo")}}
		if len(p.Answers) > 0 && !p.Answers[len(p.Answers)-1].Shared && p.Foreseen.Physics > 0 {
			actions = append(actions, chat.Action{Label: "Share with shop", Line: line("ready", "share")})
		}
		return actions
	}
	return nil
}

func (p pourCommand) list(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	const most = 25
	all, err := p.Pours.Pours(ctx, c.By, most)
	if err != nil {
		return nil, fmt.Errorf("list pours: %w", err)
	}
	r := &chat.Reply{Title: "No pour is under way"}
	running := 0
	for _, pour := range all {
		text := string(pour.State)
		if pour.State == shop.PourRunning {
			running++
			text = "since " + clock(c, pour.Started)
			if d := pour.Foreseen.Demold; d.High > 0 {
				text += ", out " + between(c, pour.Started, d)
			}
		} else if pour.State == shop.PourReady {
			text = "ready since " + clock(c, pour.Ended)
		}
		r.Facts = append(r.Facts, chat.Fact{Key: "pour", Label: library.Ref(pour.ID, 0) + " " + library.PourName(pour), Value: library.Ref(pour.ID, 0), Text: text})
		if len(r.Actions) < 5 {
			r.Actions = append(r.Actions, chat.Action{Label: library.Ref(pour.ID, 0) + " " + library.PourName(pour),
				Line: chat.FormatLine("pour show", map[string]string{"pour": library.Ref(pour.ID, 0)}, nil)})
		}
	}
	switch running {
	case 0:
		r.Notes = []string{"/pour start begins one."}
	case 1:
		r.Title = "1 pour under way"
	default:
		r.Title = fmt.Sprintf("%d pours under way", running)
	}
	return r, nil
}

func (p pourCommand) show(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	pour, err := library.Pour(ctx, c, p.Pours, "pour")
	if err != nil {
		return nil, err
	}
	r := &chat.Reply{Title: library.PourName(pour) + ", poured at " + clock(c, pour.Started), Facts: pourFacts(c, pour), Actions: pourActions(pour)}
	for _, a := range pour.Answers {
		r.Notes = append(r.Notes, capital(found(c, a))+".")
	}
	if pour.State == shop.PourRunning && pour.Foreseen.Remind > 0 && c.At.After(after(pour.Started, pour.Foreseen.Remind)) {
		r.Notes = append(r.Notes, "Nine in ten are ready by now. Touch the sprue and say what you find.")
	}
	return r, nil
}

// found is an answer in words.
func found(c *chat.Call, a shop.Answer) string {
	if a.ReadyBy > 0 {
		return "ready after " + quantity.Text(a.ReadyBy, quantity.Time, c.By.System())
	}
	return "still soft after " + quantity.Text(a.SoftAt, quantity.Time, c.By.System())
}

func (p pourCommand) ready(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	return p.answer(ctx, c, true)
}

func (p pourCommand) soft(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	return p.answer(ctx, c, false)
}

func (p pourCommand) answer(ctx context.Context, c *chat.Call, ready bool) (*chat.Reply, error) {
	pour, err := library.Pour(ctx, c, p.Pours, "pour")
	if err != nil {
		return nil, err
	}
	before := pour.State
	var next time.Time
	err = p.Together.Together(ctx, func(books shop.Books) error {
		if pour, err = books.PourLog.AnswerPour(ctx, c.Stamp(), pour.ID, ready, c.Yes("share", false)); err != nil {
			return fmt.Errorf("answer a pour: %w", err)
		}
		if !ready {
			next, err = callAgain(ctx, c, books.Dues, pour)
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	last := pour.Answers[len(pour.Answers)-1]
	r := &chat.Reply{Title: capital(found(c, last)) + ": " + library.PourName(pour), Actions: pourActions(pour)}
	r.Facts = append(r.Facts, chat.Num("after", "Since the pour", last.ReadyBy+last.SoftAt, quantity.Time, c.By.System()))
	if d := pour.Foreseen.Demold; d.High > 0 {
		r.Facts = append(r.Facts, chat.Num("demold", "It was foreseen", d.Mid, quantity.Time, c.By.System()).Between(d.Low, d.High).Says(timeSpan(d, c.By.System())))
	}
	switch f := pour.Foreseen; {
	case before == shop.PourReady:
		r.Notes = append(r.Notes, "Shared with the shop: it counts, by half, for others who use this material here.")
	case ready && f.Peak.High > cure.CoolFace && last.ReadyBy < f.Cool.High:
		r.Notes = append(r.Notes, fmt.Sprintf("It may be hot until %s: it burns fingers, and it warps if it comes out hot.", clock(c, after(pour.Started, cure.RoundOut(f.Cool).High))))
	case !ready && f.Demold.High > 0 && last.SoftAt > f.Demold.High:
		r.Notes = append(r.Notes, "Nine pours in ten are ready by now. A cold room, thin places, and A and B off their ratio are the usual reasons.")
	case !ready && f.Demold.High > 0:
		r.Notes = append(r.Notes, fmt.Sprintf("Nine in ten are ready by %s.", clock(c, after(pour.Started, cure.RoundOut(f.Demold).High))))
	}
	if ready {
		r.Cautions = chat.Cautions(caution.For(caution.Situation{Step: caution.Demolding}))
	} else {
		r.Notes = append(r.Notes, fmt.Sprintf("You will be called at %s.", clock(c, next)))
	}
	return r, p.learned(ctx, c, pour, r)
}

// learned adds to a reply what the material's pours taught by now.
func (p pourCommand) learned(ctx context.Context, c *chat.Call, pour shop.Pour, r *chat.Reply) error {
	if pour.Foreseen.Physics == 0 {
		r.Notes = append(r.Notes, "The section of this pour is not known, or its chemistry is not in the model, so what you found can't narrow a forecast.")
		return nil
	}
	if pour.MaterialID == 0 {
		return nil
	}
	m, err := p.Materials.Material(ctx, c.By, pour.MaterialID, 0)
	if fault.As(err) != nil {
		return nil // removed, or not shared any more
	}
	if err != nil {
		return fmt.Errorf("fetch the material of a pour: %w", err)
	}
	lesson, err := p.cures.Lesson(ctx, c, m)
	if fault.As(err) != nil {
		return nil // its figures were changed beyond the model
	}
	if err != nil {
		return err
	}
	r.Facts = append(r.Facts, chat.Whole("logs_used", "Pours learned from", lesson.Pours(), fmt.Sprint(lesson.Pours())))
	if text := lesson.Text(); text != "" {
		r.Notes = append(r.Notes, m.Name+": "+text)
	}
	return nil
}

func (p pourCommand) undo(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	var id int64
	if c.Has("pour") {
		pour, err := library.Pour(ctx, c, p.Pours, "pour")
		if err != nil {
			return nil, err
		}
		id = pour.ID
	}
	pour, back, err := p.PourLog.TakeBack(ctx, c.Stamp(), id)
	if err != nil {
		return nil, fmt.Errorf("take an answer back: %w", err)
	}
	r := &chat.Reply{Title: "Taken back: " + back.What + ", " + library.PourName(pour), Actions: pourActions(pour)}
	return r, p.learned(ctx, c, pour, r)
}

func (p pourCommand) cancel(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	pour, err := library.Pour(ctx, c, p.Pours, "pour")
	if err != nil {
		return nil, err
	}
	had := len(pour.Answers)
	if pour, err = p.PourLog.EndPour(ctx, c.Stamp(), pour.ID, shop.PourEnd{State: shop.PourCanceled}); err != nil {
		return nil, fmt.Errorf("cancel a pour: %w", err)
	}
	r := &chat.Reply{Title: "Canceled: " + library.PourName(pour) + ", poured at " + clock(c, pour.Started)}
	if had > 0 {
		r.Notes = []string{"What was found at it does not count any more."}
	}
	return r, nil
}
