package plan

import (
	"github.com/pourwright/pourwright/internal/quantity"
)

// Costs is what a part costs, in whole units of a currency; zero is nothing.
type Costs struct {
	Currency    string
	Material    float64 // the resin of a part, what is left in the cup included
	Tint        float64
	Mold        float64        // what its mold cost
	Pulls       quantity.Range // that the mold is expected to give, from its first
	Cavities    int
	Consumables float64 // cups, sticks, gloves, release, a part
	Labor       float64 // hands, a part
	Scrap       float64 // share of the parts that are spoiled
}

// Line is one part of a cost.
type Line struct {
	What  string
	Money Money
	Exact float64
}

// Cost is a good part's.
type Cost struct {
	Lines []Line // they add up to Cast
	Cast  Money  // a part as cast
	Good  Money  // a good one
	// Each is Good unrounded; its ends are those of the mold's life.
	Each quantity.Range
}

// Of works a cost out: the sum of the lines over the share of good parts.
func (c Costs) Of() Cost {
	lines := []Line{{What: "material", Exact: c.Material}, {What: "tint", Exact: c.Tint}, {What: "mold", Exact: c.share(c.Pulls.Mid)},
		{What: "consumables", Exact: c.Consumables}, {What: "labor", Exact: c.Labor}}
	var exact []float64
	var out Cost
	for _, l := range lines {
		if l.Exact > 0 {
			out.Lines = append(out.Lines, l)
			exact = append(exact, l.Exact)
		}
	}
	each, sum := shares(exact, c.Currency)
	for i := range each {
		out.Lines[i].Money = each[i]
	}
	out.Cast = sum
	good := func(pulls float64) float64 {
		return PerGood(c.Material+c.Tint+c.share(pulls)+c.Consumables+c.Labor, 1-c.Scrap)
	}
	// A mold that lasts long makes its parts cheap.
	out.Each = quantity.Range{Low: good(c.Pulls.High), Mid: good(c.Pulls.Mid), High: good(c.Pulls.Low)}
	out.Good = InMoney(out.Each.Mid, c.Currency)
	return out
}

// share is a part's of the mold, at so many pulls.
func (c Costs) share(pulls float64) float64 {
	if c.Mold == 0 {
		return 0
	}
	return c.Mold / max(pulls, 1) / float64(max(c.Cavities, 1))
}

// PerGood is what a good part costs where a part costs so much and only that
// share of them is good.
func PerGood(each, good float64) float64 { return each / good }

// UnitPrice is the price of one unit of an amount that costs so much.
func UnitPrice(price, amount float64) float64 { return price / amount }
