package commands

import (
	"context"
	"fmt"
	"slices"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/color"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

func init() { register("tint", newTint) }

type tintCommand struct {
	deps
	sharing library.Sharing[shop.TintProfile]
}

// Options that several subs of /tint share.
var (
	wallOption    = chat.Option{Name: "wall", Help: "thickness of the part where its color matters, if light may pass", Like: "6 mm", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Length}, Min: 0.05, Max: 500}
	backingOption = chat.Option{Name: "backing", Help: "what lies behind a thin wall", Kind: chat.OneWord, Choices: []chat.Choice{{Value: "white"}, {Value: "black"}}}
	tintMass      = chat.Option{Name: "mass", Help: "A and B of the whole batch together", Like: "200 g", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Mass}, Min: 0.1, Max: 1e6}
	tintCups      = chat.Option{Name: "cups", Help: "cups that the batch is mixed in, all alike", Like: "3", Kind: chat.Count, Max: 500}
	tintStep      = chat.Option{Name: "scale_step", Help: "smallest step your scale shows, the shop's if left out", Like: "0.01 g", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Mass}, Min: 1e-4, Max: 100}
)

func newTint(d deps) chat.Command {
	t := tintCommand{d, d.library.ShareTints(d.Books)}
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
		Subs: append([]chat.Sub{
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
		}, t.sharing.Subs()...),
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
