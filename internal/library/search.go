package library

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// FoundMost is how many materials a search shows, wordsMost how many words one
// may have.
const (
	FoundMost = 20
	wordsMost = 8
)

// FindOptions are what a search of materials takes; one of them must be given.
func FindOptions() []chat.Option {
	return []chat.Option{
		{Name: "words", Help: "part of a name, a family or a color, or a hardness", Like: "rigid", Length: 100},
		{Name: "family", Help: "its chemistry; silicone is both kinds", Like: "urethane", Suggest: familyField().Suggest},
		{Name: "hardness", Help: "a Shore reading or a range of them", Like: "60 A to 80 A", Length: 60},
		{Name: "pot_life", Help: "how long it stays pourable, or a range", Like: "10 min to 30 min", Length: 60},
		{Name: "demold", Help: "earliest safe demold, or a range", Like: "up to 1 h", Length: 60},
		{Name: "cost", Help: "what a kilogram costs, in the shop's currency, or a range", Like: "up to 25", Length: 60},
	}
}

// Found is what a search of materials came to.
type Found struct {
	shop.MaterialsFound
	For    string // what was looked for, in words
	Asked  []string
	Sorted shop.MaterialSort
}

// asking is a search being read.
type asking struct {
	shop.MaterialQuery
	said   []string // in words
	silent []string // the figures that a profile may leave unsaid
}

// Find looks through the viewer's own materials and those of the shop. Errors:
// missing_option where nothing is asked, and those of reading.
func Find(ctx context.Context, c *chat.Call, search shop.MaterialSearch) (Found, error) {
	q, err := readSearch(c)
	if err != nil {
		return Found{}, err
	}
	found, err := search.SearchMaterials(ctx, c.By, q.MaterialQuery)
	if err != nil {
		return Found{}, fmt.Errorf("search materials: %w", err)
	}
	if found.All == 0 && len(q.Words) > 0 {
		if found, err = elsewise(ctx, c, search, q, found); err != nil {
			return Found{}, err
		}
	}
	return Found{MaterialsFound: found, For: strings.Join(q.said, ", "), Asked: q.silent, Sorted: q.Sort}, nil
}

// elsewise takes words that no name holds as a hardness, or else finds names
// that are near them.
func elsewise(ctx context.Context, c *chat.Call, search shop.MaterialSearch, q asking, none shop.MaterialsFound) (shop.MaterialsFound, error) {
	if h, err := material.ParseHardness(c.Text("words")); err == nil && len(q.Hardness) == 0 {
		q.Words = nil
		q.Hardness = []shop.ShoreBounds{{Scale: h.Scale, Bounds: shop.Bounds{Low: &h.Shore, High: &h.Shore}}}
		found, err := search.SearchMaterials(ctx, c.By, q.MaterialQuery)
		if err != nil {
			return none, fmt.Errorf("search materials by hardness: %w", err)
		}
		c.Note(fmt.Sprintf("%q is in no name, so it was read as the hardness %s.", fault.Echo(c.Text("words")), h))
		return found, nil
	}
	names, err := search.SearchNames(ctx, c.By, q.MaterialQuery)
	if err != nil {
		return none, fmt.Errorf("search names: %w", err)
	}
	ids := nearIDs(q.Words, names)
	if len(ids) == 0 {
		return none, nil
	}
	near := len(ids)
	q.IDs = ids[:min(len(ids), FoundMost)]
	found, err := search.SearchMaterials(ctx, c.By, q.MaterialQuery)
	if err != nil {
		return none, fmt.Errorf("fetch near materials: %w", err)
	}
	found.All, found.Silent = near, 0
	slices.SortStableFunc(found.Materials, func(a, b shop.Material) int {
		return slices.Index(q.IDs, a.ID) - slices.Index(q.IDs, b.ID)
	})
	c.Note(fmt.Sprintf("No name holds %q; these are the nearest.", fault.Echo(c.Text("words"))))
	return found, nil
}

// nearIDs gives the names that the words may have meant, best first: as a
// whole, or else each word near one of the name's, in any order.
func nearIDs(words []string, names []shop.Entry) []int64 {
	type scored struct {
		shop.Entry
		cost int
	}
	whole := chat.Near(strings.Join(words, " "))
	each := make([]*chat.Typed, len(words))
	for i, w := range words {
		each[i] = chat.Near(w)
	}
	var near []scored
	for _, e := range names {
		name := chat.Named(e.Name)
		cost, ok := whole.Cost(name)
		if !ok && len(words) > 1 && !slices.ContainsFunc(each, func(w *chat.Typed) bool { return w.Far(name) }) {
			cost, ok = nearWords(each, strings.Fields(e.Name))
		}
		if ok {
			near = append(near, scored{e, cost})
		}
	}
	slices.SortStableFunc(near, func(a, b scored) int {
		if a.cost != b.cost {
			return a.cost - b.cost
		}
		return strings.Compare(a.Name, b.Name)
	})
	ids := make([]int64, len(near))
	for i, n := range near {
		ids[i] = n.ID
	}
	return ids
}

// wordwise is added to the cost of a name that is near word by word only.
const wordwise = 20

func nearWords(words []*chat.Typed, name []string) (cost int, ok bool) {
	named := make([]chat.Name, 0, 8)
	for _, n := range name {
		named = append(named, chat.Named(n))
	}
	cost = wordwise
	for _, w := range words {
		best := -1
		for _, n := range named {
			if c, ok := w.Cost(n); ok && (best < 0 || c < best) {
				best = c
			}
		}
		if best < 0 {
			return 0, false
		}
		cost += best
	}
	return cost, true
}

// readSearch reads the options of FindOptions.
func readSearch(c *chat.Call) (asking, error) {
	q := asking{MaterialQuery: shop.MaterialQuery{Most: FoundMost}}
	if c.Has("words") && c.Text("words") != "" {
		q.Words = strings.Fields(c.Text("words"))
		if len(q.Words) > wordsMost {
			return q, fault.New(fault.LimitReached, "%d words are more than the %d that are looked for", len(q.Words), wordsMost).In("words").
				Hint("give the ones that matter, such as words:rigid")
		}
		q.said = append(q.said, fmt.Sprintf("%q", c.Text("words")))
	}
	for _, read := range []func(*chat.Call) error{q.family, q.hardness, q.figures} {
		if err := read(c); err != nil {
			return q, err
		}
	}
	if len(q.said) == 0 {
		return q, fault.New(fault.MissingOption, "nothing is asked for").In("words").
			Hint(`give words:rigid, family:silicone, hardness:"60 A to 80 A" or pot_life:"10 min to 30 min"; /material list shows all`)
	}
	return q, nil
}

// family takes a family by any of its names; a word that could be several is
// all of them.
func (q *asking) family(c *chat.Call) error {
	if !c.Has("family") {
		return nil
	}
	fam, err := material.ParseFamily(c.Text("family"))
	switch f := fault.As(err); {
	case err == nil:
		q.Families = []material.Family{fam}
	case f.Code == fault.AmbiguousName:
		for _, ch := range f.Choices() {
			q.Families = append(q.Families, material.Family(ch.Value))
		}
	default:
		return f.In("family")
	}
	var words []string
	for _, f := range q.Families {
		words = append(words, string(f))
	}
	q.said = append(q.said, strings.Join(words, " or "))
	return nil
}

func (q *asking) hardness(c *chat.Call) error {
	if !c.Has("hardness") {
		return nil
	}
	bounds, text, err := ReadHardness(c, "hardness")
	if err != nil {
		return err
	}
	if len(bounds) == 1 {
		c.Note(fmt.Sprintf("Readings on Shore %s count; the other Shore scales are separate tests and were left out.", bounds[0].Scale))
	}
	q.Hardness = bounds
	q.said, q.silent = append(q.said, "hardness "+text), append(q.silent, "hardness")
	q.sortBy(shop.SortHardness)
	return nil
}

func (q *asking) figures(c *chat.Call) error {
	for _, f := range []struct {
		option, words string
		want          quantity.Want
		at            *shop.Bounds
		sort          shop.MaterialSort
	}{
		{"pot_life", "pot life", minutes(), &q.PotLife, shop.SortPotLife},
		{"demold", "demold", minutes(), &q.Demold, shop.SortDemold},
		{"cost", "cost of a kilogram", quantity.Want{Dims: []quantity.Dim{quantity.Number}, Max: 1e9, Zero: true}, &q.Cost, shop.SortCost},
	} {
		if !c.Has(f.option) {
			continue
		}
		asked, err := ReadBounds(c, f.option, f.want)
		if err != nil {
			return err
		}
		*f.at = asked.Bounds
		q.said = append(q.said, f.words+" "+asked.Text)
		if f.option != "pot_life" { // which every profile has
			q.silent = append(q.silent, f.words)
		}
		q.sortBy(f.sort)
	}
	return nil
}

// minutes reads a time whose bare number is minutes.
func minutes() quantity.Want {
	unit, _ := quantity.UnitNamed("min", quantity.Metric)
	return quantity.Want{Dims: []quantity.Dim{quantity.Time}, Bare: unit, Max: 60 * 24 * 3600, Zero: true}
}

// sortBy sorts by the first figure that is asked for.
func (q *asking) sortBy(s shop.MaterialSort) {
	if q.Sort == shop.SortName {
		q.Sort = s
	}
}
