package color

import (
	"errors"

	"github.com/pourwright/pourwright/internal/fault"
)

// ErrStopped is returned when the done channel closed before the search ended.
var ErrStopped = errors.New("color: stopped")

const (
	// PaletteMost is the number of tints that a search may choose from.
	PaletteMost = 12
	// DoseFloor is the least share of the mix that counts as a dose.
	DoseFloor = 1e-5
	// slack is the ΔE00 that fewer tints may cost: nobody sees it.
	slack = 0.3
	// traceSlack is the ΔE00 that a mere trace of a tint has to be worth.
	traceSlack = 0.02
	// allSubsets is the palette up to which sets of any size are tried; from
	// larger ones, sets of up to setMost.
	allSubsets, setMost = 4, 3
	// polishNear is how much further than the best a set may be, in ΔE00, to
	// be worth a polish.
	polishNear = 0.5
	// rankedMost is the number of sets that an answer lists.
	rankedMost = 5
)

// Verdict is how near a mix comes to a target.
type Verdict string

// The verdicts: ΔE00 up to 2, up to 5 and beyond. Close is a difference that
// can be seen side by side.
const (
	Matches     Verdict = "match"
	Close       Verdict = "close"
	Unreachable Verdict = "not reachable"
)

const matchMost, closeMost = 2, 5

// Judge gives the verdict on a ΔE00.
func Judge(difference float64) Verdict {
	switch {
	case difference <= matchMost:
		return Matches
	case difference <= closeMost:
		return Close
	}
	return Unreachable
}

// Want is a color to hit.
type Want struct {
	Base          *Base
	Palette       []*Tint // 1 to PaletteMost
	Target        Reading
	TargetQuality Quality // how the target was read
	Wall          Wall    // as in Recipe
	MaxLoad       float64 // as in Recipe
}

// Blend is a set of doses and what they give.
type Blend struct {
	Doses      []Dose // in the order of the palette; none is the bare base
	Lab        Lab
	Code       RGB
	Difference float64 // ΔE00 to the target
	Load       float64
}

// Verdict judges the blend.
func (b *Blend) Verdict() Verdict { return Judge(b.Difference) }

// Match is the answer to a Want.
type Match struct {
	Best    Blend   // what to use: fewer tints where nobody sees the difference
	Ranked  []Blend // the nearest sets, Best among them or not, nearest first
	Verdict Verdict
	Floor   float64 // ΔE00 of a real part against the prediction
	OnPaper bool    // Floor is more than a match may differ by: say "match on paper"
	Why     *Why    // where not reachable
	Looks   Prediction
	Notes   []string // on the target; those on base and tints are in Looks
}

// Find searches the doses of all sets of the palette, up to three tints of a
// large palette and any number of one up to four, for the least ΔE00 to the
// target under the load limit. Against a plain grid search on drawn cases it is
// within 0.05, but for one in several hundred.
//
// Doses near ΔE00 0 with four tints are not unique. Errors: missing_option,
// limit_reached (palette), out_of_range (load), bad_color, those of Predict; ErrStopped
// when done closes, looked at once per set.
func Find(w Want, done <-chan struct{}) (Match, error) {
	if err := w.check(); err != nil {
		return Match{}, err
	}
	blends, err := w.search(0, done)
	if err != nil {
		return Match{}, err
	}
	best := offer(blends)
	m := Match{Best: best, Ranked: blends[:min(len(blends), rankedMost)], Verdict: best.Verdict()}
	if m.Looks, err = Predict(Recipe{Base: w.Base, Doses: best.Doses, Wall: w.Wall, MaxLoad: w.MaxLoad}); err != nil {
		return Match{}, err
	}
	_, m.Notes = w.Target.inside(nil)
	m.Floor = max(m.Looks.Floor, Floor(w.TargetQuality))
	m.OnPaper = m.Verdict != Unreachable && m.Floor > closeMost
	if m.Verdict == Unreachable {
		if m.Why, err = w.why(best, done); err != nil {
			return Match{}, err
		}
	}
	return m, nil
}

func (w *Want) check() error {
	if err := checkWall(w.Base, w.Wall); err != nil {
		return err
	}
	switch n := len(w.Palette); {
	case n == 0:
		return fault.New(fault.MissingOption, "there is no tint to match with").In("palette").
			Hint("save a tint from a swatch first with /tint add")
	case n > PaletteMost:
		return fault.New(fault.LimitReached, "%d tints are more than the %d that a match can choose from", n, PaletteMost).In("palette").
			Hint("name the tints that could be in it, such as palette:\"brick red, soot black\"")
	}
	if w.Target.None() {
		return fault.New(fault.MissingOption, "the wanted color is missing").In("target").
			Hint("give a color code such as #C9837F, or the name of a saved swatch")
	}
	if w.MaxLoad != 0 {
		if err := CheckDose("max_load", w.MaxLoad); err != nil {
			return err
		}
	}
	return w.Target.check("target")
}
