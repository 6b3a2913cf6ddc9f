package plan

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
)

// shopFloor is the state of the plain search: who is free when, and how each
// mold stands.
type shopFloor struct {
	free  []int
	molds [3]struct {
		full         bool
		ready, since int
	}
	made, end int
}

// exhaustive is the soonest end of any order of acts, by trying all of them: at
// each moment whoever is free first does anything that can be done, or waits for
// the next thing to change. It shares nothing with the search but the job.
type exhaustive struct {
	job  Job
	best int
	seen map[string]bool
}

func soonest(j Job, known int) int {
	e := exhaustive{job: j, best: known, seen: map[string]bool{}}
	s := shopFloor{free: make([]int, j.People)}
	for i, m := range j.Molds {
		s.molds[i].since = m.Since
		if m.Full {
			s.molds[i].full, s.molds[i].ready = true, m.Out.High
		}
	}
	e.try(s)
	return e.best
}

func (e *exhaustive) open(t, work int) bool {
	return slices.ContainsFunc(e.job.Open, func(w Window) bool { return w.From <= t && t+work <= w.To })
}

func (e *exhaustive) try(s shopFloor) {
	if s.end >= e.best {
		return
	}
	slices.Sort(s.free)
	t, anyFull := s.free[0], false
	for i := range e.job.Molds {
		if m := s.molds[i]; m.full {
			anyFull = true
			if max(m.ready, t)+e.job.Hands.Demold >= e.best {
				return
			}
		}
	}
	if s.made >= e.job.Copies && !anyFull {
		e.best = s.end
		return
	}
	if s.made < e.job.Copies && t+e.job.Hands.Batch+e.job.Hands.Demold >= e.best {
		return
	}
	key := fmt.Sprint(s)
	if e.seen[key] {
		return
	}
	e.seen[key] = true
	e.pours(s, t)
	for i := range e.job.Molds {
		m := s.molds[i]
		if m.ready > t {
			continue
		}
		next := s.copied()
		switch {
		case m.full && e.open(t, e.job.Hands.Demold):
			next.free[0] += e.job.Hands.Demold
			next.end = max(next.end, next.free[0])
			next.molds[i].full, next.molds[i].ready = false, next.free[0]
			next.molds[i].since++
			e.try(next)
		case !m.full && m.since >= e.job.Molds[i].Every && s.made < e.job.Copies && e.open(t, e.job.Hands.Coat):
			next.free[0] += e.job.Hands.Coat
			next.molds[i].ready, next.molds[i].since = next.free[0]+e.job.Hands.CoatWait, 0
			e.try(next)
		}
	}
	if wait := e.change(s, t); wait > 0 {
		next := s.copied()
		next.free[0] = wait
		e.try(next)
	}
}

// pours fills every set of molds that can be filled at t.
func (e *exhaustive) pours(s shopFloor, t int) {
	for set := 1; set < 1<<len(e.job.Molds) && s.made < e.job.Copies; set++ {
		work, parts, n, ok := e.job.Hands.Batch, 0, 0, true
		for i, m := range e.job.Molds {
			if set>>i&1 == 1 {
				st := s.molds[i]
				ok = ok && !st.full && st.ready <= t && st.since < m.Every
				work += m.Cavities * e.job.Hands.Cavity
				parts += m.Cavities
				n++
			}
		}
		if !ok || n > e.job.PerCup || !e.open(t, work) {
			continue
		}
		next := s.copied()
		next.free[0] += work
		next.made += parts
		for i, m := range e.job.Molds {
			if set>>i&1 == 1 {
				next.molds[i].full, next.molds[i].ready = true, next.free[0]+m.Cure.High
			}
		}
		e.try(next)
	}
}

// change is the next moment after t at which something can be done that can't be
// done before, 0 for none.
func (e *exhaustive) change(s shopFloor, t int) int {
	next := forever
	look := func(at int) {
		if at > t {
			next = min(next, at)
		}
	}
	for i := range e.job.Molds {
		look(s.molds[i].ready)
	}
	for _, at := range s.free {
		look(at)
	}
	for _, w := range e.job.Open {
		look(w.From)
	}
	if next == forever {
		return 0
	}
	return next
}

func (s shopFloor) copied() shopFloor {
	s.free = slices.Clone(s.free)
	return s
}

// smallJob draws a job of at most 8 fillings of at most 3 molds.
func smallJob(r *rand.Rand) Job {
	minutes := func(low, high int) int { return 60 * (low + r.IntN(high-low+1)) }
	j := Job{People: 1 + r.IntN(2), PerCup: 1 + r.IntN(3), Open: Always(),
		Hands: Hands{Batch: minutes(3, 8), Cavity: 20, Demold: minutes(1, 4), Coat: minutes(3, 6), CoatWait: 3600}}
	same := r.IntN(2) == 0
	for i := range 1 + r.IntN(3) {
		cure := minutes(10, 60)
		m := Mold{Cavities: 1 + r.IntN(3), Cure: Times{cure, cure, cure}, Since: r.IntN(6), Every: 3 + r.IntN(3)}
		if same && i > 0 {
			m = j.Molds[0]
		}
		if r.IntN(6) == 0 {
			m.Full = true
			m.Out.High = minutes(1, 30)
			m.Out.Mid, m.Out.Low = m.Out.High, m.Out.High
		}
		j.Molds = append(j.Molds, m)
	}
	for j.Copies = 1 + r.IntN(8*j.Molds[0].Cavities); ; j.Copies-- {
		if n := Batches(j.Copies, slices.MinFunc(j.Molds, func(a, b Mold) int { return a.Cavities - b.Cavities }).Cavities); n <= *shots {
			break
		}
	}
	if r.IntN(3) == 0 {
		j.Open = nil
		from := 0
		for range 60 {
			to := from + minutes(40, 200)
			j.Open = append(j.Open, Window{from, to})
			from = to + minutes(20, 600)
		}
	}
	return j
}

var shots = flag.Int("shots", 5, "how many fillings they have at most; 8 take minutes")

var many = flag.Int("many", 40, "how many small runs are held against all orders of their acts")

// On small runs the plan ends when the soonest of all plans does, or hardly later.
func TestAgainstExhaustive(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	cases, later, worst := 0, 0, 0.0
	for cases < *many {
		j := smallJob(r)
		p, err := Make(j, nil)
		if err != nil {
			t.Fatalf("%+v: %v", j, err)
		}
		cases++
		if p.Finish.High == p.Bound {
			continue // nothing is sooner
		}
		least := soonest(j, p.Finish.High)
		if p.Bound > least {
			t.Fatalf("%+v: bound %d is above the soonest %d", j, p.Bound, least)
		}
		if gap := float64(p.Finish.High-least) / float64(least); gap > 0 {
			later++
			if gap > worst {
				worst = gap
				t.Logf("case %d: %+v: %d, soonest %d (%.1f %%)", cases, j, p.Finish.High, least, 100*gap)
			}
		}
	}
	t.Logf("%d of %d end later than the soonest plan, at worst by %.1f %%", later, cases, 100*worst)
}
