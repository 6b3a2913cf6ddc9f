package plan

import (
	"cmp"
	"slices"
)

// Soonest is a time in s before which no plan of a job ends, and quick to tell;
// beyond a time of interest it may be any later one. Errors are those of Make.
func Soonest(j Job, within int) (int, error) {
	if err := j.check(); err != nil {
		return 0, err
	}
	if hands := j.handsBound(); hands > within {
		return hands, nil
	}
	if !j.moldsReach(within) {
		return within + 1, nil
	}
	return j.bound(within), nil
}

// bound is a time in s before which no plan of this kind ends: the larger of what
// the hands alone need and what the molds alone need. end is when one does end.
func (j *Job) bound(end int) int { return max(j.handsBound(), j.moldsBound(end)) }

// handsBound is when the least work there can be is done, with all hands at it
// without a pause.
func (j *Job) handsBound() int {
	fills, _ := j.fills()
	h := j.Hands
	work := Batches(fills, min(j.PerCup, len(j.Molds)))*h.Batch + j.Copies*h.Cavity + fills*h.Demold
	free, every := 0, 1 // pulls before any coat is due, and the most that one lasts
	for _, m := range j.Molds {
		since := m.Since
		if m.Full {
			since++
			work += h.Demold
		}
		free += max(m.Every-since, 0)
		every = max(every, m.Every)
	}
	if fills > free {
		work += Batches(fills-free, every) * h.Coat
	}
	at, _ := j.Open.after(Batches(work, j.People))
	return at
}

// moldsBound is when the molds have made the copies if hands were never in the
// way: each is filled alone, again and again. They have by last.
func (j *Job) moldsBound(last int) int {
	at, _ := j.alone(last)
	return at
}

func (j *Job) moldsReach(last int) bool {
	at, ok := j.alone(last)
	return ok && at <= last
}

// pull is parts that come out of a mold.
type pull struct{ at, parts int }

// alone is when the copies are made by molds that are each filled alone, and
// whether they are by last.
func (j *Job) alone(last int) (at int, ok bool) {
	var pulls []pull
	emptied := 0
	for i, m := range j.Molds {
		c := newCrew(j, 1, j.Open, high)
		c.reset()
		if m.Full {
			_, end, _, _ := c.do(act{Demold, []int{i}})
			emptied = max(emptied, end)
		}
		n := Batches(j.Copies, m.Cavities)
		if m.Left > 0 {
			n = min(n, m.Left)
		}
		for k := range n {
			if j.coatDue(i, k) {
				c.do(act{Coat, []int{i}})
			}
			if _, _, _, ok := c.do(act{Pour, []int{i}}); !ok {
				break
			}
			_, end, _, ok := c.do(act{Demold, []int{i}})
			if !ok || end > last {
				break
			}
			pulls = append(pulls, pull{end, m.Cavities})
		}
	}
	slices.SortFunc(pulls, func(a, b pull) int { return cmp.Compare(a.at, b.at) })
	made := 0
	for _, p := range pulls {
		if made += p.parts; made >= j.Copies {
			return max(p.at, emptied), true
		}
	}
	return emptied, false
}
