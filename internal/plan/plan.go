package plan

import (
	"cmp"
	"slices"

	"github.com/pourwright/pourwright/internal/fault"
)

// Step is one thing that is done, from its start to its end in s.
type Step struct {
	Kind       Kind
	Molds      []int // by their place in the job
	Parts      []int // of a pour, for each mold; the last may leave cavities empty
	Start, End int
	Who        int // from 0
}

// Plan is a run as it is to be done, by the long end of the cure times.
type Plan struct {
	Steps  []Step // in the order they begin
	Finish Times  // when the last part is out
	First  Times  // when the first one is
	Pours  int    // cups
	Fills  int    // fillings of a mold
	Coats  int
	Pulls  []int // fillings of each mold
	Bound  int   // no plan of this kind can end sooner
}

// Gap is how much later the plan ends than the bound, as a share of it.
func (p Plan) Gap() float64 {
	if p.Bound == 0 {
		return 0
	}
	return float64(p.Finish.High-p.Bound) / float64(p.Bound)
}

// ErrWornOut reports an error of Make: the molds give out before the copies are
// made.
func ErrWornOut(err error) bool { return err == errWornOut }

// Make plans a run. It takes molds as they come: those named first are tried
// alone as well. Errors: out_of_range with its option, also where the run does
// not fit the working hours given; that of ErrWornOut; ErrStopped.
func Make(j Job, done <-chan struct{}) (Plan, error) {
	if err := j.check(); err != nil {
		return Plan{}, err
	}
	b, err := j.search(done)
	if err != nil {
		return Plan{}, err
	}
	if !b.found {
		return Plan{}, fault.New(fault.OutOfRange, "the run does not end within the year that is planned").In("copies").
			Hint("give fewer copies, longer hours, or more molds or people")
	}
	p := j.laidOut(b.list)
	p.Bound = j.bound(p.Finish.High)
	return p, nil
}

// laidOut carries a list out at each point of the cure times.
func (j *Job) laidOut(list []act) Plan {
	p := Plan{Pulls: make([]int, len(j.Molds))}
	for _, at := range []struct {
		of            func(Times) int
		finish, first *int
	}{{low, &p.Finish.Low, &p.First.Low}, {mid, &p.Finish.Mid, &p.First.Mid}, {high, &p.Finish.High, &p.First.High}} {
		c := newCrew(j, j.People, j.Open, at.of)
		c.reset()
		p.Steps = p.Steps[:0]
		for _, a := range list {
			start, end, who, _ := c.do(a) // a shorter cure fits where the long one did
			p.Steps = append(p.Steps, Step{Kind: a.kind, Molds: a.molds, Start: start, End: end, Who: who})
			if a.kind == Demold && (*at.first == 0 || end < *at.first) {
				*at.first = end
			}
		}
		*at.finish = c.end
	}
	slices.SortStableFunc(p.Steps, func(a, b Step) int { return cmp.Compare(a.Start, b.Start) })
	left := j.Copies
	for i := range p.Steps {
		s := &p.Steps[i]
		switch s.Kind {
		case Coat:
			p.Coats++
		case Pour:
			p.Pours++
			for _, m := range s.Molds {
				n := min(left, j.Molds[m].Cavities)
				left -= n
				s.Parts = append(s.Parts, n)
				p.Fills++
				p.Pulls[m]++
			}
		}
	}
	return p
}
