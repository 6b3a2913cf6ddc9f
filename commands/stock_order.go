package commands

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/plan"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/stock"
)

// This file makes the order list of all that is low.

// lowLine is a material that is low.
type lowLine struct {
	m     shop.Material
	why   string
	packs int
	asks  bool // there is a use to work out more from
}

// reorderAll lists what is low: by the level kept with a container, by what
// pours use while an order comes, or because nothing in date is left.
func (s stockCommand) reorderAll(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	for _, o := range []string{"use", "level"} {
		if c.Has(o) {
			return nil, fault.New(fault.MissingOption, "%s belongs to one material: which?", o).In("material").Hint("give material, or leave %s out to have all that is low", o)
		}
	}
	shelf, err := s.shelf(ctx, c)
	if err != nil {
		return nil, err
	}
	pours, err := s.Pours.Pours(ctx, c.By, usesRead)
	if err != nil {
		return nil, fmt.Errorf("list pours: %w", err)
	}
	var low []lowLine
	kept := materialsKept(shelf)
	for _, m := range kept {
		of := shelf.Of(m)
		p := newPurchase(c, m, of)
		if err := s.learned(ctx, c, m, of, pours, &p); err != nil {
			return nil, err
		}
		p.sized(c)
		if why := whyLow(c, shelf, of, &p); why != "" {
			low = append(low, lowLine{m, why, max(int(p.packs()), 1), p.learned > 0})
		}
	}
	return lowReply(c, low, len(kept)), nil
}

// materialsKept are the materials that have a container, once each, by name. Those of
// which the last one was finished count as well.
func materialsKept(shelf library.Stock) (all []shop.Material) {
	for _, one := range shelf.All {
		m, ok := shelf.Profile(one)
		if ok && !slices.ContainsFunc(all, func(other shop.Material) bool { return other.ID == m.ID }) {
			all = append(all, m)
		}
	}
	slices.SortFunc(all, func(a, b shop.Material) int {
		return cmp.Or(cmp.Compare(chat.Fold(a.Name), chat.Fold(b.Name)), cmp.Compare(a.ID, b.ID))
	})
	return all
}

// whyLow says why a material is to be bought, "" where it is not.
func whyLow(c *chat.Call, shelf library.Stock, of []shop.Container, p *purchase) string {
	mass := func(v float64) string { return quantity.Text(v, quantity.Mass, c.By.System()) }
	good, past := 0.0, 0.0
	var a, b float64
	for _, one := range of {
		if shelf.Past(one) {
			past += one.LeftAll()
			continue
		}
		good += one.LeftAll()
		leftA, leftB := one.Left()
		a, b = a+leftA, b+leftB
	}
	for _, one := range of {
		left := partLeft(of, shelf, one.Part)
		if one.Low > 0 && left <= one.Low {
			return fmt.Sprintf("%s of %s left, and you wanted to be told at %s", mass(left), one.Name(), mass(one.Low))
		}
	}
	need, gone := tracked(of, stock.Amount{A: 1, B: 1}), ""
	switch {
	case need.A > 0 && a <= stock.Slack:
		gone = "no part A is left"
	case need.B > 0 && b <= stock.Slack:
		gone = "no part B is left"
	}
	switch {
	case len(of) == 0 && p.learned == 0:
		return "" // nobody used it within a year
	case len(of) == 0:
		return "none is left"
	case gone != "" && past > stock.Slack:
		return fmt.Sprintf("%s, but %s past its date", gone, mass(past))
	case gone != "":
		return gone
	case p.learned > 0 && good <= p.level:
		return fmt.Sprintf("%s left, and about %s go while an order comes", mass(good), mass(p.level))
	}
	return ""
}

// partLeft is what is in date of one part.
func partLeft(of []shop.Container, shelf library.Stock, part string) (left float64) {
	for _, one := range of {
		if one.Part == part && !shelf.Past(one) {
			left += one.LeftAll()
		}
	}
	return left
}

func lowReply(c *chat.Call, low []lowLine, looked int) *chat.Reply {
	r := &chat.Reply{Title: fmt.Sprintf("Nothing is low of %s in stock", quantity.Count(looked, "material", "materials"))}
	if looked == 0 {
		r.Title = "Nothing is in stock here yet"
		r.Notes = []string{`/stock add material:"demo rigid white" part:A amount:"1 kg" keeps a jug.`}
	}
	currency := c.By.Shop.Set.Currency
	total, unpriced := 0.0, false
	for _, l := range low {
		text := fmt.Sprintf("%s: %s. ", library.Capital(l.m.Name), l.why)
		switch pack := l.m.PackAll(); {
		case pack > 0 && l.m.Price > 0 && currency != "":
			price := float64(l.packs) * l.m.Price
			total += price
			text += fmt.Sprintf("Buy %s, %s.", packsText(c, l.packs, pack), plan.InMoney(price, currency))
		case pack > 0:
			unpriced = true
			text += fmt.Sprintf("Buy %s.", packsText(c, l.packs, pack))
		default:
			unpriced = true
			text += "Its profile tells no pack."
		}
		r.Steps = append(r.Steps, text)
		if l.asks && len(r.Actions) < 3 {
			r.Actions = append(r.Actions, chat.Action{Label: "How much " + l.m.Name, Line: chat.FormatLine("stock reorder", map[string]string{"material": chat.Ref(l.m.ID, l.m.Version)}, nil)})
		}
	}
	if len(low) > 0 {
		r.Title = fmt.Sprintf("%s to buy", quantity.Count(len(low), "material", "materials"))
		r.Notes = append(r.Notes, "Low is what a jug's own level says, what your pours use in the two weeks that an order takes and half as much again (common practice), or a part of which nothing in date is left. Material that you never kept here is not looked at.")
	}
	r.Facts = []chat.Fact{chat.Whole("low", "Low", len(low), fmt.Sprint(len(low)))}
	if total > 0 {
		text := plan.InMoney(total, currency).String()
		if unpriced {
			text += ", and what has no price in its profile"
		}
		r.Facts = append(r.Facts, chat.Fact{Key: "cost", Label: "All of it costs", Value: total, Unit: currency, Text: text})
	}
	r.Actions = append(r.Actions, chat.Action{Label: "What is in stock", Line: "/stock list"})
	return r
}
