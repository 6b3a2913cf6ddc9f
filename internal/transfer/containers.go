package transfer

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/stock"
)

// container is a jug or a pack as a row: its material named, and what is left
// in place of its log.
type container struct {
	shop.ContainerPlan
	LeftA, LeftB float64
	Opened       time.Time
	Finished     bool
}

const (
	maxLot   = 60
	maxGrams = 1e6
)

func asContainer(c shop.Container) container {
	a, b := c.Left()
	return container{c.ContainerPlan, a, b, c.OpenedOn, !c.Finished.IsZero()}
}

func containerColumns() []column[container] {
	type p = container
	gram := func(stem, doc string, at func(*p) *float64) column[p] { return amount(stem, quantity.Gram, doc, at) }
	day := func(name, doc string, at func(*p) *time.Time) column[p] {
		return column[p]{name: name, stem: name, doc: doc,
			get: func(c *p) value { return dayText(*at(c)) },
			set: func(c *p, in cell) (err error) { *at(c), err = in.day(); return err }}
	}
	leftA, leftB := func(c *p) *float64 { return &c.LeftA }, func(c *p) *float64 { return &c.LeftB }
	return []column[p]{
		words("material", maxName, false, "name of the material in it", func(c *p) *string { return &c.Material }),
		parsed("part", "A, B, or kit: both together", func(c *p) string { return c.Part }, func(c *p, text string) error {
			for _, part := range []stock.Part{stock.PartA, stock.PartB, stock.Kit} {
				if strings.EqualFold(text, string(part)) {
					c.Part = string(part)
					return nil
				}
			}
			return fault.New(fault.NotFound, "no container holds %s", shown(text)).Hint("write A, B or kit")
		}),
		gram("a", "part A in it when it was added", func(c *p) *float64 { return &c.A }),
		gram("b", "part B in it when it was added", func(c *p) *float64 { return &c.B }),
		gram("left_a", "part A left in it", leftA).always(leftA),
		gram("left_b", "part B left in it", leftB).always(leftB),
		words("lot", maxLot, false, "the lot printed on it", func(c *p) *string { return &c.Lot }),
		day("bought", "the day it was bought, such as 2026-10-01", func(c *p) *time.Time { return &c.Bought }),
		day("opened", "the day it was opened; empty while sealed", func(c *p) *time.Time { return &c.Opened }),
		day("use_by", "the last day on its label", func(c *p) *time.Time { return &c.UseBy }),
		gram("tare", "what it weighs empty", func(c *p) *float64 { return &c.Tare }),
		gram("low", "how little may be left before you are told", func(c *p) *float64 { return &c.Low }),
		yesNo("finished", "yes if it is empty or thrown away", func(c *p) *bool { return &c.Finished }),
	}
}

func checkContainer(p *container) []error {
	c := checker{}
	c.must("material", p.Material, "give the name of the material in it")
	c.must("part", p.Part, "write A, B or kit")
	for _, v := range []struct {
		option string
		g      float64
	}{{"a", p.A}, {"b", p.B}, {"left_a", p.LeftA}, {"left_b", p.LeftB}, {"tare", p.Tare}, {"low", p.Low}} {
		c.within(v.option, v.g, 0, maxGrams, false, "give it in g, such as 610")
	}
	switch {
	case p.A+p.B <= 0:
		c.must("a", "", "give what was in it, in g")
	case p.Part == string(stock.PartA) && (p.B > 0 || p.LeftB > 0):
		c.refuse(fault.OutOfRange, "b", "leave it empty, or write kit as its part", "a container of A holds no B")
	case p.Part == string(stock.PartB) && (p.A > 0 || p.LeftA > 0):
		c.refuse(fault.OutOfRange, "a", "leave it empty, or write kit as its part", "a container of B holds no A")
	}
	if !p.Opened.IsZero() && p.Opened.Before(p.Bought) {
		c.refuse(fault.OutOfRange, "opened", "give the day it was opened", "it was opened before it was bought")
	}
	return c.found
}

func (o *outlook) gatherContainers(ctx context.Context) (table, error) {
	all, err := o.ownContainers(ctx)
	return tableOf(Containers, containerColumns(), all), err
}

func (o *outlook) ownContainers(ctx context.Context) (own []container, err error) {
	all, err := o.d.books.Stock.Containers(ctx, o.v)
	if err != nil {
		return nil, fmt.Errorf("list containers: %w", err)
	}
	for _, c := range all {
		if o.v.MayChange(c.Record) {
			own = append(own, asContainer(c))
		}
	}
	return own, nil
}

// containerKey is what makes two rows the same jug: two alike are two.
func containerKey(c container) string {
	var b strings.Builder
	for _, col := range containerColumns() {
		fmt.Fprintf(&b, "%s\n", col.get(&c).shown())
	}
	return b.String()
}

// lookContainers holds rows against the member's own: one that is the same in
// all it says is there already, any other is another jug.
func (o *outlook) lookContainers(ctx context.Context, sheet Sheet) (Part, []container, error) {
	part := Part{Kind: Containers}
	own, err := o.ownContainers(ctx)
	if err != nil {
		return part, nil, err
	}
	have := map[string]int{}
	for _, c := range own {
		have[containerKey(c)]++
	}
	var rows []container
	for _, r := range sheet.rows {
		var fresh container
		p, problems := readRow(containerColumns(), fresh, r, nil, nil, checkContainer)
		for option, left := range map[string]func(*container){"left_a_g": func(c *container) { c.LeftA = c.A }, "left_b_g": func(c *container) { c.LeftB = c.B }} {
			if _, said := r.cell(option); !said {
				left(&p) // full, where it does not say
			}
		}
		e := Entry{Line: r.line, Name: p.Name(), Problems: problems, Verdict: Fresh}
		switch key := containerKey(p); {
		case len(problems) > 0:
			e.Verdict = Refused
		case have[key] > 0:
			have[key]--
			e.Verdict = Same
		default:
			name := o.nowCalled(p.Material)
			if _, ok := o.materials[name]; !ok && !o.coming[Materials][name] {
				e.Notes = append(e.Notes, "No material here is called "+shown(p.Material)+": nobody can tell how long it keeps, and no pour draws from it.")
			}
		}
		part.Entries, rows = append(part.Entries, e), append(rows, p)
	}
	return part, rows, nil
}

// carryContainers adds the rows that are new.
func (o *outlook) carryContainers(ctx context.Context, st shop.Stamp, part *Part, rows []container) error {
	to := o.d.books.Stock
	for i, e := range part.Entries {
		switch e.Verdict {
		case Refused:
			part.Done.LeftOut++
			continue
		case Same:
			part.Done.Kept++
			continue
		}
		row := rows[i]
		c, err := to.AddContainer(ctx, st, shop.Container{ContainerPlan: row.ContainerPlan, OpenedOn: row.Opened, MaterialID: o.materials[o.nowCalled(row.Material)].ID})
		if err != nil {
			return fmt.Errorf("keep a container: %w", err)
		}
		if gone := (stock.Amount{A: row.A - row.LeftA, B: row.B - row.LeftB}); gone != (stock.Amount{}) {
			if _, err := to.DrawStock(ctx, st, []shop.StockDraw{{Container: c.ID, What: shop.StockWeighed, A: gone.A, B: gone.B}}); err != nil {
				return fmt.Errorf("keep what is left in a container: %w", err)
			}
		}
		if row.Finished {
			if _, err := to.ChangeContainer(ctx, st, c.ID, shop.ContainerChange{Finished: true}); err != nil {
				return fmt.Errorf("finish a container: %w", err)
			}
		}
		part.Done.Added++
	}
	return nil
}
