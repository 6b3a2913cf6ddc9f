package transfer

import (
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// pull is a mark in the log of a mold, which is named.
type pull struct {
	Mold string
	shop.MoldMark
}

// unnumbered is the number of a mark whose row does not say it.
const unnumbered = -1

func newPull() pull { return pull{MoldMark: shop.MoldMark{Number: unnumbered}} }

// pullColumns are those of the logs of molds.
func pullColumns() []column[pull] {
	return []column[pull]{
		words("mold", maxName, false, "name of the mold", func(p *pull) *string { return &p.Mold }),
		parsed("what", "good, spoiled or coat", func(p *pull) string { return p.What }, func(p *pull, text string) error {
			if text = strings.ToLower(text); !slices.Contains([]string{shop.MarkGood, shop.MarkSpoiled, shop.MarkCoat}, text) {
				return fault.New(fault.NotFound, "a mold's log has no %s", shown(text)).Hint("write good or spoiled for a pull, coat for a release coat")
			}
			p.What = text
			return nil
		}),
		{name: "number", stem: "number", doc: "pulls of the mold so far, with it; counted on where left out",
			get: func(p *pull) value { return numValue(float64(p.Number)) },
			set: func(p *pull, c cell) (err error) { p.Number, err = c.count(0, 2*mostPulls); return err }},
		yesNo("late", "yes if it was pulled with the release coat overdue", func(p *pull) *bool { return &p.Late }),
		words("why", maxReason, false, "why it was spoiled", func(p *pull) *string { return &p.Why }),
		instant("at", "when", func(p *pull) *timeAt { return (*timeAt)(&p.At) }),
	}
}

func checkPull(p *pull) []error {
	c := checker{}
	c.must("mold", p.Mold, "give the name of a mold of yours")
	c.must("what", p.What, "write good or spoiled for a pull, coat for a release coat")
	if p.At.IsZero() {
		c.must("at", "", "give the time, such as 2026-11-20 09:30")
	}
	return c.found
}
