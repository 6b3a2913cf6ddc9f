package color

import (
	"cmp"
	"errors"
	"math"
	"slices"

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
// target under the load limit. In 12 published cases it comes within 0.05 of
// two global searches.
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

// search gives the best blend of every set, nearest first; ties go to fewer
// tints, then to the earlier ones of the palette. A ΔE00 of enough or less ends
// it early.
func (w *Want) search(enough float64, done <-chan struct{}) ([]Blend, error) {
	internal, _ := w.Target.inside(nil)
	g := newGram(w.Base, w.Palette, &internal)
	target := w.Target.Lab()
	blends := []Blend{w.blend(w.fit(nil, target), nil, point{})}
	type candidate struct {
		set []int
		at  descent
	}
	var found []candidate
	least := blends[0].Difference
	for _, set := range sets(len(w.Palette)) {
		if stopped(done) {
			return nil, ErrStopped
		}
		f := w.fit(set, target)
		reach := least + polishNear
		at := f.roughly(g, set, reach*reach)
		found = append(found, candidate{set, at})
		if least = min(least, math.Sqrt(at.cost)); least <= enough {
			break
		}
	}
	for _, c := range found {
		if stopped(done) {
			return nil, ErrStopped
		}
		f, u := c.at.fit, c.at.u
		if reach := least + polishNear; c.at.cost <= reach*reach && c.at.cost > exact {
			c.at.finish(fine, reach*reach)
			u, _ = f.polish(c.at.u)
		}
		b := w.blend(f, c.set, u)
		least = min(least, b.Difference)
		blends = append(blends, b)
	}
	slices.SortStableFunc(blends, func(a, b Blend) int {
		return cmp.Or(cmp.Compare(a.rank(), b.rank()), cmp.Compare(len(a.Doses), len(b.Doses)))
	})
	return covered(blends), nil
}

func stopped(done <-chan struct{}) bool {
	select {
	case <-done:
		return true
	default:
		return false
	}
}

// fit sets the search of one set up, under the least of its load limits.
func (w *Want) fit(set []int, target Lab) *fit {
	f := &fit{base: w.Base, wall: w.Wall, target: target, most: LoadUsual}
	if w.MaxLoad > 0 {
		f.most = w.MaxLoad
	}
	for _, i := range set {
		t := w.Palette[i]
		f.tints = append(f.tints, t)
		if t.MaxLoad > 0 {
			f.most = min(f.most, t.MaxLoad)
		}
	}
	return f
}

// blend looks at a point.
func (w *Want) blend(f *fit, set []int, u point) Blend {
	var b Blend
	for i := range set {
		d := Dose{f.tints[i], u[i] * u[i] * u[i]}
		b.Doses = append(b.Doses, d)
		b.Load += d.Part
	}
	var m stack
	m.fill(w.Base, b.Doses, w.Wall)
	s := m.shade()
	b.Lab, b.Code = s.Lab, s.Code
	b.Difference = Difference(f.target, s.Lab)
	return b
}

// rank is the difference in steps too small to matter, so that the last bits
// of a search do not choose between two sets that both hit the target.
func (b *Blend) rank() float64 { return math.Round(b.Difference / 1e-3) }

// trace reports that a tint is in it with the least dose only.
func (b *Blend) trace() bool {
	for _, d := range b.Doses {
		if d.Part < 1.01*DoseFloor {
			return true
		}
	}
	return false
}

// covered drops the sets that have no more than a trace of some tint where a
// smaller set does as well. blends are sorted.
func covered(blends []Blend) []Blend {
	return slices.DeleteFunc(slices.Clone(blends), func(b Blend) bool {
		return b.trace() && slices.ContainsFunc(blends, func(c Blend) bool {
			return len(c.Doses) < len(b.Doses) && c.Difference <= b.Difference+traceSlack
		})
	})
}

// offer picks the set to use: the smallest within slack of the nearest and of
// the same verdict. blends are sorted.
func offer(blends []Blend) Blend {
	best := blends[0]
	pick := best
	for _, b := range blends[1:] {
		if b.Difference > best.Difference+slack {
			break
		}
		if len(b.Doses) < len(pick.Doses) && b.Verdict() == best.Verdict() {
			pick = b
		}
	}
	return pick
}

// sets lists the subsets of n tints, smallest first.
func sets(n int) (out [][]int) {
	most := setMost
	if n <= allSubsets {
		most = n
	}
	for bits := 1; bits < 1<<n; bits++ {
		var set []int
		for i := range n {
			if bits>>i&1 == 1 {
				set = append(set, i)
			}
		}
		if len(set) <= most {
			out = append(out, set)
		}
	}
	slices.SortStableFunc(out, func(a, b []int) int { return cmp.Compare(len(a), len(b)) })
	return out
}
