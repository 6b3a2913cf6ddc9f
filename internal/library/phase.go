package library

import (
	"fmt"
	"time"

	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// Phase is what a pour is going through.
type Phase struct {
	Name string // one of the constants below
	Text string // what that means for the hands
	// Since and Until bound it; Until is zero where it has no end by itself.
	Since, Until time.Time
}

// The phases of a pour, in their order. Of a part built in coats each coat goes
// through the first three and, but for the last, through NextCoat and LateCoat.
const (
	PhaseMixing   = "mixing"
	PhasePotLife  = "pot life"
	PhaseGelling  = "gelling"
	PhaseNextCoat = "next coat"
	PhaseLateCoat = "late coat"
	PhaseWait     = "wait"
	PhaseTryIt    = "try it"
	PhaseReady    = "ready"
)

// mixingShare is the part of the short end of the pot life in which it is still
// stirred and poured: common practice, no source.
const mixingShare = 1.0 / 3

// PhaseOf tells what a pour is going through at a time. It is pure, and the
// same for all who ask: times are for each reader's own clock. An ended pour is
// in the phase of its state.
func PhaseOf(p shop.Pour, now time.Time) Phase {
	switch p.State {
	case shop.PourReady:
		return Phase{Name: PhaseReady, Text: "found ready, still in the mold", Since: p.Ended}
	case shop.PourDone, shop.PourFailed, shop.PourCanceled:
		return Phase{Name: string(p.State), Text: endTexts[p.State], Since: p.Ended}
	}
	at := Phase{Since: p.CoatedAt()}
	for _, next := range phases(p) {
		at.Name, at.Text = next.name, next.text
		if next.open || now.Before(next.until) {
			if !next.open {
				at.Until = next.until
			}
			return at
		}
		at.Since = next.until
	}
	return at
}

// tackyFor is how long a coat stays tacky, in times of what it took to gel
// (judgement, on the short side: a coat on a hard one may peel).
const tackyFor = 2

// Recoat is when the next coat goes on, in s after the last: once it no longer
// moves, nine times in ten, and while it is still tacky (common practice). Zero
// where no gel time is foreseen.
func Recoat(f shop.Foreseen) quantity.Range {
	from := f.Gel.High
	to := tackyFor * from
	if f.Demold.Low > 0 {
		to = max(from, min(to, f.Demold.Low))
	}
	return quantity.Range{Low: from, Mid: from, High: to}
}

var endTexts = map[shop.PourState]string{
	shop.PourDone: "out of the mold", shop.PourFailed: "it never set", shop.PourCanceled: "it never was",
}

// stage is a phase that is to come, with its end.
type stage struct {
	name, text string
	until      time.Time
	open       bool // it has no end
}

// phases lists those of a running pour, each ending no sooner than the one
// before it. What was not foreseen has none.
func phases(p shop.Pour) (all []stage) {
	f, last := p.Foreseen, p.CoatedAt()
	until := func(name, text string, after float64) {
		end := p.CoatedAt().Add(time.Duration(after * float64(time.Second))).Round(time.Second)
		if after > 0 && end.After(last) {
			all = append(all, stage{name: name, text: text, until: end})
			last = end
		}
	}
	open := func(name, text string) []stage { return append(all, stage{name: name, text: text, open: true}) }
	until(PhaseMixing, "stir, scrape, pour", f.PotLife.Low*mixingShare)
	flows := "it still flows: top up, let bubbles out"
	if p.Coats > 0 {
		flows = "it still flows: finish this coat"
	}
	until(PhasePotLife, flows, f.PotLife.Low)
	if p.CoatsOn < p.Coats {
		until(PhaseGelling, fmt.Sprintf("coat %d of %d is wet: leave it alone", p.CoatsOn, p.Coats), f.Gel.High)
		if f.Gel.High == 0 {
			return open(PhaseNextCoat, fmt.Sprintf("coat %d of %d goes on once the last no longer moves and is still tacky", p.CoatsOn+1, p.Coats))
		}
		until(PhaseNextCoat, fmt.Sprintf("coat %d of %d goes on now: tacky, not wet", p.CoatsOn+1, p.Coats), Recoat(f).High)
		return open(PhaseLateCoat, fmt.Sprintf("coat %d of %d is late: the last may have hardened, see the bulletin before you go on", p.CoatsOn+1, p.Coats))
	}
	until(PhaseGelling, "it sets: leave it alone", f.Gel.High)
	if f.Demold.High == 0 {
		return open(PhaseWait, "it cures: nothing is foreseen of when")
	}
	until(PhaseWait, "it cures", f.Demold.Low)
	try := "touch the sprue: it may be ready"
	if f.Peak.High > cure.CoolFace && f.Cool.High > f.Demold.Low {
		try += ", and still hot"
	}
	until(PhaseTryIt, try, f.Remind)
	return open(PhaseReady, "nine in ten are ready and cool by now: touch the sprue")
}
