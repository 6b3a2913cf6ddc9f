package commands

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/stock"
	"github.com/pourwright/pourwright/internal/working"
)

// daysAMonth is a twelfth of a year of 365.25 days.
const daysAMonth = 365.25 / 12

// order is what a purchase is worked out from: grams and the shop's money.
type purchase struct {
	month           quantity.Range // g
	learned         int            // draws it was learned from; zero where it was said
	unit, cost      float64        // of a gram, and of one order
	interest        float64
	open            float64 // months once opened; zero where nobody knows
	size, lot, pack float64 // g
	level, left     float64 // g
}

// reorder says how much to buy, and when.
func (s stockCommand) reorder(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	if !c.Has("material") {
		return s.reorderAll(ctx, c)
	}
	m, err := s.library.Material(ctx, c, "material", library.Take)
	if err != nil {
		return nil, err
	}
	shelf, err := s.shelf(ctx, c)
	if err != nil {
		return nil, err
	}
	of := shelf.Of(m)
	p := newPurchase(c, m, of)
	if err := s.monthly(ctx, c, m, of, &p); err != nil {
		return nil, err
	}
	lead := p.sized(c)
	if c.Has("level") {
		if err := s.keepLevel(ctx, c, of); err != nil {
			return nil, err
		}
		p.level = c.Value("level", 0)
	}
	return s.ordered(c, m, p, lead), nil
}

func newPurchase(c *chat.Call, m shop.Material, of []shop.Container) purchase {
	p := purchase{cost: c.Value("order_cost", 0), interest: c.Value("interest", stock.Interest), open: months(m.ShelfOpened), pack: m.PackAll()}
	p.unit, _ = m.PricePerGram()
	for _, one := range of {
		p.left += one.LeftAll()
	}
	return p
}

// sized works out how much to buy at once, and when, from the use of a month.
func (p *purchase) sized(c *chat.Call) (lead time.Duration) {
	p.size = stock.OrderSize(p.month.Mid*12, p.cost, p.interest*p.unit)
	p.lot = stock.Lot(p.size, p.month.Mid, p.open)
	lead = time.Duration(c.Value("lead", stock.Lead.Seconds()) * float64(time.Second))
	p.level = stock.Level(p.month.Mid/daysAMonth, lead)
	return lead
}

// packs is how many packs the lot is, one at least; zero where no pack is known
// or nothing says how much to buy.
func (p *purchase) packs() float64 {
	if p.pack <= 0 || p.lot <= 0 {
		return 0
	}
	return math.Max(math.Floor(p.lot/p.pack+1e-9), 1)
}

// packsText is so many packs of so many g, "2 packs of 1.8 kg".
func packsText(c *chat.Call, packs int, grams float64) string {
	return quantity.Count(packs, "pack", "packs") + " of " + quantity.Text(grams, quantity.Mass, c.By.System())
}

func months(s material.Span) float64 { return float64(s.Months) + float64(s.Days)/daysAMonth }

// monthly is the use of a month: as it was said, or learned from the member's
// pours.
func (s stockCommand) monthly(ctx context.Context, c *chat.Call, m shop.Material, of []shop.Container, p *purchase) error {
	if c.Has("use") {
		need, err := s.needOf(m, stock.Kit, c.Measure("use"))
		if err != nil {
			return err
		}
		p.month = quantity.Range{Low: need.Total(), Mid: need.Total(), High: need.Total()}
		return nil
	}
	all, err := s.Pours.Pours(ctx, c.By, usesRead)
	if err != nil {
		return fmt.Errorf("list pours: %w", err)
	}
	if err := s.learned(ctx, c, m, of, all, p); err != nil {
		return err
	}
	if p.learned == 0 {
		return fault.New(fault.MissingOption, "no pour of %s with a known mass tells yet what you use", m.Name).In("use").
			Hint("give what you use in a month, such as use:\"900 g\"")
	}
	return nil
}

// usesRead is how many pours, and entries of a container, a use is learned from:
// as many as are kept of one member.
const usesRead = 2000

// learned is the use of a month by the member's pours, and what was taken out by
// hand; no more than zero where there was none.
func (s stockCommand) learned(ctx context.Context, c *chat.Call, m shop.Material, of []shop.Container, all []shop.Pour, p *purchase) error {
	var draws []stock.Draw
	for _, pour := range all {
		if pour.MaterialID == m.ID && pour.State != shop.PourCanceled && pour.Mass > 0 {
			draws = append(draws, stock.Draw{At: pour.Started, Grams: pour.Mass})
		}
	}
	for _, one := range of { // and what was taken by hand
		log, err := s.Stock.ContainerLog(ctx, c.By, one.ID, usesRead)
		if err != nil {
			return fmt.Errorf("read the log of a container: %w", err)
		}
		for _, e := range log {
			if e.What == shop.StockUsed {
				draws = append(draws, stock.Draw{At: e.At, Grams: e.A + e.B})
			}
		}
	}
	day, low, high := stock.Rate(draws, c.At)
	if day == 0 {
		return nil
	}
	p.learned = len(draws)
	p.month = quantity.Range{Low: low * daysAMonth, Mid: day * daysAMonth, High: high * daysAMonth}
	return nil
}

// keepLevel keeps the amount at which to be told with the member's containers.
func (s stockCommand) keepLevel(ctx context.Context, c *chat.Call, of []shop.Container) error {
	level := c.Value("level", 0)
	mine := slices.DeleteFunc(slices.Clone(of), func(one shop.Container) bool { return !c.By.MayChange(one.Record) })
	if len(mine) == 0 {
		return fault.New(fault.NotFound, "you have no container of it that the level could be kept with").In("level").Hint("/stock add keeps one, with low: as its level")
	}
	err := s.Together.Together(ctx, func(b shop.Books) error {
		for _, one := range mine {
			if _, err := b.Stock.ChangeContainer(ctx, c.Stamp(), one.ID, shop.ContainerChange{Low: &level}); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return fmt.Errorf("keep a level: %w", err)
	}
	return nil
}

func (s stockCommand) ordered(c *chat.Call, m shop.Material, p purchase, lead time.Duration) *chat.Reply {
	sys := c.By.System()
	mass := func(v float64) string { return quantity.Text(v, quantity.Mass, sys) }
	r := &chat.Reply{Facts: []chat.Fact{
		chat.Num("use_per_month", "Use in a month", p.month.Mid, quantity.Mass, sys).Between(p.month.Low, p.month.High).Says(quantity.TextRange(p.month, quantity.Mass, sys)),
		chat.Num("left", "In stock", p.left, quantity.Mass, sys),
		chat.Num("level", "Order when this is left", p.level, quantity.Mass, sys),
	}}
	when := "No need to order yet. Then"
	if p.left <= p.level {
		when = "Order now:"
	}
	packs := p.packs()
	switch {
	case p.lot <= 0:
		r.Title = fmt.Sprintf("%s as much as you use up in time; say what an order costs, or how long it lasts once opened, to learn how much", when)
	case packs > 0:
		r.Title = fmt.Sprintf("%s %s, %s", when, packsText(c, int(packs), p.pack), m.Name)
	default:
		r.Title = fmt.Sprintf("%s about %s, %s", when, mass(p.lot), m.Name)
	}
	if p.lot > 0 {
		low, high := p.scaled(p.month.Low), p.scaled(p.month.High)
		r.Facts = append(r.Facts, chat.Num("lot_size", "At once, at most", p.lot, quantity.Mass, sys).Between(low, high).
			Says(quantity.TextRange(quantity.Range{Low: low, Mid: p.lot, High: high}, quantity.Mass, sys)))
	}
	if packs > 0 {
		r.Facts = append(r.Facts, chat.Whole("packs", "Packs", int(packs), fmt.Sprint(int(packs))))
	}
	if currency := c.By.Shop.Set.Currency; packs > 0 && m.Price > 0 && currency != "" {
		r.Facts = append(r.Facts, chat.Fact{Key: "cost", Label: "Cost", Value: packs*m.Price + p.cost, Unit: currency, Text: fmt.Sprintf("%.2f %s", packs*m.Price+p.cost, currency)})
	}
	r.Notes = p.notes(c, m, packs)
	r.Working = p.working(lead)
	return r
}

// scaled is the lot of another use.
func (p purchase) scaled(month float64) float64 {
	return stock.Lot(stock.OrderSize(month*12, p.cost, p.interest*p.unit), month, p.open)
}

func (p purchase) notes(c *chat.Call, m shop.Material, packs float64) (notes []string) {
	say := func(when bool, format string, args ...any) {
		if when {
			notes = append(notes, fmt.Sprintf(format, args...))
		}
	}
	sys := c.By.System()
	say(p.learned > 0, "The use is learned from %s of the last year; few of them tell little, and the range says how little.", quantity.Count(p.learned, "entry", "entries"))
	say(p.lot > 0 && p.size > 0 && p.lot < p.size, "Its open life decides, not the price: what is bought must be used up within %s of opening.", m.ShelfOpened)
	say(p.cost == 0, "What an order costs is not said, so only the open life bounds it; order_cost: weighs shipping against money on the shelf.")
	say(p.unit == 0 && p.cost > 0, "Price and pack are not in the profile, so the cost of keeping it is left out: /material edit adds them.")
	say(p.open == 0, "The profile does not say how long it lasts once opened: buy small, or keep most of it sealed.")
	say(packs == 1 && p.lot > 0 && p.pack > p.lot, "A pack of %s is more than you use up in time. A smaller kit costs more a gram and wastes less.", quantity.Text(p.pack, quantity.Mass, sys))
	say(c.Has("level"), "You will be told when %s or less is left, in /stock list and after each use.", quantity.Text(p.level, quantity.Mass, sys))
	say(!c.Has("interest") && p.cost > 0, "Money on the shelf is taken to cost %s a year (common practice, no source).", quantity.Percent(stock.Interest))
	return notes
}

func (p purchase) working(lead time.Duration) []working.Step {
	steps := working.Add(nil, "order when this is left", "use a day × lead × 1.5", "common practice, no source", "%s g/month, %s days: %s g",
		working.Num(p.month.Mid), working.Num(lead.Hours()/24), working.Num(p.level))
	if p.size > 0 {
		steps = working.Add(steps, "order size", "√(2·D·K/h)", "Harris 1913, as quoted in textbooks", "D %s g a year, K %s, h %s × %s a g: %s g",
			working.Num(p.month.Mid*12), working.Num(p.cost), working.Num(p.interest), working.Num(p.unit), working.Num(p.size))
	}
	if p.open > 0 {
		steps = working.Add(steps, "at once", "min(order size, use × open life)", "the bulletin's open life", "%s g × %s months = %s g", working.Num(p.month.Mid), working.Num(p.open), working.Num(p.month.Mid*p.open))
	}
	return steps
}
