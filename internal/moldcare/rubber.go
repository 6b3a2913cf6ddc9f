package moldcare

import (
	"math"

	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// Rubber is what is known of a mold rubber's cure. Times in s, zero where the
// bulletin says nothing.
type Rubber struct {
	Family   Family
	Demold   float64 // bulletin
	FullCure float64 // bulletin
	Room     float64 // °C
}

// Common practice, no source: a silicone is left on its master overnight, and a
// condensation mold then stands open for days, or hours in the warm, until what
// it gives off as it cures has left.
const (
	hour         = 3600.0
	demoldLeast  = 16 * hour
	demoldMost   = 24 * hour
	restOpen     = 3 * 24 * hour
	restWarm     = 4 * hour
	WarmRestLow  = 50.0 // °C
	WarmRestHigh = 60.0 // °C
)

// bulletinRoom is the room that bulletins mean where they say none, in °C, and
// slowing the factor of time for ten degrees less (common practice, no source).
const (
	bulletinRoom = 23.0
	slowing      = 2.0
)

// Ready is when a new mold can be taken off and filled, in s from the pour of
// its last rubber.
type Ready struct {
	Demold, FirstCast quantity.Range
	Known             bool // false for what no figure is known of
	Stated            bool // Demold rests on the bulletin
	Steps             []working.Step
}

// Times foresees a rubber's own cure. A demold time of the bulletin is its low
// end, stretched for a room below 23 °C and by half for what slows it (thick,
// cold or old); without one silicone gets 16 to 24 h.
func (r Rubber) Times() Ready {
	var out Ready
	switch {
	case r.Demold > 0:
		cold := math.Pow(slowing, max(bulletinRoom-r.Room, 0)/10)
		out.Demold = quantity.Range{Low: r.Demold, Mid: r.Demold * cold, High: r.Demold * cold * 1.5}
		out.Known, out.Stated = true, true
		out.Steps = working.Add(out.Steps, "demold", "bulletin × 2^((23 °C − room)/10), and half as much again at the most", working.CommonPractice,
			"%s h × %s = %s h, at most %s h", working.Num(r.Demold/hour), working.Num(cold), working.Num(out.Demold.Mid/hour), working.Num(out.Demold.High/hour))
	case r.Family == Condensation || r.Family == Addition:
		out.Demold, out.Known = quantity.Range{Low: demoldLeast, Mid: (demoldLeast + demoldMost) / 2, High: demoldMost}, true
		out.Steps = working.Add(out.Steps, "demold", "16 to 24 h for silicone", working.CommonPractice, "no figure in the profile: 16 to 24 h")
	default:
		return out
	}
	out.firstCast(r)
	return out
}

// firstCast adds what the rubber wants after it came off.
func (out *Ready) firstCast(r Rubber) {
	d := out.Demold
	switch r.Family {
	case Condensation:
		out.FirstCast = quantity.Range{Low: d.Low + restWarm, Mid: d.Mid + restOpen, High: max(d.High+restOpen, r.FullCure)}
		out.Steps = working.Add(out.Steps, "first cast", "demold + 3 d open, or 4 h at 50 to 60 °C", working.CommonPractice,
			"%s h + %s h = %s h, at least %s h with warmth", working.Num(d.Mid/hour), working.Num(restOpen/hour), working.Num(out.FirstCast.Mid/hour), working.Num(out.FirstCast.Low/hour))
	case Addition:
		out.FirstCast = quantity.Range{Low: d.Low, Mid: max(d.Mid, demoldMost), High: max(d.High, demoldMost, r.FullCure)}
		out.Steps = working.Add(out.Steps, "first cast", "a day after the pour, at full cure to be sure", working.CommonPractice,
			"%s h, full cure %s h", working.Num(out.FirstCast.Mid/hour), working.Num(r.FullCure/hour))
	default:
		full := max(d.High, r.FullCure)
		out.FirstCast = quantity.Range{Low: max(d.Mid, full/2), Mid: max(d.Mid, full), High: max(d.High, full)}
		out.Steps = working.Add(out.Steps, "first cast", "at full cure", working.CommonPractice, "%s h", working.Num(out.FirstCast.Mid/hour))
	}
}
