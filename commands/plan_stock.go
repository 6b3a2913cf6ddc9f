package commands

import (
	"context"
	"fmt"
	"math"
	"slices"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/plan"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/stock"
	"github.com/pourwright/pourwright/internal/working"
)

// This file says how far the jugs go over a run, and what to buy for the rest.

// runStock is what is kept of a run's material, against its pours.
type runStock struct {
	stock.Outlook
	least, most int // pours, by what pours before them drew unweighed
	needs       []stock.Need
	shelf       library.Stock
	of          []shop.Container
	m           shop.Material
	packs       int // to buy; zero where nothing is, or the profile does not tell
}

// newRunStock looks ahead over pours; nil where nothing of the material is kept.
func newRunStock(shelf library.Stock, m shop.Material, needs []stock.Need) *runStock {
	s := &runStock{shelf: shelf, of: shelf.Of(m), m: m}
	if len(s.of) == 0 || len(needs) == 0 {
		return nil
	}
	for _, n := range needs {
		n.Amount = tracked(s.of, n.Amount)
		s.needs = append(s.needs, n)
	}
	jugs := shelf.Jugs(s.of)
	s.Outlook = stock.Ahead(jugs, s.needs)
	least, most := stock.Unsure(jugs, func(id int64) float64 {
		one, _ := shelf.ByID(id)
		return one.Reckoned
	})
	s.least, s.most = stock.Ahead(least, s.needs).Lasts, stock.Ahead(most, s.needs).Lasts
	if a, b, ok := m.Packs(); ok {
		s.packs = stock.Buy(s.Short, stock.Amount{A: a, B: b})
	} else {
		s.packs = stock.Buy(stock.Amount{A: s.Short.Total()}, stock.Amount{A: m.PackAll()})
	}
	return s
}

func (s *runStock) covers() bool { return s.Lasts == len(s.needs) }

// facts are whether the run is covered and, if it is not, what is missing.
func (s *runStock) facts(c *chat.Call) []chat.Fact {
	text := "yes"
	switch {
	case !s.covers():
		text = fmt.Sprintf("no, for %d of %s", s.Lasts, quantity.Count(len(s.needs), "pour", "pours"))
	case s.least < s.Lasts:
		text = "yes, if the jugs hold what the book says"
	}
	facts := []chat.Fact{{Key: "stock_covers", Label: "Enough in stock", Value: s.covers(), Text: text}}
	if s.packs > 0 {
		text := packsText(c, s.packs, s.m.PackAll())
		if price, ok := s.price(c); ok {
			text += ", " + price.String()
		}
		facts = append(facts, chat.Whole("packs", "To buy", s.packs, text))
	}
	return facts
}

// more are the facts that not everybody needs.
func (s *runStock) more(c *chat.Call) []chat.Fact {
	sys := c.By.System()
	facts := []chat.Fact{chat.Whole("stock_pours", "Pours that the stock lasts for", s.Lasts, fmt.Sprint(s.Lasts)).Between(float64(s.least), float64(s.most))}
	if s.covers() {
		return facts
	}
	facts = append(facts, chat.Num("short_a", "Part A short", s.Short.A, quantity.Mass, sys), chat.Num("short_b", "Part B short", s.Short.B, quantity.Mass, sys))
	if price, ok := s.price(c); ok {
		facts = append(facts, chat.Fact{Key: "packs_cost", Label: "The packs cost", Value: price.Amount(), Unit: price.Currency, Text: price.String()})
	}
	return facts
}

func (s *runStock) price(c *chat.Call) (plan.Money, bool) {
	currency := c.By.Shop.Set.Currency
	return plan.InMoney(float64(s.packs)*s.m.Price, currency), s.packs > 0 && s.m.Price > 0 && currency != ""
}

// notes say what is missing, what to buy, and which jug ends before the run
// does. until tells when the first pour is due that there is too little for.
func (s *runStock) notes(c *chat.Call, until string) []string {
	var notes []string
	switch {
	case !s.covers() && s.Lasts == 0:
		notes = append(notes, fmt.Sprintf("The stock does not give the first pour: %s short over the run. %s", gramsText(c, s.Short), s.buy(c)))
	case !s.covers():
		notes = append(notes, fmt.Sprintf("The stock lasts for %s and gives out %s: %s short over the run. %s",
			quantity.Count(s.Lasts, "pour", "pours"), until, gramsText(c, s.Short), s.buy(c)))
	case s.least < s.Lasts:
		notes = append(notes, "The stock is just enough by the book, and what pours took was not weighed: weigh the jugs and say /stock use with left: before you begin.")
	}
	today := s.shelf.Today()
	for _, e := range s.Ends {
		one, _ := s.shelf.ByID(e.ID)
		last := s.shelf.Keeps(one).Last
		if last.Before(today) {
			notes = append(notes, fmt.Sprintf("%s is past its date since %s, so it is not counted on: /stock check container:%s says whether it is still good, with a trial cup.",
				jugName(one), dayText(last), chat.Ref(one.ID, 0)))
			continue
		}
		notes = append(notes, fmt.Sprintf("%s goes past its date after %s, before the run ends, with %s still in it.", jugName(one), dayText(last), gramsText(c, e.Left)))
	}
	return notes
}

// buy is what makes up what is short, and what it costs.
func (s *runStock) buy(c *chat.Call) string {
	if s.packs == 0 {
		return fmt.Sprintf("The profile does not tell the pack; /material edit material:%q pack:1.8kg adds it, and how many to buy is told here.", s.m.Name)
	}
	text := fmt.Sprintf("Buy %s before that", packsText(c, s.packs, s.m.PackAll()))
	if price, ok := s.price(c); ok {
		text += fmt.Sprintf(", %s by the profile's price", price)
	}
	if other := s.untracked(); other != "" {
		text += fmt.Sprintf("; part %s is not in stock here, so it was not looked at", other)
	}
	return text + "."
}

// untracked is the part of which no container is kept, "" where both are.
func (s *runStock) untracked() string {
	switch got := tracked(s.of, stock.Amount{A: 1, B: 1}); {
	case got.A == 0:
		return "A"
	case got.B == 0:
		return "B"
	}
	return ""
}

// stocked works out how far the jugs go over the pours of a plan. Where no
// grams can be told nothing is said.
func (p planCommand) stocked(ctx context.Context, r *runPlan) error {
	if !r.weighed() {
		return nil
	}
	var needs []stock.Need
	for i, s := range r.Steps {
		if s.Kind != plan.Pour {
			continue
		}
		b := r.cups[i]
		at := r.at(s.Start)
		r.pouredAt = append(r.pouredAt, at)
		needs = append(needs, stock.Need{Amount: stock.Amount{A: b.MassA, B: b.MassB}, Day: stock.Day(at, r.c.By.Zone())})
	}
	shelf, err := library.StockOf(ctx, r.c, p.Stock, p.Materials, r.material)
	if err != nil {
		return err
	}
	r.stock = newRunStock(shelf, r.material, needs)
	return nil
}

// stockNotes are those of a run.
func (r *runPlan) stockNotes() []string {
	if r.stock == nil {
		return nil
	}
	until := ""
	if !r.stock.covers() {
		until = "before the one at " + clock(r.c, r.pouredAt[r.stock.Lasts])
	}
	return r.stock.notes(r.c, until)
}

func (s *runStock) working(steps []working.Step) []working.Step {
	return working.Add(steps, "in stock", "each pour from what is in date on its day, what ends first before the rest", working.Definition, "%d of %d pours (%d to %d as unweighed); short of A %s g, B %s g",
		s.Lasts, len(s.needs), s.least, s.most, working.Num(s.Short.A), working.Num(s.Short.B))
}

// action leads to the jugs, where they do not last.
func (s *runStock) action(c *chat.Call) []chat.Action {
	if s == nil || s.covers() && len(s.Ends) == 0 {
		return nil
	}
	return []chat.Action{{Label: "What is in stock", Line: chat.FormatLine("stock list", map[string]string{"material": c.Meant("material")}, nil)}}
}

// stockOf says how far the jugs go over full molds of a part: for the copies
// that were asked about or, without, until they are empty.
func (p planCommand) stockOf(ctx context.Context, a *costAsk) error {
	if a.batch.NoWeights != "" {
		return nil
	}
	each := stock.Amount{A: a.batch.MassA, B: a.batch.MassB}
	shelf, err := library.StockOf(ctx, a.c, p.Stock, p.Materials, a.material)
	if err != nil {
		return err
	}
	of := shelf.Of(a.material)
	wanted := a.c.Count("copies", 0)
	fills := fillsFrom(shelf.Jugs(of), tracked(of, each))
	if wanted > 0 {
		fills = plan.Batches(wanted+plan.Spares(wanted, a.Scrap), a.Cavities)
	}
	needs := slices.Repeat([]stock.Need{{Amount: each, Day: shelf.Today()}}, min(max(fills, 1), mostCopies))
	a.stock = newRunStock(shelf, a.material, needs)
	return nil
}

// stockFacts are what the jugs are good for, and stockNotes what is missing.
func (a *costAsk) stockFacts() []chat.Fact {
	switch {
	case a.stock == nil:
		return nil
	case a.c.Has("copies"):
		return append(a.stock.facts(a.c), a.stock.more(a.c)...)
	}
	n, low, high := a.stock.Lasts*a.Cavities, a.stock.least*a.Cavities, a.stock.most*a.Cavities
	text := quantity.Count(n, "part", "parts") + " as cast"
	if low < n {
		text += fmt.Sprintf(", %d at least as long as the jugs are not weighed", low)
	}
	return []chat.Fact{chat.Whole("stock_parts", "What is in stock makes", n, text).Between(float64(low), float64(max(high, n)))}
}

func (a *costAsk) stockNotes() []string {
	if a.stock == nil || !a.c.Has("copies") {
		return nil
	}
	return a.stock.notes(a.c, fmt.Sprintf("after %s", quantity.Count(a.stock.Lasts*a.Cavities, "part", "parts")))
}

// fillsFrom is how many pours all that is in the jugs would be.
func fillsFrom(jugs []stock.Jug, each stock.Amount) int {
	var all stock.Amount
	for _, j := range jugs {
		all.A, all.B = all.A+j.Left.A, all.B+j.Left.B
	}
	fills := math.Inf(1)
	if each.A > 0 {
		fills = min(fills, all.A/each.A)
	}
	if each.B > 0 {
		fills = min(fills, all.B/each.B)
	}
	return int(min(math.Floor(fills+stock.Slack), mostCopies))
}
