package transfer

import (
	"math"
	"slices"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// pour is a pour with the name of the profile that it goes by: that of a
// material whose newest version it used. A pour with an older one keeps its
// figures and teaches nothing elsewhere, for the versions do not come along.
type pour struct {
	shop.Pour
	Profile string
}

// newPour is a pour before its row is read: its room is not known.
func newPour() pour {
	var p pour
	p.Room = math.NaN()
	return p
}

// states are where a pour can stand.
var states = []shop.PourState{shop.PourRunning, shop.PourReady, shop.PourDone, shop.PourFailed, shop.PourCanceled}

// pourColumns are those of pours: what was poured, what was found, what was
// foreseen.
func pourColumns() []column[pour] {
	return slices.Concat(poured(), found(), foreseen())
}

func poured() []column[pour] {
	return []column[pour]{
		words("material", maxName, false, "name of the material as it was poured", func(p *pour) *string { return &p.Material }),
		words("profile", maxName, false, "name of the profile that it teaches about, if that still is as it was", func(p *pour) *string { return &p.Profile }),
		words("mold", maxName, false, "name of the mold; of several, the first", func(p *pour) *string { return &p.Mold }),
		fills(),
		parsed("state", "running, ready, done, failed or canceled", func(p *pour) string { return string(p.State) }, func(p *pour, text string) error {
			if !slices.Contains(states, shop.PourState(text)) {
				return fault.New(fault.NotFound, "no pour is %s", shown(text)).Hint("write running, ready, done, failed or canceled")
			}
			p.State = shop.PourState(text)
			return nil
		}),
		instant("started", "when it was poured", func(p *pour) *timeAt { return (*timeAt)(&p.Started) }),
		instant("ended", "when it was found ready, or ended", func(p *pour) *timeAt { return (*timeAt)(&p.Ended) }),
		amount("thickest", quantity.Millimeter, "thickest section", func(p *pour) *float64 { return &p.Thickest }),
		amount("thinnest", quantity.Millimeter, "thinnest section", func(p *pour) *float64 { return &p.Thinnest }),
		amount("volume", quantity.Milliliter, "what reached the mold, of one part", func(p *pour) *float64 { return &p.Volume }),
		amount("mass", quantity.Gram, "mix in all", func(p *pour) *float64 { return &p.Mass }),
		count("count", 0, mostPulls, false, "parts", func(p *pour) *int { return &p.Count }),
		amount("room", quantity.Celsius, "the room", func(p *pour) *float64 { return &p.Room }).always(func(p *pour) *float64 { return &p.Room }),
		degrees("resin_temp", "the resin, where it was not the room's", func(p *pour) **float64 { return &p.Resin }),
		degrees("mold_temp", "the mold, likewise", func(p *pour) **float64 { return &p.MoldTemp }),
		words("tint", maxNotes, false, "the tint as a recipe", func(p *pour) *string { return &p.Tint }),
		doses(),
		count("coats", 0, 100, false, "coats of a part that is built in them", func(p *pour) *int { return &p.Coats }),
		count("coats_on", 0, 100, false, "those that are on", func(p *pour) *int { return &p.CoatsOn }),
		instant("coat_at", "when the last of them went on", func(p *pour) *timeAt { return (*timeAt)(&p.CoatAt) }),
		words("where", maxNotes, false, "where it stands", func(p *pour) *string { return &p.Where }),
	}
}

func found() []column[pour] {
	return []column[pour]{
		count("good", 0, mostPulls, false, "good parts, once it is done", func(p *pour) *int { return &p.Good }),
		count("spoiled", 0, mostPulls, false, "spoiled parts", func(p *pour) *int { return &p.Spoiled }),
		answersColumn(),
		logColumn(),
	}
}

// foreseen are the forecast's: the likely range and its middle.
func foreseen() []column[pour] {
	var all []column[pour]
	for _, r := range []struct {
		stem, doc string
		base      quantity.Unit
		at        func(*pour) *quantity.Range
	}{
		{"foreseen_pot_life", "pot life", quantity.Second, func(p *pour) *quantity.Range { return &p.Foreseen.PotLife }},
		{"foreseen_gel", "gel", quantity.Second, func(p *pour) *quantity.Range { return &p.Foreseen.Gel }},
		{"foreseen_demold", "demold", quantity.Second, func(p *pour) *quantity.Range { return &p.Foreseen.Demold }},
		{"foreseen_cool", "cool enough", quantity.Second, func(p *pour) *quantity.Range { return &p.Foreseen.Cool }},
		{"foreseen_peak", "peak temperature", quantity.Celsius, func(p *pour) *quantity.Range { return &p.Foreseen.Peak }},
		{"foreseen_full_cure", "full cure", quantity.Second, func(p *pour) *quantity.Range { return &p.Foreseen.FullCure }},
	} {
		all = append(all,
			amount(r.stem+"_p10", r.base, r.doc+" foreseen, early", func(p *pour) *float64 { return &r.at(p).Low }),
			amount(r.stem+"_p50", r.base, r.doc+" foreseen, middle", func(p *pour) *float64 { return &r.at(p).Mid }),
			amount(r.stem+"_p90", r.base, r.doc+" foreseen, late", func(p *pour) *float64 { return &r.at(p).High }))
	}
	return append(all,
		amount("physics", quantity.Second, "demold by the bulletin alone; empty where it cannot teach", func(p *pour) *float64 { return &p.Foreseen.Physics }),
		amount("remind", quantity.Second, "when the call was to come", func(p *pour) *float64 { return &p.Foreseen.Remind }))
}

// checkPour gives what keeps a pour from being kept.
func checkPour(p *pour) []error {
	c := checker{}
	c.must("material", p.Material, "give the name of the material")
	c.must("state", string(p.State), "write running, ready, done, failed or canceled")
	if p.Started.IsZero() {
		c.must("started", "", "give the time, such as 2026-11-20 09:30")
	}
	switch {
	case p.State == shop.PourRunning && !p.Ended.IsZero():
		c.refuse(fault.BadTime, "ended", "leave it empty, or say how it ended in state", "it is running and has ended")
	case p.State != shop.PourRunning && p.State != "" && p.Ended.IsZero():
		c.must("ended", "", "give the time, such as 2026-11-20 10:45")
	case !p.Ended.IsZero() && p.Ended.Before(p.Started):
		c.refuse(fault.BadTime, "ended", "look at both times", "it ended before it started")
	}
	if math.IsNaN(p.Room) {
		c.must("room", "", "give the room's temperature, such as 21")
		p.Room = 0
	}
	for _, v := range []struct {
		option    string
		v, lo, hi float64
	}{
		{"thickest", p.Thickest, 1e-3, 1e4}, {"thinnest", p.Thinnest, 1e-3, 1e4}, {"volume", p.Volume, 1e-3, 1e7}, {"mass", p.Mass, 1e-3, 1e7},
		{"room", p.Room, -60, 100}, {"physics", p.Foreseen.Physics, 1, 1e9}, {"remind", p.Foreseen.Remind, 1, 1e9},
	} {
		c.within(v.option, v.v, v.lo, v.hi, false, "look at the number and its unit")
	}
	c.degrees("resin_temp", p.Resin)
	c.degrees("mold_temp", p.MoldTemp)
	c.ranges(p.Foreseen)
	if p.Coats == 0 && p.CoatsOn > 0 || p.CoatsOn > p.Coats {
		c.refuse(fault.OutOfRange, "coats_on", "give no more than coats", "%d of %d coats are on", p.CoatsOn, p.Coats)
	}
	c.answers(p)
	return c.found
}

func (c *checker) degrees(option string, v *float64) {
	if v != nil && *v != 0 {
		c.within(option, *v, -60, 300, false, "give it in °C, such as 23")
	}
}

func (c *checker) ranges(f shop.Foreseen) {
	for _, r := range []struct {
		option string
		quantity.Range
	}{
		{"foreseen_pot_life", f.PotLife}, {"foreseen_gel", f.Gel}, {"foreseen_demold", f.Demold},
		{"foreseen_cool", f.Cool}, {"foreseen_peak", f.Peak}, {"foreseen_full_cure", f.FullCure},
	} {
		if !(r.Low <= r.Mid && r.Mid <= r.High && r.Low > -1e3 && r.High < 1e10) {
			c.refuse(fault.OutOfRange, r.option+"_p50", "give p10, p50 and p90 from early to late", "%s, %s and %s are not in order", numberText(r.Low), numberText(r.Mid), numberText(r.High))
		}
	}
}

func (c *checker) answers(p *pour) {
	ready := 0
	for _, a := range p.Answers {
		if a.ReadyBy > 0 {
			ready++
		}
	}
	if ready > 1 {
		c.refuse(fault.OutOfRange, "answers", "keep one line with ready", "it was found ready %d times", ready)
	}
	if !slices.ContainsFunc(p.Log, func(e shop.PourEvent) bool { return e.Readied }) || ready == 1 {
		return
	}
	c.refuse(fault.MissingOption, "answers", "add the line ready with its seconds", "the log says that its end was an answer, and there is none")
}
