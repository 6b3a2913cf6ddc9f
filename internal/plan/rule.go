package plan

import (
	"cmp"
	"slices"
)

// rule is how the simulation chooses: so many people around the clock, cups of so
// many molds at most, waiting so long for a fuller cup, and whether pouring comes
// before taking out.
type rule struct {
	people    int
	perCup    int
	patience  int // s
	pourFirst bool
}

// rules are those tried for a number of people.
func (j *Job) rules(people int) []rule {
	var out []rule
	for _, n := range cupSizes(min(j.PerCup, len(j.Molds))) {
		waits := []int{0, 2 * (j.Hands.Batch + j.Hands.Demold), forever}
		if n == 1 {
			waits = waits[:1] // one mold is a full cup
		}
		for _, wait := range waits {
			out = append(out, rule{people, n, wait, false}, rule{people, n, wait, true})
		}
	}
	return out
}

// cupSizes are the numbers of molds to try in a cup: all small ones, then fewer.
func cupSizes(most int) []int {
	var out []int
	for n := 1; n < most; n = max(n+1, n*4/3) {
		out = append(out, n)
	}
	return append(out, most)
}

// stand is where a mold stands in the simulation.
type stand struct {
	full  bool
	at    int // when it can be touched again
	since int // pulls since its coat
	fills int
}

// floor is the simulation.
type floor struct {
	*Job
	rule
	molds []stand
	free  []int
	made  int // parts poured
	list  []act
}

// simulate follows a rule until the copies are out, and gives what was done in
// the order it began. It has no list where the molds give out before.
func (j *Job) simulate(r rule) []act {
	f := &floor{Job: j, rule: r, molds: make([]stand, len(j.Molds)), free: make([]int, r.people)}
	for i, m := range j.Molds {
		f.molds[i] = stand{full: m.Full, since: m.Since}
		if m.Full {
			f.molds[i].at = m.Out.High
		}
	}
	for {
		who := 0
		for i, t := range f.free {
			if t < f.free[who] {
				who = i
			}
		}
		a, next, ok := f.choose(f.free[who])
		switch {
		case ok:
			f.free[who] += f.take(a, f.free[who])
		case next == forever && f.made >= j.Copies:
			return f.list
		case next == forever:
			return nil
		default:
			f.free[who] = next
		}
	}
}

// choose finds what to do at t, or when to look again.
func (f *floor) choose(t int) (a act, next int, ok bool) {
	next = forever
	out, coat := -1, -1
	for i, m := range f.molds {
		switch {
		case m.at > t:
			if m.full || f.wanted(i) {
				next = min(next, m.at)
			}
		case m.full && (out < 0 || f.Molds[i].Cure.High > f.Molds[out].Cure.High):
			out = i
		case !m.full && coat < 0 && m.since >= f.Molds[i].Every && f.wanted(i):
			coat = i
		}
	}
	cup, wait := f.cup(t)
	switch {
	case f.pourFirst && cup != nil && wait == 0:
		return act{Pour, cup}, 0, true
	case out >= 0:
		return act{Demold, []int{out}}, 0, true
	case coat >= 0:
		return act{Coat, []int{coat}}, 0, true
	case cup != nil && wait == 0:
		return act{Pour, cup}, 0, true
	case cup != nil:
		next = min(next, wait)
	}
	return act{}, next, false
}

// wanted reports whether a mold is to be filled once more.
func (f *floor) wanted(i int) bool {
	left := f.Molds[i].Left
	return f.made < f.Copies && (left == 0 || f.molds[i].fills < left)
}

// cup is which molds would be filled at t, longest cure first, no more than the
// copies need; wait is when a fuller cup could be had that is worth waiting for,
// or 0.
func (f *floor) cup(t int) (molds []int, wait int) {
	var ready []int
	soon, coming := forever, 0
	for i, m := range f.molds {
		if !f.wanted(i) {
			continue
		}
		if !m.full && m.at <= t && m.since < f.Molds[i].Every {
			ready = append(ready, i)
			continue
		}
		at := f.readyAgain(i, t)
		soon = min(soon, at)
		coming++
	}
	slices.SortStableFunc(ready, func(a, b int) int { return cmp.Compare(f.Molds[b].Cure.High, f.Molds[a].Cure.High) })
	need := f.Copies - f.made
	for _, i := range ready {
		if need <= 0 || len(molds) == f.perCup {
			break
		}
		molds = append(molds, i)
		need -= f.Molds[i].Cavities
	}
	if len(molds) == 0 || len(molds) == f.perCup || need <= 0 || coming == 0 || soon-t > f.patience {
		return molds, 0
	}
	return molds, max(soon, t+1)
}

// readyAgain is when a mold could be poured into at the earliest.
func (f *floor) readyAgain(i, t int) int {
	m := f.molds[i]
	at, since := max(m.at, t), m.since
	if m.full {
		at += f.Hands.Demold
		since++
	}
	if since >= f.Molds[i].Every {
		at += f.Hands.Coat + f.Hands.CoatWait
	}
	return at
}

// take does an act at t and gives how long hands are busy.
func (f *floor) take(a act, t int) (work int) {
	work = f.work(a)
	f.list = append(f.list, a)
	for _, i := range a.molds {
		m := &f.molds[i]
		m.at = t + work
		switch a.kind {
		case Pour:
			m.full = true
			m.at += f.Molds[i].Cure.High
			m.fills++
			f.made += f.Molds[i].Cavities
		case Demold:
			m.full = false
			m.since++
		case Coat:
			m.since = 0
			m.at += f.Hands.CoatWait
		}
	}
	return work
}
