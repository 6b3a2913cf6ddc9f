package transfer

import (
	"math"
	"slices"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/moldcare"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// Bounds of what a mold says of itself; beyond them lies a slip.
const (
	mostCavities = 500
	mostPulls    = 100000
	mostRelease  = 200
	maxNotes     = 1000 // characters
	maxReason    = 200
	maxName      = 80
)

// retirements are why a mold casts no more.
var retirements = []string{"torn", "stuck", "degraded", "lost", "other"}

// moldColumns are those of a mold.
func moldColumns() []column[shop.MoldProfile] {
	type p = shop.MoldProfile
	return []column[p]{
		words("name", maxName, false, "what you call it", func(m *p) *string { return &m.Name }),
		parsed("family", "what it is made of, such as condensation or addition", func(m *p) string { return m.Family },
			func(m *p, text string) error {
				f, err := moldcare.ParseFamily(text)
				m.Family = string(f)
				return err
			}),
		amount("volume", quantity.Milliliter, "what one cavity holds", func(m *p) *float64 { return &m.Volume }),
		count("cavities", 1, mostCavities, true, "how many; 1 if left out", func(m *p) *int { return &m.Cavities }),
		amount("thickest", quantity.Millimeter, "thickest section of the part", func(m *p) *float64 { return &m.Thickest }),
		amount("thinnest", quantity.Millimeter, "thinnest section of the part", func(m *p) *float64 { return &m.Thinnest }),
		amount("wall", quantity.Millimeter, "the mold's own wall", func(m *p) *float64 { return &m.Wall }),
		count("pulls", 0, mostPulls, true, "pulls it had before those of its log", func(m *p) *int { return &m.Pulls }),
		count("last_coat", 0, mostPulls, false, "pulls it had at the last release coat before its log", func(m *p) *int { return &m.LastCoat }),
		count("release_every", 0, mostRelease, true, "pulls that a release coat lasts; 5 if left out", func(m *p) *int { return &m.ReleaseEvery }),
		{name: "made_on", stem: "made_on", doc: "the day it was made, such as 2026-03-01",
			get: func(m *p) value { return dayText(m.MadeOn) },
			set: func(m *p, c cell) (err error) { m.MadeOn, err = c.day(); return err }},
		amount("cost", quantity.One, "what it cost, in the shop's currency", func(m *p) *float64 { return &m.Cost }),
		parsed("retired", "why it casts no more: torn, stuck, degraded, lost or other; empty while in use", func(m *p) string { return m.Retired },
			func(m *p, text string) error { return retire(m, text) }),
		words("retired_note", maxNotes, true, "more about that", func(m *p) *string { return &m.RetiredNote }),
		words("notes", maxNotes, true, "anything to remember", func(m *p) *string { return &m.Notes }),
	}
}

func retire(m *shop.MoldProfile, text string) error {
	if !slices.Contains(retirements, text) {
		return fault.New(fault.NotFound, "no mold is retired as %s", shown(text)).Hint("write torn, stuck, degraded, lost or other, or nothing while it is in use")
	}
	m.Retired = text
	return nil
}

// dayText writes a date, with its time where it has one.
func dayText(at time.Time) value {
	if !at.IsZero() && at.Equal(at.Truncate(24*time.Hour)) {
		return textValue(at.UTC().Format(time.DateOnly))
	}
	return instantText(at)
}

// newMold is what a mold is before its row is read.
func newMold() shop.MoldProfile {
	return shop.MoldProfile{Cavities: 1, ReleaseEvery: moldcare.ReleaseEvery}
}

// checkMold gives what keeps a mold from being kept.
func checkMold(m *shop.MoldProfile) []error {
	c := checker{}
	c.must("name", m.Name, "give the name that you call it by")
	c.must("family", m.Family, "give what it is made of, such as condensation or addition")
	c.within("volume", m.Volume, 0.01, 1e6, true, "give what one cavity holds, such as 6.2 ml")
	c.within("thickest", m.Thickest, 0.1, 1000, false, "give it in mm, such as 14")
	c.within("thinnest", m.Thinnest, 0.1, 1000, false, "give it in mm, such as 5")
	c.within("wall", m.Wall, 0.5, 300, false, "give it in mm, such as 10")
	c.within("cost", m.Cost, 0, 1e6, false, "give what it cost, such as 12.50")
	if m.Thickest > 0 && m.Thinnest > m.Thickest {
		c.refuse(fault.OutOfRange, "thinnest", "swap the two", "the thinnest section, %s mm, is thicker than the thickest, %s mm", numberText(m.Thinnest), numberText(m.Thickest))
	}
	if m.LastCoat > m.Pulls {
		c.refuse(fault.OutOfRange, "last_coat", "give the pulls that it had had by then", "a coat at %d pulls is later than the %d pulls of the mold", m.LastCoat, m.Pulls)
	}
	return c.found
}

// checker gathers refusals.
type checker struct{ found []error }

func (c *checker) refuse(code fault.Code, option, hint, format string, args ...any) {
	c.found = append(c.found, fault.New(code, format, args...).In(option).Hint("%s", hint))
}

func (c *checker) must(option, text, hint string) {
	if text == "" {
		c.refuse(fault.MissingOption, option, hint, "it is empty, and nothing can go without it")
	}
}

// within refuses what lies outside; zero is "not said".
func (c *checker) within(option string, v, low, high float64, must bool, hint string) {
	switch {
	case v == 0 && !must:
	case v == 0:
		c.must(option, "", hint)
	case math.IsNaN(v) || v < low || v > high:
		c.refuse(fault.OutOfRange, option, hint, "%s is outside %s to %s", numberText(v), numberText(low), numberText(high))
	}
}

// also adds an error that another package found.
func (c *checker) also(option string, err error) {
	if f := fault.As(err); f != nil {
		c.found = append(c.found, f.In(option))
	} else if err != nil {
		c.found = append(c.found, err)
	}
}
