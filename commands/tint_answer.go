package commands

import (
	"fmt"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/color"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/plot"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// This file holds what the answers of /tint, and of /batch with a tint, share.

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
	notes := stir.Warnings
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
	limit := c.Value("max_load", library.Limit(m))
	if stir != nil {
		return append(stir.Facts(c.By.System()), library.LoadFact(stir.Load, limit))
	}
	var facts []chat.Fact
	load := 0.0
	for i, d := range doses {
		load += d
		facts = append(facts, chat.Share(fmt.Sprintf("dose_%d", i+1), library.Capital(asks[i].Name), d))
	}
	return append(facts, library.LoadFact(load, limit))
}

// finish adds what every computed answer of /tint ends with.
func (t tintCommand) finish(c *chat.Call, m shop.Material, asks []library.TintAsk, doses []float64, stir *library.Tinting, r *chat.Reply) *chat.Reply {
	situation := caution.Situation{Step: caution.Mixing, Family: m.Family, MaxMass: m.MaxMass, Powder: library.Dusty(asks), Text: m.Notes}
	if stir != nil {
		r.Facts = append(r.Facts, stir.DropFacts()...)
		r.Notes = append(r.Notes, stir.Notes...)
		r.Steps = stir.Hands(c.By.System())
		r.Working = append(stir.Steps, r.Working...)
		situation.Mass = stir.Total / float64(len(stir.Cups))
	}
	r.Cautions = chat.Cautions(caution.For(situation))
	if len(asks) == 0 {
		return r
	}
	next := chat.Action{Label: "Amounts for 200 g"}
	options := map[string]string{"material": chat.Ref(m.ID, m.Version), "mass": "200 g", "tint": library.TintText(asks, doses, true)}
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
