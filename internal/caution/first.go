package caution

import (
	"fmt"
	"math"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Figures that a first pour goes by. Common practice, no source; the bulletin
// wins.
const (
	RoomLow, RoomHigh = 20.0, 25.0 // °C, room and materials
	HumidityMost      = 0.50       // relative, for urethane
	StirLeast         = 10.0       // s, the fastest resins
	StirLow, StirHigh = 20.0, 30.0 // s, better, until no streaks
	StirSiliconeLow   = 120.0      // s
	StirSiliconeHigh  = 180.0
	StirShare         = 1.0 / 3 // of the pot life, never more
	RubberHoursLow    = 16.0    // h before a rubber mold is demolded
	RubberHoursHigh   = 24.0
)

// First is a first pour, for one or for a class.
type First struct {
	Profile material.Profile
	People  int    // 1 or more, the teacher not counted
	A, B    string // amounts in one cup as the member reads them
	// ByVolume says that the amounts are measured in marked cups, not weighed.
	ByVolume bool
	System   quantity.System
}

// Steps tells the pour in shop order.
func (f First) Steps() []string {
	p := f.Profile
	t := func(c float64) string { return quantity.Text(c, quantity.Temp, f.System) }
	steps := []string{
		"Read the SDS and the bulletin of " + p.Name + " before you open anything. Say which of A and B is which, and keep two spoons and two cups apart.",
		fmt.Sprintf("Room, jugs and mold at %s to %s, overnight.%s", t(RoomLow), t(RoomHigh), f.dry()),
		"Cover the bench. Gloves and goggles on, window open or fan drawing away from your face, phone and food out of reach.",
		"Have the mold level, clean and released, a tray for drips, and the clock in sight.",
	}
	if !p.Family.Silicone() && p.Family != material.Plaster {
		steps = append(steps, "No color in the first one: learn the clear or plain material before you change it.")
	}
	steps = append(steps,
		"Shake or stir each part in its own jug as the bulletin says.",
		f.measure(),
		"Start the clock when they meet. "+f.stir()+" Scrape wall and bottom.",
		"Pour into a second, clean cup, scrape the first one well, stir 5 s more: what clings to the first wall is never mixed.",
		"Pour a thin stream into the lowest corner and let it rise. Stop when the pot life is over, however much is left.",
		"Leave the leftover in its cup in the open and watch it: that is your sample of how hot and how hard it gets. Never a lid on it.",
		f.demold(),
		"Caps back on the jugs they came from. Write down room, amounts, times and what came out.",
	)
	return steps
}

func (f First) measure() string {
	if f.ByVolume {
		return fmt.Sprintf("Measure %s of A in one marked cup and %s of B in another, read at eye level. Read the label again before each. Empty both into cup one and scrape them out.", f.A, f.B)
	}
	return fmt.Sprintf("Measure %s of A into cup one. Zero the scale, then %s of B. Read the label again before each.", f.A, f.B)
}

func (f First) dry() string {
	if !f.Profile.Family.Isocyanate() {
		return ""
	}
	return fmt.Sprintf(" Air no damper than %s, cups and sticks dry: water makes urethane foam.", quantity.Percent(HumidityMost))
}

// stir gives the stirring time, never past a third of the pot life.
func (f First) stir() string {
	p := f.Profile
	low, high := StirLow, StirHigh
	if p.Family.Silicone() {
		low, high = StirSiliconeLow, StirSiliconeHigh
	}
	if p.PotLife > 0 {
		most := StirShare * p.PotLife
		low, high = min(low, most), min(high, most)
	}
	return fmt.Sprintf("Stir %s to %s, slowly, until no streaks are left.", seconds(low), seconds(high))
}

func seconds(s float64) string {
	if s >= 120 {
		return quantity.Text(s, quantity.Time, quantity.Metric)
	}
	return fmt.Sprintf("%.0f s", math.Floor(s))
}

func (f First) demold() string {
	p := f.Profile
	switch {
	case p.Demold > 0:
		return "Not before " + quantity.Text(p.Demold, quantity.Time, f.System) + ", and thin parts later: press a thumbnail into the sprue. No dent and no longer warm: flex the mold open and take it out."
	case p.Family.Silicone():
		return fmt.Sprintf("Leave the rubber %.0f to %.0f h. Press a thumbnail into the edge: no dent, no stick: peel it.", RubberHoursLow, RubberHoursHigh)
	}
	return "Wait as long as the bulletin says, and thin parts longer: press a thumbnail into the sprue. No dent and no longer warm: take it out."
}

// Item is a line of a shopping list.
type Item struct {
	What  string
	Count int
}

// GlovePairs is the number of pairs of gloves for a class: two for everyone
// and the teacher, for a torn or splashed pair is changed at once, and a
// spare for every two.
func GlovePairs(people int) int { return 2*(people+1) + (people+1)/2 }

// Shopping lists what to have besides the material. Common practice, no
// source.
func (f First) Shopping() []Item {
	n := max(f.People, 1)
	items := []Item{
		{"nitrile gloves, pairs", GlovePairs(n)},
		{"goggles", n + 1},
		{"mixing cups, smooth and dry, plastic", 2*n + 2},
		{"measuring cups, marked A", (n + 1) / 2},
		{"measuring cups, marked B", (n + 1) / 2},
		{"stir sticks, flat, not bare wood", 2*n + 2},
		{"rolls of paper towel", 1 + n/6},
		{"trays for drips and leftovers", 1 + n/4},
		{"scales", 1 + (n-1)/4},
		{"copies of the SDS and bulletin", 1 + (n-1)/4},
		{"metal bin with a lid", 1},
	}
	if f.Profile.Family.Silicone() || f.Profile.Family == material.Plaster {
		return items
	}
	return append(items, Item{"small molds, released", n})
}

// Cautions are those to tick off before the jugs are opened.
func (f First) Cautions() []Caution {
	return For(Situation{Step: Teaching, Family: f.Profile.Family, Text: f.Profile.Notes})
}
