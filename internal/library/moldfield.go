package library

import (
	"context"
	"strconv"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/moldcare"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// MoldField is a line of a mold's profile.
type MoldField = Field[shop.MoldProfile]

// most of what a mold can say of itself; a slip of the finger lies beyond.
const (
	mostCavities = 500
	mostPulls    = 100000
	mostRelease  = 200
	maxMoldNotes = 1000 // characters
)

// MoldFields lists every option of a mold's profile, what matters first.
func MoldFields() []MoldField {
	type profile = shop.MoldProfile
	length := func(name, label, help, like string, low, high float64, at func(*profile) *float64) MoldField {
		return moldMeasure(name, label, help, like, quantity.Length, low, high, at)
	}
	name := moldText("name", "Name", "what you call it, and its family after a comma", "harbor pawn, condensation", 80, func(p *profile) *string { return &p.Name })
	name.Required, name.Spread, name.Clear = true, []string{"family"}, nil
	volume := moldMeasure("volume", "One cavity", "what one cavity holds; how many there are after a comma", "6.2 ml, 6", quantity.Volume, 0.01, 1e6,
		func(p *profile) *float64 { return &p.Volume })
	volume.Spread, volume.Clear = []string{"cavities"}, nil
	cavities := moldCount("cavities", "Cavities", "how many it has; 1 if left out", "6", 1, mostCavities, func(p *profile) *int { return &p.Cavities })
	cavities.Clear = func(p *profile) { p.Cavities = 1 }
	thickest := length("thickest", "Thickest section", "thickest section of the part; the thinnest after a comma", "14 mm, 5 mm", 0.1, 1000, func(p *profile) *float64 { return &p.Thickest })
	thickest.Spread = []string{"thinnest"}
	pulls := moldCount("pulls", "Pulls", "pulls it has had so far", "17", 0, mostPulls, func(p *profile) *int { return &p.Pulls })
	pulls.Zero, pulls.Clear, pulls.Copy = true, nil, nil
	notes := moldText("notes", "Notes", "anything to remember", "left flask, key at the neck", maxMoldNotes, func(p *profile) *string { return &p.Notes })
	notes.Long = true
	return []MoldField{
		name, moldFamily(), volume, cavities, thickest,
		length("thinnest", "Thinnest section", "thinnest section of the part", "5 mm", 0.1, 1000, func(p *profile) *float64 { return &p.Thinnest }),
		length("wall", "Wall of rubber", "thickness of the mold's own wall", "10 mm", 0.5, 300, func(p *profile) *float64 { return &p.Wall }),
		pulls,
		moldCount("release_every", "Coat every", "pulls that a release coat lasts; 5 if left out", "5", 1, mostRelease, func(p *profile) *int { return &p.ReleaseEvery }),
		moldDay(),
		moldMeasure("cost", "Cost", "what it cost, in the shop's currency", "12.50", quantity.Number, 0, 1e6, func(p *profile) *float64 { return &p.Cost }),
		notes,
	}
}

func moldText(name, label, help, like string, length int, at func(*shop.MoldProfile) *string) MoldField {
	return MoldField{
		Option: chat.Option{Name: name, Help: help, Like: like, Length: length},
		Set:    func(c *chat.Call, p *shop.MoldProfile) error { *at(p) = c.Text(name); return nil },
		Show: func(p *shop.MoldProfile, _ quantity.System) (chat.Fact, bool) {
			return chat.Fact{Key: name, Label: label, Value: *at(p), Text: *at(p)}, *at(p) != ""
		},
		Clear: func(p *shop.MoldProfile) { *at(p) = "" },
		Copy:  copying(at),
	}
}

func moldMeasure(name, label, help, like string, d quantity.Dim, low, high float64, at func(*shop.MoldProfile) *float64) MoldField {
	return MoldField{
		Option: chat.Option{Name: name, Help: help, Like: like, Kind: chat.Measure, Dims: []quantity.Dim{d}, Min: low, Max: high},
		Set:    func(c *chat.Call, p *shop.MoldProfile) error { *at(p) = c.Value(name, 0); return nil },
		Show: func(p *shop.MoldProfile, s quantity.System) (chat.Fact, bool) {
			return chat.Num(name, label, *at(p), d, s), *at(p) != 0
		},
		Clear: func(p *shop.MoldProfile) { *at(p) = 0 },
		Copy:  copying(at),
	}
}

func moldCount(name, label, help, like string, low, high int, at func(*shop.MoldProfile) *int) MoldField {
	return MoldField{
		Option: chat.Option{Name: name, Help: help, Like: like, Kind: chat.Count, Min: float64(low), Max: float64(high)},
		Set:    func(c *chat.Call, p *shop.MoldProfile) error { *at(p) = c.Count(name, 0); return nil },
		Show: func(p *shop.MoldProfile, _ quantity.System) (chat.Fact, bool) {
			return chat.Whole(name, label, *at(p), strconv.Itoa(*at(p))), *at(p) != 0
		},
		Clear: func(p *shop.MoldProfile) { *at(p) = 0 },
		Copy:  copying(at),
	}
}

func moldFamily() MoldField {
	f := moldText("family", "Made of", "what it is made of, which decides how long it lasts", "condensation", 60, func(p *shop.MoldProfile) *string { return &p.Family })
	f.Required, f.Clear = true, nil
	f.Set = func(c *chat.Call, p *shop.MoldProfile) error {
		family, err := moldcare.ParseFamily(c.Text("family"))
		p.Family = string(family)
		return err
	}
	f.Suggest = func(_ context.Context, _ *chat.Call, typed string) ([]chat.Choice, error) {
		var names []string
		for _, family := range moldcare.Families() {
			names = append(names, string(family))
		}
		return chat.Narrow(typed, names), nil
	}
	return f
}

// moldDay is the day on which it was made.
func moldDay() MoldField {
	const name = "made_on"
	return MoldField{
		Option: chat.Option{Name: name, Help: "the day it was made", Like: "2026-03-01", Length: 20},
		Set: func(c *chat.Call, p *shop.MoldProfile) error {
			day, err := PastDay(c, name, "it was made")
			if err != nil {
				return err
			}
			p.MadeOn = day
			return nil
		},
		Show: func(p *shop.MoldProfile, _ quantity.System) (chat.Fact, bool) {
			return chat.Fact{Key: name, Label: "Made on", Value: p.MadeOn.Format(time.RFC3339), Text: p.MadeOn.Format(time.DateOnly)}, !p.MadeOn.IsZero()
		},
		Clear: func(p *shop.MoldProfile) { p.MadeOn = time.Time{} },
	}
}

// SetMold takes the options that were given into a profile and checks it.
func SetMold(c *chat.Call, p *shop.MoldProfile) error {
	if err := SetGiven(c, MoldFields(), p); err != nil {
		return err
	}
	p.Cavities = max(p.Cavities, 1)
	if p.ReleaseEvery == 0 {
		p.ReleaseEvery = moldcare.ReleaseEvery
	}
	return CheckMold(*p)
}

// CheckMold refuses a mold whose values do not fit together.
func CheckMold(p shop.MoldProfile) error {
	if p.Thickest > 0 && p.Thinnest > p.Thickest {
		return fault.New(fault.OutOfRange, "the thinnest section, %s, is thicker than the thickest, %s", number(p.Thinnest)+" mm", number(p.Thickest)+" mm").
			In("thinnest").Hint("swap them, such as thickest:%s thinnest:%s", quote(number(p.Thinnest)+" mm"), quote(number(p.Thickest)+" mm"))
	}
	return nil
}

func quote(s string) string { return `"` + s + `"` }

// TypedMold gives the values of a mold as they would be typed, lists joined, to
// fill a form for editing; pulls are all it has had.
func TypedMold(m shop.Mold, s quantity.System) map[string]string {
	p := m.MoldProfile
	p.Pulls = m.PullsSoFar()
	out := map[string]string{"pulls": strconv.Itoa(p.Pulls)}
	for _, f := range MoldFields() {
		fact, ok := f.Show(&p, s)
		if v, isNumber := fact.Value.(float64); ok && isNumber {
			fact.Text = typedMeasure(f.Option, v, fact)
		}
		if ok {
			out[f.Name] = fact.Text
		}
	}
	for _, f := range MoldFields() {
		for _, more := range f.Spread {
			if out[f.Name] != "" && out[more] != "" {
				out[f.Name] += ", " + out[more]
				delete(out, more)
			}
		}
	}
	return out
}

// typedMeasure is a value in full where the shown text is rounded.
func typedMeasure(o chat.Option, v float64, fact chat.Fact) string {
	if o.Dims[0] == quantity.Number {
		return number(v)
	}
	if q, _, err := quantity.Parse(fact.Text, quantity.Want{Dims: o.Dims}); err == nil && q.Value == v {
		return fact.Text
	}
	return number(v) + " " + fact.Unit
}
