package color

import (
	"cmp"
	"math"
	"slices"
)

// search gives the best blend of every set, nearest first; ties go to fewer
// tints, then to the earlier ones of the palette. A ΔE00 of enough or less ends
// it early.
func (w *Want) search(enough float64, done <-chan struct{}) ([]Blend, error) {
	found, err := w.canonical().tryAll(enough, done)
	if err != nil {
		return nil, err
	}
	place := map[*Tint]int{}
	for i, t := range w.Palette {
		place[t] = i
	}
	order := func(a, b Dose) int { return cmp.Compare(place[a.Tint], place[b.Tint]) }
	for _, b := range found {
		slices.SortFunc(b.Doses, order)
	}
	slices.SortStableFunc(found, func(a, b Blend) int {
		return cmp.Or(cmp.Compare(a.rank(), b.rank()), cmp.Compare(len(a.Doses), len(b.Doses)), slices.CompareFunc(a.Doses, b.Doses, order))
	})
	return covered(found), nil
}

// canonical is the same want with its palette in an order of its own, so that
// what is found does not hang on the order in which the tints were named.
func (w *Want) canonical() *Want {
	out := *w
	out.Palette = slices.Clone(w.Palette)
	slices.SortStableFunc(out.Palette, func(a, b *Tint) int {
		return cmp.Or(slices.Compare(a.k[:], b.k[:]), slices.Compare(a.s[:], b.s[:]), cmp.Compare(a.MaxLoad, b.MaxLoad))
	})
	return &out
}

// tryAll goes over all sets roughly, then again over those worth being exact.
func (w *Want) tryAll(enough float64, done <-chan struct{}) ([]Blend, error) {
	internal, _ := w.Target.inside(nil)
	g := newGram(w.Base, w.Palette, &internal)
	target := w.Target.Lab()
	blends := []Blend{w.fit(nil, target).blend(point{})}
	least := blends[0].Difference
	// reach is the squared ΔE00 that a set has to come down to.
	reach := func() float64 {
		r := least + polishNear
		if enough > 0 {
			r = min(r, enough)
		}
		return r * r
	}
	var found []descent
	for _, set := range sets(len(w.Palette)) {
		if stopped(done) {
			return nil, ErrStopped
		}
		at := w.fit(set, target).roughly(g, set, reach())
		found = append(found, at)
		if least = min(least, math.Sqrt(at.cost)); least <= enough {
			break
		}
	}
	for _, at := range found {
		if stopped(done) {
			return nil, ErrStopped
		}
		if at.cost <= reach() && at.cost > exact {
			at.finish(fine, reach())
			at.u, _ = at.fit.polish(at.u)
		}
		b := at.fit.blend(at.u)
		least = min(least, b.Difference)
		blends = append(blends, b)
	}
	return blends, nil
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
func (f *fit) blend(u point) Blend {
	var b Blend
	for i, t := range f.tints {
		d := Dose{t, u[i] * u[i] * u[i]}
		b.Doses = append(b.Doses, d)
		b.Load += d.Part
	}
	var m stack
	m.fill(f.base, b.Doses, f.wall)
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
