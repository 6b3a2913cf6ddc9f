package commands

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/stock"
)

func init() { register("stock", newStock) }

type stockCommand struct{ deps }

// maxTare and maxPrice are slips of the finger: g, and money.
const (
	maxTare  = 1e5
	maxPrice = 1e6
)

func newStock(d deps) chat.Command {
	s := stockCommand{d}
	grams := []quantity.Dim{quantity.Mass}
	either := []quantity.Dim{quantity.Mass, quantity.Volume}
	which := chat.Option{Name: "container", Help: "its number, or its name; the first to pour from where several have it", Like: "#3", Suggest: library.SuggestContainer(d.Stock)}
	material := chat.Option{Name: "material", Help: "or of which material", Like: "demo rigid white", Suggest: d.library.SuggestMaterial}
	part := chat.Option{Name: "part", Help: "A, B, or kit: both together", Kind: chat.OneWord, Like: "A",
		Choices: []chat.Choice{{Value: "A", Label: "A: part A"}, {Value: "B", Label: "B: part B"}, {Value: "kit", Label: "kit: A and B together"}, {Value: "pack", Label: "pack: the same"}}}
	tare := chat.Option{Name: "tare", Help: "what the empty container weighs, so that it can be weighed later", Like: "85 g", Kind: chat.Measure, Dims: grams, Max: maxTare, Min: 0.01}
	needed := func(o chat.Option) chat.Option { o.Required = true; return o }
	one := []chat.Option{which}
	money := func(name, help, like string) chat.Option {
		return chat.Option{Name: name, Help: help, Like: like, Kind: chat.Measure, Dims: []quantity.Dim{quantity.Number}, Zero: true, Max: maxPrice}
	}
	return chat.Command{
		Name:  "stock",
		Help:  "what is left in which jug, until when it is good, and what to buy",
		About: "A jug or pack is kept with what is in it, its lot and its dates. Each pour takes its A and B out, the oldest opened first, and a pour that is canceled gives them back. Weigh a jug now and then and say so: that sets right what pours only reckoned. The label and the data sheet win over every date here.",
		Asks: []chat.Ask{
			{Question: "What is left in the jugs, and which are still good?", Line: "/stock list"},
			{Question: "I bought a pack. How do I keep it?", Line: `/stock add material:"demo rigid white" part:kit amount:"1.8 kg"`},
			{Question: "How much should I buy?", Line: `/stock reorder material:"demo rigid white" use:"900 g"`},
			{Question: "What is running low?", Line: "/stock reorder"},
		},
		Subs: []chat.Sub{
			{Name: "add", Help: "keep a jug or a pack", Writes: true, Run: s.add,
				Forms: []chat.Form{{Title: "A jug or a pack", Options: []string{"material", "part", "amount", "lot", "opened"}}},
				Options: []chat.Option{
					needed(chat.Option{Name: "material", Help: "what is in it", Like: "demo rigid white", Suggest: d.library.SuggestMaterial}), needed(part),
					{Name: "amount", Help: "how much is in it, in weight or volume; of a kit A and B together", Like: "610 g", Kind: chat.Measure, Dims: either, Required: true},
					{Name: "lot", Help: "the lot printed on it, so that a bad one can be traced", Like: "L 2207", Length: 60},
					{Name: "bought", Help: "the day you bought it", Like: "2026-10-01", Length: 20},
					{Name: "opened", Help: "the day it was opened; sealed if left out", Like: "2026-10-20", Length: 20},
					{Name: "use_by", Help: "the last day on its label", Like: "2027-09-30", Length: 20}, tare,
					{Name: "low", Help: "how little may be left before you are told", Like: "200 g", Kind: chat.Measure, Dims: grams},
					{Name: "shared", Help: "yes lets the members of this shop take from it", Kind: chat.YesNo},
				}},
			{Name: "open", Help: "it was opened: start its open life, and be called before that ends", Writes: true, Run: s.open,
				Options: []chat.Option{which, material, part, {Name: "opened", Help: "the day; today if left out", Like: "2026-10-20", Length: 20}}},
			{Name: "use", Help: "take an amount out, or say what the scale shows now", Writes: true, Run: s.use, OneOf: [][]string{{"amount", "left"}},
				Options: []chat.Option{which, material, part,
					{Name: "amount", Help: "what was taken; of a material without a part, A and B mixed", Like: "132 g", Kind: chat.Measure, Dims: either},
					{Name: "left", Help: "what the scale shows now, container and all", Like: "1320 g", Kind: chat.Measure, Dims: grams, Zero: true}, tare,
					{Name: "sure", Help: "yes takes what is there, or what is past its date", Kind: chat.YesNo}}},
			{Name: "check", Help: "whether a jug is still good, and warm enough to open", Computes: true, Run: s.check,
				Options: []chat.Option{which, material, part,
					{Name: "jug_temp", Help: "how cold the jug is; the room's if left out", Like: "8 C", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Temp}, Min: -30, Max: 60, Negative: true, Zero: true},
					roomOption,
					{Name: "humidity", Help: "of the room, the shop's if left out", Like: "50 %", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Number}, Percent: true, Min: 0.01, Max: 1}}},
			{Name: "show", Help: "all about a jug: what took from it, and which pours", Run: s.show, Options: one},
			{Name: "list", Help: "what is left in which jug, what ends first; with a lot, where it went", Run: s.list,
				Options: []chat.Option{material, {Name: "lot", Help: "containers of that lot, and the pours that drew from them", Like: "L 2207", Length: 60},
					{Name: "finished", Help: "yes lists yours that are finished too", Kind: chat.YesNo}}},
			{Name: "finish", Help: "it is empty, or thrown away", Writes: true, Run: s.finish, Options: []chat.Option{which, {Name: "sure", Kind: chat.YesNo, Help: "yes, though something is left in it"}}},
			{Name: "reorder", Help: "how much to buy, from what pours used; without a material, all that is low", Computes: true, Writes: true, Run: s.reorder, Options: []chat.Option{
				{Name: "material", Help: "of which material; all that is low if left out", Like: "demo rigid white", Suggest: d.library.SuggestMaterial},
				{Name: "use", Help: "what you use in a month, in place of what pours used", Like: "900 g", Kind: chat.Measure, Dims: either},
				money("order_cost", "what one order costs besides the material, such as its shipping", "8.50"),
				{Name: "interest", Help: "what money in stock costs a year; 25 % if left out", Like: "25 %", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Number}, Percent: true, Min: 0.001, Max: 2},
				{Name: "lead", Help: "how long an order takes to come; 2 weeks if left out", Like: "10 d", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Time}, Max: 366 * 86400},
				{Name: "level", Help: "keep this as the amount at which you are told, for your containers of it", Like: "400 g", Kind: chat.Measure, Dims: grams}}},
			{Name: "share", Help: "let the members of the shop open it and take from it", Writes: true, Run: s.share, Options: one},
			{Name: "unshare", Help: "keep it to yourself", Writes: true, Run: s.unshare, Options: one},
			{Name: "undo", Help: "take the last thing you did to it back, within ten minutes", Writes: true, Run: s.undo, Options: one},
			{Name: "remove", Help: "take it off the shelf with its log", Writes: true, Run: s.remove, Options: []chat.Option{which, {Name: "sure", Kind: chat.YesNo, Help: "yes removes it"}}},
		},
	}
}

func (s stockCommand) shelf(ctx context.Context, c *chat.Call) (library.Stock, error) {
	return library.StockSeen(ctx, c, s.Stock, s.Materials)
}

// which finds the container that is meant: by its number or name, or the first
// to pour from of a material and part. fits says which an act is for.
func (s stockCommand) which(ctx context.Context, c *chat.Call, fits func(shop.Container) bool) (library.Stock, shop.Container, error) {
	shelf, err := s.shelf(ctx, c)
	if err != nil {
		return shelf, shop.Container{}, err
	}
	among := slices.DeleteFunc(slices.Clone(shelf.All), func(one shop.Container) bool { return !one.Finished.IsZero() || !fits(one) })
	if c.Has("container") || !c.Has("material") {
		if c.Has("part") {
			among = ofPart(among, partOf(c))
		}
		one, err := shelf.Container(c, "container", among)
		return shelf, one, err
	}
	m, err := s.library.Material(ctx, c, "material", library.Take)
	if err != nil {
		return shelf, shop.Container{}, err
	}
	of := shelf.Of(m)
	if c.Has("part") {
		of = ofPart(of, partOf(c))
	}
	of = slices.DeleteFunc(of, func(one shop.Container) bool { return !fits(one) })
	if len(of) == 0 {
		return shelf, shop.Container{}, notKept(m, "material")
	}
	id, ok := stock.First(shelf.Jugs(of), shelf.Today())
	if !ok {
		id = of[0].ID
	}
	one, _ := shelf.ByID(id)
	c.Pin("container", chat.Ref(id, 0))
	return shelf, one, nil
}

func notKept(m shop.Material, option string) error {
	return fault.New(fault.NotFound, "no container of %s is there that this could be done to", m.Name).In(option).
		Hint(`/stock list shows what there is; /stock add material:"%s" part:A amount:"1 kg" keeps one`, m.Name)
}

func partOf(c *chat.Call) stock.Part {
	if p := stock.Part(c.Text("part")); p != "pack" {
		return p
	}
	return stock.Kit
}

func ofPart(all []shop.Container, part stock.Part) []shop.Container {
	return slices.DeleteFunc(slices.Clone(all), func(one shop.Container) bool { return one.Part != string(part) })
}

func anyContainer(shop.Container) bool { return true }

// stockLine is a command about a container.
func stockLine(sub string, one shop.Container, more map[string]string) string {
	options := map[string]string{"container": chat.Ref(one.ID, 0)}
	for k, v := range more {
		options[k] = v
	}
	return chat.FormatLine("stock "+sub, options, []string{"container"})
}

func jugName(one shop.Container) string { return chat.Ref(one.ID, 0) + " " + one.Name() }

// dayText is a day as it is read.
func dayText(day time.Time) string { return day.Format("2 Jan 2006") }

// gramsText is an amount of one or both parts.
func gramsText(c *chat.Call, a stock.Amount) string {
	mass := func(v float64) string { return quantity.TextStep(v, c.By.Shop.Set.ScaleStep, c.By.System()) }
	switch {
	case a.B <= stock.Slack:
		return mass(a.A) + " A"
	case a.A <= stock.Slack:
		return mass(a.B) + " B"
	}
	return mass(a.A) + " A and " + mass(a.B) + " B"
}

// leftFact is what is left in a container, as sure as it is.
func leftFact(c *chat.Call, one shop.Container) chat.Fact {
	left, sys := one.LeftAll(), c.By.System()
	r := stock.LeftRange(left, one.Reckoned)
	text := quantity.Text(left, quantity.Mass, sys)
	if one.Part == string(stock.Kit) {
		a, b := one.Left()
		text += ": " + gramsText(c, stock.Amount{A: a, B: b})
	}
	if r.High-r.Low > c.By.Shop.Set.ScaleStep {
		text += ", " + quantity.TextRange(r, quantity.Mass, sys) + " as long as it is not weighed"
	}
	return chat.Num("left", "Left", left, quantity.Mass, sys).Between(r.Low, r.High).Says(text)
}

// shelfFacts are how long a container is open, and how long it keeps.
func shelfFacts(c *chat.Call, shelf library.Stock, one shop.Container) []chat.Fact {
	var facts []chat.Fact
	if !one.OpenedOn.IsZero() {
		n := max(stock.Days(one.OpenedOn, shelf.Today()), 0)
		facts = append(facts, chat.Whole("open_days", "Open for", n, quantity.Count(n, "day", "days")+", since "+dayText(one.OpenedOn)))
	}
	k := shelf.Keeps(one)
	if k.Last.IsZero() {
		return facts
	}
	const day = 86400
	n := stock.Days(shelf.Today(), k.Last)
	low, high := n, n
	text := fmt.Sprintf("%s, until %s: %s", quantity.Count(n, "day", "days"), dayText(k.Last), k.Why)
	switch {
	case k.Guessed:
		low, high = stock.Days(shelf.Today(), k.Early), stock.Days(shelf.Today(), k.Late)
		text = fmt.Sprintf("until %s to %s, by %s", dayText(k.Early), dayText(k.Late), k.Why)
	case n < 0:
		text = fmt.Sprintf("past since %s, %s: %s", dayText(k.Last), quantity.Count(-n, "day", "days"), k.Why)
	}
	left := chat.Num("shelf_left", "Good for", float64(n*day), quantity.Time, c.By.System()).Between(float64(low*day), float64(high*day)).Says(text)
	return append(facts, left, chat.Fact{Key: "use_by", Label: "Use it by", Value: k.Last.Format(time.RFC3339), Text: dayText(k.Last)})
}

// lowNote says that little is left of a material, of all its containers here.
func lowNotes(c *chat.Call, shelf library.Stock, ids ...int64) (notes []string) {
	for _, id := range ids {
		one, ok := shelf.ByID(id)
		if !ok || one.Low == 0 || !one.Finished.IsZero() {
			continue
		}
		left := 0.0
		for _, other := range shelf.All {
			if other.Finished.IsZero() && other.MaterialID == one.MaterialID && other.Material == one.Material && other.Part == one.Part {
				left += other.LeftAll()
			}
		}
		if left > one.Low {
			continue
		}
		note := fmt.Sprintf("Low: %s of %s is left, and you wanted to be told at %s. /stock reorder says how much to buy.",
			quantity.Text(left, quantity.Mass, c.By.System()), one.Name(), quantity.Text(one.Low, quantity.Mass, c.By.System()))
		if !slices.Contains(notes, note) {
			notes = append(notes, note)
		}
	}
	return notes
}

// containerText is a container in one line of a list.
func containerText(c *chat.Call, shelf library.Stock, one shop.Container) string {
	parts := []string{quantity.Text(one.LeftAll(), quantity.Mass, c.By.System()) + " left"}
	k := shelf.Keeps(one)
	switch {
	case !one.Finished.IsZero():
		parts = []string{"finished " + dayText(one.Finished.In(c.By.Zone()))}
	case one.OpenedOn.IsZero():
		parts = append(parts, "sealed")
	default:
		parts = append(parts, "opened "+dayText(one.OpenedOn))
	}
	switch {
	case k.Last.IsZero() || !one.Finished.IsZero():
	case shelf.Past(one):
		parts = append(parts, "past since "+dayText(k.Last))
	case k.Guessed:
		parts = append(parts, fmt.Sprintf("use by %s to %s, as is usual", dayText(k.Early), dayText(k.Late)))
	default:
		parts = append(parts, "use by "+dayText(k.Last))
	}
	if one.Lot != "" {
		parts = append(parts, "lot "+one.Lot)
	}
	return strings.Join(append(parts, library.Badges(c, one.Record)...), ", ")
}
