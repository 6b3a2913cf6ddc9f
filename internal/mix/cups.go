package mix

import (
	"math"

	"github.com/pourwright/pourwright/internal/material"
)

// Working times of one pair of hands, in s. Common practice, no source.
const (
	stirUsual    = 30.0  // streaks are gone
	stirSilicone = 150.0 // silicone is thick
	stirShare    = 1.0 / 3
	scrape       = 10.0 // wall and bottom scraped, second cup, a few turns more
	pourUsual    = 20.0 // one filling of a mold
	reserveShare = 0.15 // of the pot life, kept back
	reserveMost  = 60.0
)

// Pace is how long the steps of one cup take, in s.
type Pace struct {
	Mix     float64 // stirring, scraping and the second cup
	Pour    float64 // one filling
	Reserve float64 // kept back before the pot life ends
}

// PaceOf is the usual pace with a material: stirring 30 s (silicone 150 s) but
// never over a third of the pot life, then 10 s for scraping and the second
// cup, 20 s a filling, and 15 % of the pot life kept back.
func PaceOf(m material.Profile) Pace {
	stir := stirUsual
	if m.Family.Silicone() {
		stir = stirSilicone
	}
	return Pace{
		Mix:     min(stir, stirShare*m.PotLife) + scrape,
		Pour:    pourUsual,
		Reserve: min(reserveShare*m.PotLife, reserveMost),
	}
}

// FillsPerCup is how many fillings one cup can be poured into before it gels,
// floor((pot life − mixing − reserve)/pour), times in s; it is below one where
// the pot life is too short for any.
func FillsPerCup(potLife float64, p Pace) int {
	return int(math.Floor((potLife-p.Mix-p.Reserve)/p.Pour + 1e-9))
}

// Spread shares n fillings over cups evenly, the larger ones first: 12 over 3
// are 4, 4, 4, and 13 are 5, 4, 4. cups is positive.
func Spread(n, cups int) []int {
	out := make([]int, cups)
	for i := range out {
		out[i] = n / cups
		if i < n%cups {
			out[i]++
		}
	}
	return out
}

// Cup is one mix of a batch.
type Cup struct {
	A, B, Filler     float64 // g, as the scale shows them
	VolumeA, VolumeB float64 // mL; zero where the densities are unknown
	Fills            int     // fillings poured from it; zero where unknown
	Start            float64 // s after the first cup's stirring began
}

// Total is everything in the cup, in g.
func (c Cup) Total() float64 { return c.A + c.B + c.Filler }

// starts fills in when each cup is begun: one pair of hands, the next cup when
// the last one is poured.
func starts(cups []Cup, p Pace) {
	at := 0.0
	for i := range cups {
		cups[i].Start = at
		at += p.Mix + p.Pour*float64(max(cups[i].Fills, 1))
	}
}
