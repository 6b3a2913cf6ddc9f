package commands

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/color"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/plot"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/working"
)

func init() { register("tint", newTint) }

type tintCommand struct{ deps }

// Options that several subs of /tint share.
var (
	wallOption    = chat.Option{Name: "wall", Help: "thickness of the part where its color matters, if light may pass", Like: "6 mm", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Length}, Min: 0.05, Max: 500}
	backingOption = chat.Option{Name: "backing", Help: "what lies behind a thin wall", Kind: chat.OneWord, Choices: []chat.Choice{{Value: "white"}, {Value: "black"}}}
	tintMass      = chat.Option{Name: "mass", Help: "A and B of the whole batch together", Like: "200 g", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Mass}, Min: 0.1, Max: 1e6}
	tintCups      = chat.Option{Name: "cups", Help: "cups that the batch is mixed in, all alike", Like: "3", Kind: chat.Count, Max: 500}
	tintStep      = chat.Option{Name: "scale_step", Help: "smallest step your scale shows, the shop's if left out", Like: "0.01 g", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Mass}, Min: 1e-4, Max: 100}
)

func newTint(d deps) chat.Command {
	t := tintCommand{d}
	base := chat.Option{Name: "base", Help: "the material that the tint goes into", Like: "demo rigid white", Required: true, Suggest: d.library.SuggestMaterial}
	one := chat.Option{Name: "tint", Help: "its name", Like: "brick red", Required: true, Suggest: d.library.SuggestTint}
	share := chat.Option{Help: "share of the whole mix", Like: "0.5%", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Number}, Percent: true}
	percent, limit := share, share
	percent.Name, limit.Name = "percent", "max_load"
	limit.Help, limit.Like = "most tint of the mix, all together; the material's limit if left out", "2%"
	return chat.Command{
		Name:  "tint",
		Help:  "what color it will cure, and how much tint gets it there",
		About: "A base cures white, black, amber or clear, whatever it looks like in the cup, so a deep red tint in a white base ends up pink. Each tint is known by one cured swatch; from it the color of any dose is worked out, and the dose for a wanted color, with how far a real part may be off.",
		Asks: []chat.Ask{
			{Question: "How much tint for this color?", Line: `/tint match base:"demo rigid white" target:#E0A9A6 palette:"brick red" mass:"200 g" scale_step:"0.01 g"`},
			{Question: "What color will that cure to?", Line: `/tint look base:"demo rigid white" tints:"brick red 0.2%"`},
			{Question: "How many grams or drops of tint is that?", Line: `/tint dose base:"demo rigid white" tint:"brick red" mass:"200 g" percent:"0.5%"`},
		},
		Subs: []chat.Sub{
			{Name: "look", Help: "the color that a tinted mix will cure to", Computes: true, Run: t.look,
				Forms: []chat.Form{{Title: "The color of a tinted mix", Options: []string{"base", "tints", "mass", "wall", "backing"}}},
				Options: []chat.Option{base,
					{Name: "tints", Help: "each tint with its amount: percent of the mix, grams or drops", Like: "brick red 0.5%, soot black 2 drops", Required: true, Suggest: d.library.SuggestTints},
					wallOption, backingOption, tintMass, tintCups, tintStep}},
			{Name: "dose", Help: "grams and drops of a tint for a batch", Computes: true, Run: t.dose,
				Forms: []chat.Form{{Title: "How much of a tint", Options: []string{"base", "tint", "mass", "percent", "cups"}}},
				Options: []chat.Option{base, one, required(tintMass), percent,
					{Name: "drops", Help: "drops that are in already; without percent: what share they make", Like: "12", Kind: chat.Count, Max: 10000},
					tintCups, tintStep}},
			{Name: "match", Help: "the tints and doses for a wanted color", Computes: true, Slow: true, Run: t.match,
				Forms: []chat.Form{{Title: "Match a color", Options: []string{"base", "target", "palette", "mass", "cups"}}},
				Options: []chat.Option{base,
					{Name: "target", Help: "a color code, or a tint whose swatch it is", Like: "#C9837F", Required: true, Suggest: d.library.SuggestTint},
					{Name: "palette", Help: "tints to choose from, all on your shelf if left out", Like: "brick red, soot black", Suggest: d.library.SuggestPalette},
					limit, tintMass, tintCups, tintStep, wallOption, backingOption}},
			t.addSub(base),
			{Name: "drops", Help: "tell what twenty drops weigh, so that drops can be counted", Writes: true, Run: t.drops,
				Forms: []chat.Form{{Title: "The weight of a drop", Options: []string{"tint", "weight_of_20"}}},
				Options: []chat.Option{one,
					{Name: "weight_of_20", Help: "twenty drops on the scale", Like: "0.9 g", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Mass}, Required: true}}},
			{Name: "list", Help: "the tints you can use here", Computes: true, Run: t.list},
			{Name: "show", Help: "everything that is known of a tint", Options: []chat.Option{one}, Computes: true, Run: t.show},
			{Name: "history", Help: "the versions of a tint", Options: []chat.Option{one}, Run: t.history},
			{Name: "remove", Help: "take a tint of yours off the shelf", Writes: true, Run: t.remove,
				Options: []chat.Option{one, {Name: "sure", Kind: chat.YesNo, Help: "yes removes it"}}},
		},
	}
}

func required(o chat.Option) chat.Option { o.Required = true; return o }

// look predicts a recipe.
func (t tintCommand) look(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := t.library.Material(ctx, c, "base", library.Offer)
	if err != nil {
		return nil, err
	}
	asks, err := t.library.Tints(ctx, c, "tints")
	if err != nil {
		return nil, err
	}
	for _, a := range asks {
		if err := library.Usable(a.Tint, m, "tints"); err != nil {
			return nil, err
		}
	}
	if err := needMass(c, library.Counted(asks)); err != nil {
		return nil, err
	}
	doses, err := library.DosesOf(asks, c.Value("mass", 0), "tints")
	if err != nil {
		return nil, err
	}
	stir, notes, err := stirred(c, m, asks, doses)
	if err != nil {
		return nil, err
	}
	recipe, more, err := t.library.Mix(m, asks, got(stir, doses), wallOf(c), "base", "tints")
	if err != nil {
		return nil, err
	}
	p, err := color.Predict(recipe)
	if err != nil {
		return nil, err
	}
	r := &chat.Reply{Title: fmt.Sprintf("%s in %s cures to about %s", library.Capital(library.Recipe(asks, doses)), m.Name, p.Code)}
	looks := library.LookFacts(p, p.Floor)
	r.Facts = append(append(looks[:1:1], doseFacts(c, m, asks, doses, stir)...), looks[1])
	r.Notes = append(append(notes, more...), library.LookNotes(p, p.Floor, recipe, c.By.System())...)
	r.Working = library.LookSteps(recipe, p)
	if err := pictures(r, recipe, doses, p, nil); err != nil {
		return nil, err
	}
	return t.finish(c, m, asks, doses, stir, r), nil
}

// match searches the doses for a color.
func (t tintCommand) match(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := t.library.Material(ctx, c, "base", library.Offer)
	if err != nil {
		return nil, err
	}
	want := color.Want{Wall: wallOf(c), MaxLoad: c.Value("max_load", m.MaxTint)}
	if c.Has("max_load") {
		if err := color.CheckDose("max_load", want.MaxLoad); err != nil {
			return nil, err
		}
	}
	var notes []string
	if want.Base, notes, err = t.library.Base(m, "base"); err != nil {
		return nil, err
	}
	if want.Target, want.TargetQuality, err = t.target(ctx, c); err != nil {
		return nil, err
	}
	if err := needMass(c, false); err != nil {
		return nil, err
	}
	palette, err := t.library.Palette(ctx, c, "palette", m)
	if err != nil {
		return nil, err
	}
	for _, p := range palette {
		tint, err := t.library.Color(p, "palette")
		if err != nil {
			return nil, err
		}
		want.Palette = append(want.Palette, tint)
	}
	found, err := color.Find(want, c.Done)
	if errors.Is(err, color.ErrStopped) {
		return nil, context.DeadlineExceeded
	}
	if err != nil {
		return nil, err
	}
	return t.matched(c, m, palette, want, found, notes)
}

// target reads a color code, or takes the swatch of a tint.
func (t tintCommand) target(ctx context.Context, c *chat.Call) (color.Reading, color.Quality, error) {
	code, err := color.ParseHex(c.Text("target"))
	if err == nil {
		// A code that is typed is what is wanted: it has no error of its own.
		return color.Hex(code), color.Instrument, nil
	}
	kept, unknown := t.library.Tint(ctx, c, "target", library.Offer)
	if unknown != nil {
		f := fault.As(unknown)
		if f == nil || len(f.Choices()) > 0 || f.Code != fault.UnknownTint {
			return color.Reading{}, "", unknown
		}
		return color.Reading{}, "", fault.New(fault.BadColor, "%q is neither a color code nor a tint on your shelf", c.Text("target")).In("target").
			Hint("give six digits 0-9 and A-F for red, green and blue, such as #C9837F, or the name of a tint")
	}
	if code, err = color.ParseHex(kept.Swatch); err != nil {
		return color.Reading{}, "", fault.New(fault.BadColor, "%s has no swatch color to aim at", kept.Name).In("target").Hint("give a color code such as #C9837F")
	}
	return color.Hex(code), color.Quality(kept.Quality), nil
}

// matched turns what was found into amounts, and looks at what the scale makes
// of them.
func (t tintCommand) matched(c *chat.Call, m shop.Material, palette []shop.Tint, want color.Want, found color.Match, notes []string) (*chat.Reply, error) {
	asks, doses := library.Asks(palette, want.Palette, found.Best)
	stir, more, err := stirred(c, m, asks, doses)
	if err != nil {
		return nil, err
	}
	notes = append(notes, more...)
	recipe, more, err := t.library.Mix(m, asks, got(stir, doses), want.Wall, "base", "palette")
	if err != nil {
		return nil, err
	}
	recipe.MaxLoad = want.MaxLoad
	p, err := color.Predict(recipe)
	if err != nil {
		return nil, err
	}
	off := color.Difference(want.Target.Lab(), p.Lab)
	reachable := found.Verdict != color.Unreachable
	r := &chat.Reply{Title: matchTitle(asks, doses, p, found, off)}
	looks := library.LookFacts(p, found.Floor)
	r.Facts = append(looks[:1:1],
		chat.Fact{Key: "delta_e", Label: "Off the wanted color", Value: off, Unit: "1",
			Text: fmt.Sprintf("ΔE %.1f: %s", off, matchText(found, off))}.Between(max(off-found.Floor, 0), off+found.Floor),
		chat.Fact{Key: "reachable", Label: "Reachable", Value: reachable, Text: map[bool]string{true: "yes", false: "no"}[reachable]})
	r.Facts = append(append(r.Facts, doseFacts(c, m, asks, doses, stir)...), looks[1])
	r.Notes = append(append(notes, more...), library.LookNotes(p, found.Floor, recipe, c.By.System())...)
	r.Notes = append(r.Notes, others(palette, want, found)...)
	if want.MaxLoad > library.Limit(m) {
		r.Notes = append([]string{fmt.Sprintf("%s of tint is more than the %s that %s takes: it can stay soft.", quantity.Percent(want.MaxLoad), quantity.Percent(library.Limit(m)), m.Name)}, r.Notes...)
	}
	r.Working = append(library.LookSteps(recipe, p), working.Step{What: "difference", Formula: "ΔE00", Source: "ISO/CIE 11664-6; Sharma, Wu and Dalal 2005, DOI 10.1002/col.20070",
		Value: fmt.Sprintf("%s against %s: %.2f", p.Code, want.Target.Code(), off)})
	target := want.Target.Code()
	if err := pictures(r, recipe, doses, p, &target); err != nil {
		return nil, err
	}
	return t.finish(c, m, asks, doses, stir, r), nil
}

func matchTitle(asks []library.TintAsk, doses []float64, p color.Prediction, found color.Match, off float64) string {
	with := library.Recipe(asks, doses)
	if len(asks) == 0 {
		with = "no tint at all"
	}
	switch {
	case found.Why != nil:
		return fmt.Sprintf("Not reachable: the closest is %s, because %s", p.Code, found.Why.Text())
	case off <= 2:
		return fmt.Sprintf("Use %s: about %s, a match", with, p.Code)
	}
	return fmt.Sprintf("Use %s: about %s, close but a visible difference", with, p.Code)
}

func matchText(found color.Match, off float64) string {
	switch {
	case found.Why != nil:
		return "not reachable, " + found.Why.Left()
	case color.Judge(off) == color.Matches && found.OnPaper:
		return "a match on paper"
	case color.Judge(off) == color.Matches:
		return "a match"
	}
	return "close, seen side by side"
}

// others lists the next best sets of tints.
func others(palette []shop.Tint, want color.Want, found color.Match) []string {
	var also []string
	for _, b := range found.Ranked {
		asks, doses := library.Asks(palette, want.Palette, b)
		if len(asks) == 0 || len(also) == 2 || library.Recipe(asks, doses) == library.Recipe(library.Asks(palette, want.Palette, found.Best)) {
			continue
		}
		also = append(also, fmt.Sprintf("%s (%s, ΔE %.1f)", library.Recipe(asks, doses), b.Code, b.Difference))
	}
	if len(also) == 0 {
		return nil
	}
	return []string{"Also near: " + strings.Join(also, "; ") + "."}
}

// dose is the arithmetic of one tint, with its color where that can be told.
func (t tintCommand) dose(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	if !c.Has("percent") && !c.Has("drops") {
		return nil, fault.New(fault.MissingOption, "percent is missing: share of the whole mix").In("percent").Hint("such as percent:0.5%%, or give drops")
	}
	m, err := t.library.Material(ctx, c, "base", library.Offer)
	if err != nil {
		return nil, err
	}
	kept, err := t.library.Tint(ctx, c, "tint", library.Offer)
	if err != nil {
		return nil, err
	}
	if err := library.Miscible(kept, m, "tint"); err != nil {
		return nil, err
	}
	ask, option := library.TintAsk{Tint: kept, Share: c.Value("percent", 0)}, "percent"
	if !c.Has("percent") {
		ask.Drops, option = float64(c.Count("drops", 0)), "drops"
	}
	asks := []library.TintAsk{ask}
	doses, err := library.DosesOf(asks, c.Value("mass", 0), option)
	if err != nil {
		return nil, err
	}
	stir, notes, err := stirred(c, m, asks, doses)
	if err != nil {
		return nil, err
	}
	r := &chat.Reply{Title: stir.Title(c.By.System()), Notes: notes}
	r.Facts = doseFacts(c, m, asks, doses, stir)
	if c.Has("percent") && c.Has("drops") {
		r.Notes = append(r.Notes, stir.Already(c.Count("drops", 0), c.By.System()))
	}
	if err := t.colored(c, m, stir, "base", r); err != nil {
		return nil, err
	}
	return t.finish(c, m, asks, doses, stir, r), nil
}

// colored adds the predicted color to a reply whose point is the amount; where
// no color can be told it says why.
func (d deps) colored(c *chat.Call, m shop.Material, stir *library.Tinting, option string, r *chat.Reply) error {
	asked := stir.Doses
	recipe, notes, err := d.library.Mix(m, stir.Asks, stir.Got(), color.Wall{}, option, "tint")
	var p color.Prediction
	if err == nil {
		p, err = color.Predict(recipe)
	}
	if f := fault.As(err); f != nil {
		hint := f.HintText()
		if f.Option == "wall" {
			hint = "/tint look with wall and backing shows it"
		}
		r.Notes = append(r.Notes, library.Sentence("No color is predicted: "+f.Message)+" "+library.Sentence(hint))
		if limit := library.Limit(m); stir.Load > limit {
			r.Notes = append(r.Notes, fmt.Sprintf("%s of tint is over the limit of %s: it can soften or slow the cure.", quantity.Percent(stir.Load), quantity.Percent(limit)))
		}
		return nil
	}
	if err != nil {
		return err
	}
	// The color stands right behind what is weighed for it.
	at := 1 + slices.IndexFunc(r.Facts, func(f chat.Fact) bool { return f.Key == "mass_tint" })
	r.Facts = slices.Insert(r.Facts, at, library.LookFacts(p, p.Floor)...)
	r.Notes = append(append(r.Notes, notes...), library.LookNotes(p, p.Floor, recipe, c.By.System())...)
	r.Working = append(r.Working, library.LookSteps(recipe, p)...)
	return pictures(r, recipe, asked, p, nil)
}

// got are the doses that the scale makes of those asked for: what is looked at.
func got(stir *library.Tinting, doses []float64) []float64 {
	if stir == nil {
		return doses
	}
	return stir.Got()
}

// needMass asks for the batch where drops, grams or cups rest on it.
func needMass(c *chat.Call, counted bool) error {
	if c.Has("mass") || !counted && !c.Has("cups") {
		return nil
	}
	what := "grams and drops are a share of the mix only in a batch of known size"
	if !counted {
		what = "cups need the batch that is shared out"
	}
	return fault.New(fault.MissingOption, "mass is missing: %s", what).In("mass").Hint("give A and B together, such as mass:200g")
}

// wallOf reads wall and backing.
func wallOf(c *chat.Call) color.Wall {
	w := color.Wall{MM: c.Value("wall", 0), Backing: color.Backing(c.Text("backing"))}
	if w.MM == 0 {
		return color.Wall{}
	}
	if w.Backing == color.NoBacking {
		w.Backing = color.WhiteBacking
		c.Note("Seen over white; give backing:black for what lies dark behind it.")
	}
	return w
}

// stirred works out how the tints get into the batch; nil without a batch.
func stirred(c *chat.Call, m shop.Material, asks []library.TintAsk, doses []float64) (*library.Tinting, []string, error) {
	if !c.Has("mass") || len(asks) == 0 {
		return nil, nil, nil
	}
	side, note, err := library.TintSide(m, "base")
	if err != nil {
		return nil, nil, err
	}
	share, err := library.SideShare(m, side, "base")
	if err != nil {
		return nil, nil, err
	}
	n := c.Count("cups", 1)
	mass := c.Value("mass", 0) / float64(n)
	job := library.TintJob{Material: m, Side: side, Asks: asks, Doses: doses, Step: c.Value("scale_step", c.By.Shop.Set.ScaleStep)}
	for range n {
		job.Cups = append(job.Cups, library.TintCup{Resin: mass, Side: mass * share})
	}
	stir, err := library.Stir(job)
	if err != nil {
		return nil, nil, err
	}
	notes := stir.Notes
	if note != "" {
		notes = append(notes, note)
	}
	if !c.Has("scale_step") {
		notes = append(notes, fmt.Sprintf("Rounded to the shop's scale step of %s.", quantity.TextStep(job.Step, job.Step, c.By.System())))
	}
	return stir, notes, nil
}

// doseFacts are the doses with their amounts, or alone where no batch is given.
func doseFacts(c *chat.Call, m shop.Material, asks []library.TintAsk, doses []float64, stir *library.Tinting) []chat.Fact {
	if stir != nil {
		return append(stir.Facts(c.By.System()), library.LoadFact(stir.Load, m))
	}
	var facts []chat.Fact
	load := 0.0
	for i, d := range doses {
		load += d
		facts = append(facts, chat.Share(fmt.Sprintf("dose_%d", i+1), library.Capital(asks[i].Name), d))
	}
	return append(facts, library.LoadFact(load, m))
}

// finish adds what every computed answer of /tint ends with.
func (t tintCommand) finish(c *chat.Call, m shop.Material, asks []library.TintAsk, doses []float64, stir *library.Tinting, r *chat.Reply) *chat.Reply {
	situation := caution.Situation{Step: caution.Mixing, Family: m.Family, MaxMass: m.MaxMass, Powder: library.Dusty(asks), Text: m.Notes}
	if stir != nil {
		r.Facts = append(r.Facts, stir.DropFacts()...)
		r.Steps = stir.Hands(c.By.System())
		r.Working = append(stir.Steps, r.Working...)
		situation.Mass = stir.Total / float64(len(stir.Cups))
	}
	r.Cautions = chat.Cautions(caution.For(situation))
	if len(asks) == 0 {
		return r
	}
	next := chat.Action{Label: "Amounts for 200 g"}
	options := map[string]string{"material": library.Ref(m.ID, m.Version), "mass": "200 g", "tint": library.TintText(asks, doses, true)}
	if stir != nil {
		next.Label, options["mass"] = "Size this batch", fmt.Sprintf("%.6g g", stir.Total)
	} else {
		r.Notes = append(r.Notes, where(m))
	}
	if c.Has("scale_step") {
		options["scale_step"] = fmt.Sprintf("%g g", c.Value("scale_step", 0))
	}
	next.Line = chat.FormatLine("batch", options, []string{"material", "mass"})
	r.Actions = append(r.Actions, next)
	return r
}

// where says which part takes the tint, where no batch does.
func where(m shop.Material) string {
	side, _, err := library.TintSide(m, "base")
	if f := fault.As(err); f != nil {
		return library.Sentence(f.Message) + " " + library.Sentence(f.HintText())
	}
	return fmt.Sprintf("Tint is stirred into part %s before the parts meet; mass gives the grams and drops.", side)
}

// pictures adds the patches, base beside predicted beside target, and the
// ladder of doses to choose from by eye, round those that were asked for.
func pictures(r *chat.Reply, recipe color.Recipe, asked []float64, p color.Prediction, target *color.RGB) error {
	patches := plot.Swatches{List: []plot.Swatch{swatch("base", p.Base.Code)}}
	if p.Behind != nil {
		patches.List = append(patches.List, swatch("over white", p.Behind.White.Code), swatch("over black", p.Behind.Black.Code))
	} else {
		patches.List = append(patches.List, swatch("predicted", p.Code))
	}
	var strip *plot.Swatch
	if target != nil {
		one := swatch("target", *target)
		patches.List = append(patches.List, one)
		strip = &one
	}
	if err := picture(r, "color.png", patches); err != nil || p.Load == 0 {
		return err
	}
	for i := range recipe.Doses {
		recipe.Doses[i].Part = asked[i]
	}
	rungs, err := color.Ladder(recipe)
	if err != nil {
		return err
	}
	ladder := plot.Swatches{Target: strip}
	for _, rung := range rungs {
		ladder.List = append(ladder.List, swatch(quantity.Percent(rung.Load), rung.Code))
	}
	return picture(r, "doses.png", ladder)
}

func swatch(label string, c color.RGB) plot.Swatch {
	return plot.Swatch{Label: label, R: c.R, G: c.G, B: c.B}
}

func picture(r *chat.Reply, name string, w plot.Swatches) error {
	png, err := w.PNG()
	if err != nil {
		return fmt.Errorf("draw %s: %w", name, err)
	}
	r.Images = append(r.Images, chat.Image{Name: name, Alt: w.Alt(), Data: png})
	return nil
}
