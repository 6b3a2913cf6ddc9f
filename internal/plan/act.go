package plan

import "slices"

// Kind is what hands do.
type Kind uint8

// The kinds of acts.
const (
	Pour   Kind = iota // a cup into one or several molds
	Demold             // the parts of a mold come out
	Coat               // a release coat goes on, and the mold waits
)

// act is one thing to do, with the molds it is done to: of a pour one or
// several, else one.
type act struct {
	kind  Kind
	molds []int
}

func (a act) touches(b act) bool {
	for _, m := range a.molds {
		if slices.Contains(b.molds, m) {
			return true
		}
	}
	return false
}

// work is how long hands are busy with an act. A pour counts all cavities of its
// molds, also where the last one leaves some empty.
func (j *Job) work(a act) int {
	switch a.kind {
	case Demold:
		return j.Hands.Demold
	case Coat:
		return j.Hands.Coat
	}
	s := j.Hands.Batch
	for _, m := range a.molds {
		s += j.Hands.Cavity * j.Molds[m].Cavities
	}
	return s
}

// crew carries acts out in their order: each by whoever is free first, as soon
// as its molds are ready and hands may work. That is the queue of Kiefer and
// Wolfowitz (Trans. Am. Math. Soc. 78 (1955) 1, from memory), whose waiting times
// are monotone in what comes in and in how many serve.
type crew struct {
	job   *Job
	cure  func(Times) int // which point of the ranges
	open  Open
	free  []int // when each is free, rising
	who   []int // whose time that is
	ready []int // when each mold can be touched again
	end   int
}

func newCrew(j *Job, people int, open Open, cure func(Times) int) *crew {
	return &crew{job: j, cure: cure, open: open, free: make([]int, people), who: make([]int, people), ready: make([]int, len(j.Molds))}
}

func (c *crew) reset() {
	c.end = 0
	for i := range c.free {
		c.free[i], c.who[i] = 0, i
	}
	for i, m := range c.job.Molds {
		c.ready[i] = 0
		if m.Full {
			c.ready[i] = c.cure(m.Out)
		}
	}
}

// do carries one act out, and tells when and by whom; ok is false where no
// working time is left for it.
func (c *crew) do(a act) (start, end, who int, ok bool) {
	at := c.free[0]
	for _, m := range a.molds {
		at = max(at, c.ready[m])
	}
	work := c.job.work(a)
	if start, ok = c.open.fit(at, work); !ok {
		return 0, 0, 0, false
	}
	end, who = start+work, c.who[0]
	i := 0
	for ; i+1 < len(c.free) && c.free[i+1] < end; i++ {
		c.free[i], c.who[i] = c.free[i+1], c.who[i+1]
	}
	c.free[i], c.who[i] = end, who
	for _, m := range a.molds {
		c.ready[m] = end
		switch a.kind {
		case Pour:
			c.ready[m] += c.cure(c.job.Molds[m].Cure)
		case Coat:
			c.ready[m] += c.job.Hands.CoatWait
		}
	}
	if a.kind != Coat {
		c.end = max(c.end, end)
	}
	return start, end, who, true
}

// run carries a list out and gives when the last part is out.
func (c *crew) run(list []act) (end int, ok bool) {
	c.reset()
	for _, a := range list {
		if _, _, _, ok := c.do(a); !ok {
			return 0, false
		}
	}
	return c.end, true
}

func low(t Times) int  { return t.Low }
func mid(t Times) int  { return t.Mid }
func high(t Times) int { return t.High }

// score is what a list is judged by: soonest, then fewest cups, then fewest
// fillings.
type score struct{ end, pours, fills int }

func (s score) less(o score) bool {
	switch {
	case s.end != o.end:
		return s.end < o.end
	case s.pours != o.pours:
		return s.pours < o.pours
	}
	return s.fills < o.fills
}

// judge scores a list; ok is false where it does not fit the working time.
func (c *crew) judge(list []act) (s score, ok bool) {
	if s.end, ok = c.run(list); !ok {
		return s, false
	}
	for _, a := range list {
		if a.kind == Pour {
			s.pours++
			s.fills += len(a.molds)
		}
	}
	return s, true
}
