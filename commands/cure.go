package commands

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/forecast"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/part"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

func init() { register("cure", newCure) }

type cureCommand struct{ deps }

func newCure(d deps) chat.Command {
	cc := cureCommand{d}
	length := func(name, help, like string) chat.Option {
		return chat.Option{Name: name, Help: help, Like: like, Kind: chat.Measure, Dims: []quantity.Dim{quantity.Length}}
	}
	return chat.Command{
		Name:  "cure",
		Help:  "when can it come out? pot life, demold and peak temperature, as ranges",
		About: "The reaction heats itself: a thick section sets fast and hot, a thin one stays cool and takes longer, a cold room slows both. The times follow from heat and reaction, tuned to what the bulletin says and to what was found at your own pours. The bulletin and a touch on the sprue win.",
		Asks: []chat.Ask{
			{Question: "When can this come out of the mold?", Line: `/cure material:"demo rigid white" mold:"harbor pawn"`},
			{Question: "Will a thick pour get too hot?", Line: `/cure material:"demo casting epoxy" thickness:"40 mm"`},
			{Question: "How long do I have with this much in one cup?", Line: `/cure material:"demo rigid clear" mass:"400 g"`},
			{Question: "My room is cold. What does that do?", Line: `/cure material:"demo rigid white" thickness:"12 mm" thinnest:"4 mm" temp:"14 C"`},
		},
		Subs: []chat.Sub{{
			Help: "when it can come out of the mold, and how hot it gets", Computes: true, Run: cc.run,
			OneOf: [][]string{{"thickness", "mold", "file", "mass"}},
			Forms: []chat.Form{{Title: "When can it come out?", Options: []string{"material", "thickness", "thinnest", "wall", "temp"}}},
			Options: slices.Concat([]chat.Option{
				{Name: "material", Help: "what you pour", Like: "demo rigid white", Required: true, Suggest: d.library.SuggestMaterial},
				forecast.Thickness,
				{Name: "mold", Help: "a mold of yours or the shop's", Like: "harbor pawn", Suggest: d.library.SuggestMold},
				{Name: "file", Help: "a 3-D file of the part: STL, OBJ, 3MF or PLY", Kind: chat.Attachment},
				{Name: "mass", Help: "mix in a cup, in place of a part in a mold", Like: "150 g", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Mass}, Min: 1, Max: 20000},
				forecast.Thinnest,
				length("length", "of a plate, with width", "120 mm"),
				length("width", "of a plate, with length", "80 mm"),
				forecast.WallOf,
			}, forecast.Temps, []chat.Option{
				{Name: "post", Help: "a warm cure after demold, as the bulletin says", Like: "4 h at 65 C"},
			}, part.Options),
		}},
	}
}

func (cc cureCommand) run(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := cc.library.Material(ctx, c, "material", library.Offer)
	if err != nil {
		return nil, err
	}
	if err := forecast.Reaches(m.Profile); err != nil {
		return nil, err
	}
	site, err := cc.cures.Section(ctx, c, m)
	if err != nil {
		return nil, err
	}
	site.Setup.Lift = true
	if c.Has("post") {
		post, notes, err := forecast.ParsePost(c.Text("post"), c.By.System())
		if err != nil {
			return nil, err
		}
		site.Setup.Post = &post
		site.Notes = append(site.Notes, notes...)
	}
	f, err := cc.cures.Estimate(ctx, c, m, site.Setup)
	if err != nil {
		return nil, forecast.Blame(c, err)
	}
	return cc.reply(c, m, site, f)
}

func (cc cureCommand) reply(c *chat.Call, m shop.Material, site forecast.Site, f forecast.Forecast) (*chat.Reply, error) {
	sys := c.By.System()
	r := &chat.Reply{
		Title:   cureTitle(m, site, &f, sys),
		Facts:   cureFacts(site, &f, sys),
		Notes:   cureNotes(m, site, &f),
		Working: append(site.Steps, f.Steps...),
	}
	step := caution.Curing
	if site.Setup.Post != nil {
		step = caution.PostCure
	}
	r.Cautions = chat.Cautions(caution.For(caution.Situation{
		Step: step, Family: m.Family, Mass: site.Setup.Mass, MaxMass: m.MaxMass,
		Section: site.Setup.Thickest, MaxDepth: m.MaxDepth, Text: m.Notes,
	}))
	if !f.Has(cure.NoModel) {
		image, err := f.Chart(m.Name+", "+site.Of, sys)
		if err != nil {
			return nil, err
		}
		r.Images = []chat.Image{image}
	}
	r.Actions = cureActions(c, m)
	return r, nil
}

// timeSpan writes a range of times as a person can act on it.
func timeSpan(r quantity.Range, sys quantity.System) string {
	return quantity.TextRange(cure.RoundOut(r), quantity.Time, sys)
}

// tempSpan writes a range of temperatures in whole degrees.
func tempSpan(r quantity.Range, sys quantity.System) string {
	return quantity.TextRange(quantity.Range{Low: math.Round(r.Low), Mid: r.Mid, High: math.Round(r.High)}, quantity.Temp, sys)
}

// cureTitle is the honest range in one sentence, with what makes it doubtful
// before it.
func cureTitle(m shop.Material, site forecast.Site, f *forecast.Forecast, sys quantity.System) string {
	of := ": " + m.Name + ", " + site.Of
	peak := quantity.Text(math.Round(f.Peak.High), quantity.Temp, sys)
	before := ""
	switch {
	case f.Has(cure.TooCold):
		before = "Too cold for this material; poured as it is, "
	case f.Has(cure.Stop) && !site.Setup.InCup:
		before = "Too hot to pour like this, up to " + peak + " inside; "
	}
	switch {
	case site.Setup.InCup:
		return library.Capital(before + "pot life " + timeSpan(f.PotLife, sys) + of)
	case f.Has(cure.NoModel) && f.Title.High == 0:
		after := ""
		if !f.Has(cure.Stop) {
			after = "; up to " + peak + " inside"
		}
		return library.Capital(before + "the profile gives no demold time" + after + of)
	case f.Has(cure.Never):
		return library.Capital(before + "it may not be ready within 30 days" + of)
	case f.Has(cure.Slow), f.Has(cure.NoModel):
		return library.Capital(before + "out of the mold after " + quantity.Text(f.Title.High, quantity.Time, sys) + ", as the bulletin says" + of)
	}
	cool := ""
	if f.Peak.High > cure.CoolFace && f.Cool.High > f.Title.High {
		cool = ", cool after " + quantity.Text(cure.RoundOut(f.Cool).High, quantity.Time, sys)
	}
	return library.Capital(before + "out of the mold after " + timeSpan(f.Title, sys) + cool + of)
}

// cureFacts lists what was worked out, what matters first ahead.
func cureFacts(site forecast.Site, f *forecast.Forecast, sys quantity.System) []chat.Fact {
	var facts []chat.Fact
	span := func(key, label string, r quantity.Range, text string) {
		if r.High > 0 {
			facts = append(facts, chat.Num(key, label, r.Mid, quantity.Time, sys).Between(r.Low, r.High).Says(text))
		}
	}
	demold := timeSpan(f.Demold, sys)
	if f.Has(cure.Slow) {
		demold = "may be ready earlier, " + demold + ": test the sprue"
	}
	pot := func() { span("pot_life", "Pot life in the cup", f.PotLife, timeSpan(f.PotLife, sys)) }
	peak := func() {
		facts = append(facts, chat.Num("peak_temp", "Hottest inside", f.Peak.Mid, quantity.Temp, sys).Between(f.Peak.Low, f.Peak.High).Says(tempSpan(f.Peak, sys)))
	}
	if site.Setup.InCup {
		pot()
		peak()
	}
	span("demold", "Ready to demold", f.Demold, demold)
	cool := timeSpan(f.Cool, sys)
	if f.FacePeak.High <= cure.CoolFace {
		cool = "stays below " + quantity.Text(cure.CoolFace, quantity.Temp, sys)
	}
	span("cool", "Cool to handle", f.Cool, cool)
	if !site.Setup.InCup {
		peak()
		pot()
	}
	if f.Has(cure.OverDepth) {
		facts = append(facts, liftFacts(site, f, sys)...)
	}
	if !site.Setup.InCup {
		span("thin_demold", "Its thinnest section ready", f.ThinDemold, timeSpan(f.ThinDemold, sys))
	}
	span("gel", "Gelled", f.Gel, timeSpan(f.Gel, sys))
	span("full_cure", "Fully cured", f.FullCure, timeSpan(f.FullCure, sys))
	span("peak_at", "Hottest at", f.PeakAt, timeSpan(f.PeakAt, sys))
	if !f.Has(cure.OverDepth) {
		facts = append(facts, liftFacts(site, f, sys)...)
	}
	n := f.Learned.Pours()
	return append(facts, chat.Whole("logs_used", "Pours learned from", n, fmt.Sprint(n)))
}

// liftFacts tell the deepest single pour, which is the low end of its range: as
// deep as nine in ten stay calm at, up to where five do. A bulletin's is exact.
func liftFacts(site forecast.Site, f *forecast.Forecast, sys quantity.System) []chat.Fact {
	if f.MaxLift == 0 {
		return nil
	}
	from := "poured open on a base that takes no heat"
	switch {
	case f.LiftFrom == cure.LiftDepth:
		from = "by the bulletin"
	case f.Lifts == 1 && f.MaxLift < site.Setup.Thickest:
		from += "; this mold takes up more"
	}
	lifts := fmt.Sprint(f.Lifts)
	fewest := min(float64(f.Lifts), math.Ceil(site.Setup.Thickest/f.LiftEven-1e-9))
	switch {
	case f.Lifts > 1 && f.OneGo:
		lifts += " if it were poured open; this mold is filled in one go"
	case f.Has(cure.TooFast):
		lifts += " at that depth"
	}
	return []chat.Fact{
		chat.Num("max_lift", "Deepest single pour", f.MaxLift, quantity.Length, sys).Between(f.MaxLift, f.LiftEven).
			Says(quantity.Text(f.MaxLift, quantity.Length, sys) + ", " + from),
		chat.Whole("lifts", "Pours it takes", f.Lifts, lifts).Between(fewest, float64(f.Lifts)),
	}
}

// pressing are the remarks that come before how sure the answer is; the rest
// comes after.
var pressing = map[cure.Flag]bool{
	cure.Stop: true, cure.Hot: true, cure.OverDepth: true, cure.TooFast: true, cure.OverMass: true, cure.TooCold: true, cure.TooWarm: true,
	cure.Moist: true, cure.CureHot: true, cure.WarmRoom: true, cure.Never: true, cure.Slow: true, cure.NoModel: true, cure.PostCure: true,
}

// cureNotes says what presses, how sure the answer is, every default with what
// would narrow it, corners where they lag, what was learned, and what wins.
func cureNotes(m shop.Material, site forecast.Site, f *forecast.Forecast) []string {
	var notes []string
	add := func(which func(cure.Flag) bool) {
		for _, r := range f.Remarks {
			if which(r.Flag) {
				notes = append(notes, r.Text)
			}
		}
	}
	add(func(g cure.Flag) bool { return g == cure.TooCold })
	add(func(g cure.Flag) bool { return pressing[g] && g != cure.TooCold })
	if !f.Has(cure.NoModel) {
		notes = append(notes, "Eight pours in ten like this should fall into these ranges: a model's estimate from heat and reaction.")
	}
	notes = append(notes, site.Notes...)
	taken := f.Result.Assumed
	for _, a := range f.Assumed {
		if !a.Widens {
			taken = append(taken, a.Option+" of "+a.Used)
		}
	}
	if len(taken) > 0 {
		notes = append(notes, "Not said, so taken: "+strings.Join(taken, "; ")+".")
	}
	for _, a := range f.Assumed {
		if a.Widens {
			notes = append(notes, fmt.Sprintf("%s Taken as %s, and the ranges are wider for it: /material edit material:%q %s:… narrows them.", a.Ask, a.Used, m.Name, a.Option))
		}
	}
	// What is asked for above is not said to be missing once more.
	add(func(g cure.Flag) bool { return !pressing[g] && g != cure.Corners && g != cure.NoDemold })
	add(func(g cure.Flag) bool { return g == cure.Corners })
	if text := f.Learned.Text(); text != "" {
		notes = append(notes, text)
	}
	return append(notes, "The bulletin and a touch test on the sprue win over this.")
}

// cureActions lead on: start the pour, or size it.
func cureActions(c *chat.Call, m shop.Material) []chat.Action {
	switch {
	case c.Has("mass"):
		return []chat.Action{leadAction(c, m, "How much A and B", "batch", "mass", "temp")}
	case c.Has("mold"), c.Has("file"):
		return []chat.Action{
			leadAction(c, m, "How much A and B", "batch", "mold", "file", "unit", "resize", "temp"),
			leadAction(c, m, "Start this pour", "pour start", "mold", "file", "thinnest", "wall", "temp", "resin_temp", "mold_temp", "unit", "resize"),
		}
	}
	return []chat.Action{leadAction(c, m, "Start this pour", "pour start", "thickness", "thinnest", "wall", "temp", "resin_temp", "mold_temp")}
}

// leadAction asks another command about the same material with some of the
// options that this one was asked with.
func leadAction(c *chat.Call, m shop.Material, label, command string, options ...string) chat.Action {
	line := map[string]string{"material": chat.Ref(m.ID, m.Version)}
	for _, o := range options {
		if text := c.Meant(o); text != "" {
			line[o] = text
		}
	}
	return chat.Action{Label: label, Line: chat.FormatLine(command, line, append([]string{"material"}, options...))}
}
