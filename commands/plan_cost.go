package commands

import (
	"context"
	"fmt"
	"math"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/moldcare"
	"github.com/pourwright/pourwright/internal/plan"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/working"
)

// This file tells what a part costs.

// mostMoney bounds an amount that is typed.
const mostMoney = 1e7

func (p planCommand) costOptions() []chat.Option {
	money := func(name, help, like string) chat.Option {
		return chat.Option{Name: name, Help: help, Like: like, Kind: chat.Measure, Dims: []quantity.Dim{quantity.Number}, Zero: true, Max: mostMoney}
	}
	return []chat.Option{
		{Name: "material", Help: "what you pour, with its price in its profile", Like: "demo rigid white", Required: true, Suggest: p.library.SuggestMaterial},
		{Name: "mold", Help: "what you pour it into", Like: "harbor pawn", Required: true, Suggest: p.library.SuggestMold},
		{Name: "tint", Help: "each tint with its percent of the mix", Like: "brick red 0.5%", Suggest: p.library.SuggestTints},
		money("tint_price", "price of a gram of tint, or of a bottle of tint_pack", "0.40"),
		{Name: "tint_pack", Help: "what that bottle holds", Like: "50 g", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Mass}, Bare: "g"},
		money("mold_cost", "what the mold cost, in place of its profile's", "18"),
		money("consumables", "cups, sticks, gloves and release of one part", "0.05"),
		money("labor", "an hour of your hands; left out they are free", "15"),
		{Name: "pour_time", Help: "how long a pour of this mold keeps you busy, with taking out", Like: "12 min", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Time}, Bare: "min", Min: 30, Max: 8 * 3600},
		{Name: "scrap", Help: "share of parts that is spoiled, in place of what you logged", Like: "5%", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Number}, Percent: true, Zero: true, Max: 0.9},
		{Name: "copies", Help: "what so many good ones cost", Like: "24", Kind: chat.Count, Max: mostCopies},
	}
}

// costAsk is what a cost rests on.
type costAsk struct {
	plan.Costs
	c        *chat.Call
	material shop.Material
	mold     shop.Mold
	batch    mix.Batch
	tint     float64   // g a part
	seconds  float64   // of hands, a part
	stock    *runStock // nil where nothing of the material is kept
	notes    []string
	steps    []working.Step
}

func (p planCommand) cost(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	a := &costAsk{c: c}
	var err error
	if a.material, err = p.library.Material(ctx, c, "material", library.Offer); err != nil {
		return nil, err
	}
	if a.mold, err = p.library.Mold(ctx, c, "mold", library.Offer); err != nil {
		return nil, err
	}
	if a.Currency = c.By.Shop.Set.Currency; a.Currency == "" {
		return nil, fault.New(fault.MissingOption, "this shop has no currency, so prices have no meaning here").In("material").
			Hint("a manager sets it: /shop set currency:EUR")
	}
	if err = a.resin(); err != nil {
		return nil, err
	}
	if err = a.tinted(ctx, p.library); err != nil {
		return nil, err
	}
	if err = p.shareOf(ctx, a); err != nil {
		return nil, err
	}
	a.hands()
	if err = p.scrapOf(ctx, a); err != nil {
		return nil, err
	}
	if err = p.stockOf(ctx, a); err != nil {
		return nil, err
	}
	return a.reply(), nil
}

// resin is a part's share of a full mold's batch, waste included.
func (a *costAsk) resin() (err error) {
	if a.batch, err = mix.New(mix.Want{Profile: a.material.Profile, Volume: a.mold.Volume * float64(a.mold.Cavities), Fills: 1, Step: a.c.By.Shop.Set.ScaleStep}); err != nil {
		return err
	}
	if a.batch.Cost == 0 {
		return fault.New(fault.MissingOption, "%s has no price, so no part of it has one", a.material.Name).In("material").
			Hint("/material edit material:%q price:42 pack:1.8kg adds it", a.material.Name)
	}
	a.Cavities = a.mold.Cavities
	a.Material = a.batch.Cost / float64(a.Cavities)
	a.steps = append(a.steps, a.batch.Steps...)
	a.steps = working.Add(a.steps, "resin of a part", "batch/cavities", working.Definition, "%s/%d = %s", working.Num(a.batch.Cost), a.Cavities, working.Num(a.Material))
	return nil
}

func (a *costAsk) tinted(ctx context.Context, lib *library.Library) error {
	c := a.c
	if !c.Has("tint") {
		if c.Has("tint_price") || c.Has("tint_pack") {
			return fault.New(fault.MissingOption, "of which tint is that the price?").In("tint").Hint(`give the tint with its percent, such as tint:"brick red 0.5%%"`)
		}
		return nil
	}
	asks, err := lib.Tints(ctx, c, "tint")
	if err != nil {
		return err
	}
	if library.Counted(asks) {
		return fault.New(fault.BadQuantity, "grams and drops belong to one cup").In("tint").Hint(`give percent of the mix, such as tint:"brick red 0.5%%"`)
	}
	load := 0.0
	for _, t := range asks {
		if err := library.Miscible(t.Tint, a.material, "tint"); err != nil {
			return err
		}
		load += t.Share
	}
	if _, err := library.DosesOf(asks, 100, "tint"); err != nil {
		return err
	}
	if a.batch.MassTotal == 0 {
		return fault.New(fault.NotFound, "%s has no densities, so a share of its mass can't be told", a.material.Name).In("material").Hint("add density_a and density_b with /material edit")
	}
	a.tint = a.batch.MassTotal * load / (1 - load) / float64(a.Cavities)
	price := plan.UnitPrice(c.Value("tint_price", 0), c.Value("tint_pack", 1))
	a.Tint = a.tint * price
	a.steps = working.Add(a.steps, "tint of a part", "M·p/(1 − p)/cavities × price of a gram", working.Definition, "%s g × %s = %s", working.Num(a.tint), working.Num(price), working.Num(a.Tint))
	if !c.Has("tint_price") {
		a.notes = append(a.notes, fmt.Sprintf("The tint, %s a part, is not counted: give tint_price, of a gram or of a bottle of tint_pack.", quantity.Text(a.tint, quantity.Mass, c.By.System())))
	}
	return nil
}

// shareOf is what a mold costs over the pulls that it is expected to give.
func (p planCommand) shareOf(ctx context.Context, a *costAsk) error {
	a.Mold = a.c.Value("mold_cost", a.mold.Cost)
	all, err := p.Molds.Molds(ctx, a.c.By)
	if err != nil {
		return fmt.Errorf("list molds: %w", err)
	}
	o, err := library.LifeAhead(a.mold, all, a.c.By, moldcare.LateWear, ctx.Done())
	if err != nil {
		return err
	}
	a.Pulls = wholeLife(a.mold, o)
	if a.mold.Retired != "" {
		had := float64(max(a.mold.PullsSoFar(), 1))
		a.Pulls = quantity.Range{Low: had, Mid: had, High: had}
		a.notes = append(a.notes, fmt.Sprintf("%s is retired: its share is over the %s it gave.", library.Capital(a.mold.Name), pullsOf(a.mold.PullsSoFar())))
	}
	if a.Mold == 0 {
		a.notes = append(a.notes, "The mold's own cost is not known, so its share is not counted: give mold_cost, or say it once with /mold edit.")
		return nil
	}
	a.steps = working.Add(a.steps, "share of the mold", "cost/(expected pulls · cavities)", "mold life as in /mold life, pulls so far and those left",
		"%s/(%s × %d), pulls %s to %s", working.Num(a.Mold), working.Num(a.Pulls.Mid), a.Cavities, working.Num(a.Pulls.Low), working.Num(a.Pulls.High))
	return nil
}

// hands are the minutes of a part and what they cost.
func (a *costAsk) hands() {
	a.Consumables = a.c.Value("consumables", 0)
	if !a.c.Has("consumables") {
		a.notes = append(a.notes, "Cups, sticks, gloves and release are not counted: give consumables, for one part.")
	}
	h := plan.UsualHands()
	fill := float64(h.Batch + h.Cavity*a.Cavities + h.Demold)
	a.seconds = a.c.Value("pour_time", fill) / float64(a.Cavities)
	if !a.c.Has("labor") {
		a.notes = append(a.notes, "Your hands are free here: give labor, the price of an hour.")
		return
	}
	if !a.c.Has("pour_time") {
		a.notes = append(a.notes, "Hands as in /plan run, one mold at a time: 6 min a pour and 20 s a cavity, 3 min to take them out (judgement); say pour_time for yours.")
	}
	a.Labor = a.c.Value("labor", 0) * a.seconds / 3600
	a.steps = working.Add(a.steps, "hands of a part", "rate·time/cavities", "times: common practice, no source", "%s an hour × %s s = %s", working.Num(a.c.Value("labor", 0)), working.Num(a.seconds), working.Num(a.Labor))
}

func (p planCommand) scrapOf(ctx context.Context, a *costAsk) error {
	own, err := p.Pours.Pours(ctx, a.c.By, poursRead)
	if err != nil {
		return fmt.Errorf("list pours: %w", err)
	}
	log := library.ReadRunLog(own, a.material.ID)
	a.Scrap = a.c.Value("scrap", plan.Scrap(log.Good, log.Spoiled))
	switch {
	case a.c.Has("scrap"):
	case log.Good+log.Spoiled > 0:
		a.notes = append(a.notes, fmt.Sprintf("%s spoiled by your log: %d of %d parts, beside 5 %% as if of 20 more (judgement).", quantity.Percent(a.Scrap), log.Spoiled, log.Good+log.Spoiled))
	default:
		a.notes = append(a.notes, "5 % spoiled, since none of this material is logged (judgement); say scrap:8% if you know better.")
	}
	return nil
}

var costLabels = map[string]string{"material": "Resin", "tint": "Tint", "mold": "Share of the mold", "consumables": "Consumables", "labor": "Hands"}

func (a *costAsk) reply() *chat.Reply {
	out := a.Of()
	c := a.c
	low, high := plan.InMoney(out.Each.Low, a.Currency), plan.InMoney(out.Each.High, a.Currency)
	title := fmt.Sprintf("A good part costs %s", out.Good)
	spread := ""
	if low != high {
		spread = fmt.Sprintf(" (%s to %s, by how long the mold lasts)", low, high)
	}
	facts := []chat.Fact{chat.Fact{Key: "cost_each", Label: "A good part", Value: out.Each.Mid, Unit: a.Currency, Text: out.Good.String() + spread}.Between(out.Each.Low, out.Each.High)}
	if n := c.Count("copies", 0); n > 0 {
		all := plan.InMoney(out.Each.Mid*float64(n), a.Currency)
		facts = append(facts, chat.Fact{Key: "cost_all", Label: fmt.Sprintf("%d good ones", n), Value: out.Each.Mid * float64(n), Unit: a.Currency, Text: all.String()}.
			Between(out.Each.Low*float64(n), out.Each.High*float64(n)))
		title += fmt.Sprintf(", %d of them %s", n, all)
	}
	for _, l := range out.Lines {
		f := chat.Fact{Key: "cost_" + l.What, Label: costLabels[l.What], Value: l.Exact, Unit: a.Currency, Text: l.Money.String()}
		if l.What == "mold" {
			f = f.Between(a.Mold/a.Pulls.High/float64(a.Cavities), a.Mold/a.Pulls.Low/float64(a.Cavities))
			f.Text = fmt.Sprintf("%s: %s over %.0f pulls (%.0f to %.0f)", l.Money, plan.InMoney(a.Mold, a.Currency), a.Pulls.Mid, a.Pulls.Low, a.Pulls.High)
		}
		facts = append(facts, f)
	}
	facts = append(facts, chat.Fact{Key: "cost_cast", Label: "A part as cast", Value: out.Each.Mid * (1 - a.Scrap), Unit: a.Currency, Text: out.Cast.String()}.
		Between(out.Each.Low*(1-a.Scrap), out.Each.High*(1-a.Scrap)),
		chat.Share("scrap", "Spoiled", a.Scrap), chat.Num("hand_time", "Hands, a part", math.Round(a.seconds), quantity.Time, c.By.System()))
	a.steps = working.Add(a.steps, "a part as cast", "resin + tint + mold + consumables + hands", working.Definition, "%s, shown lines rounded so that they add up to %s", working.Num(out.Each.Mid*(1-a.Scrap)), out.Cast)
	a.steps = working.Add(a.steps, "a good part", "cost/(1 − scrap)", working.Definition, "%s/(1 − %s) = %s", working.Num(out.Each.Mid*(1-a.Scrap)), working.Num(a.Scrap), working.Num(out.Each.Mid))
	facts = append(facts, a.stockFacts()...)
	notes := append(append(a.stockNotes(), "Nobody's selling price: rent, heat, postage, tax and the time to sell it are not in it."), a.notes...)
	return &chat.Reply{Title: title, Facts: facts, Notes: notes, Working: a.steps,
		Actions: []chat.Action{{Label: "How much A and B", Line: chat.FormatLine("batch", map[string]string{"material": c.Meant("material"), "mold": c.Meant("mold")}, []string{"material", "mold"})},
			{Label: "How long the mold lasts", Line: chat.FormatLine("mold life", map[string]string{"mold": c.Meant("mold")}, nil)}}}
}
