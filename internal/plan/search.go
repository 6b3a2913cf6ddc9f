package plan

import (
	"errors"
	"math/rand/v2"
	"slices"
)

// ErrStopped is returned when done was closed.
var ErrStopped = errors.New("plan: stopped")

var (
	errUnsound = errors.New("plan: the job does not hold together")
	errWornOut = errors.New("plan: the molds give out before the copies are made")
)

// effort bounds the search for one number of molds and people, in acts carried
// out, and tries alone for a short list.
const (
	effort   = 40_000
	mostTry  = 600
	leastTry = 10
)

// crews are the numbers of people that lists are made for: of those no more than
// there are.
var crews = []int{1, 2, 4, 8}

// best keeps the best list under the job's own hours and people.
type best struct {
	crew  *crew
	list  []act
	score score
	found bool  // a list fits the working time
	rest  []act // what is to come out of molds that the lists leave alone
}

func (b *best) offer(list []act) {
	whole := slices.Concat(list, b.rest)
	if s, ok := b.crew.judge(whole); ok && (!b.found || s.less(b.score)) {
		b.list, b.score, b.found = whole, s, true
	}
}

// search tries the lists of every beginning of the molds: what could be done
// without the last ones can still be done.
func (j *Job) search(done <-chan struct{}) (*best, error) {
	b := &best{crew: newCrew(j, j.People, j.Open, high)}
	for n := 1; n <= len(j.Molds); n++ {
		some := *j
		some.Molds = j.Molds[:n]
		if _, ok := some.fills(); !ok {
			continue
		}
		b.rest = nil
		for i := n; i < len(j.Molds); i++ {
			if j.Molds[i].Full {
				b.rest = append(b.rest, act{Demold, []int{i}})
			}
		}
		for i, people := range crews {
			if people > j.People {
				break
			}
			select {
			case <-done:
				return nil, ErrStopped
			default:
			}
			some.improve(b, people, uint64(n*len(crews)+i))
		}
	}
	return b, nil
}

// improve makes lists by the rules for some people, and betters the best by small
// changes as if those people worked around the clock. All that are better on the
// way are offered.
func (j *Job) improve(b *best, people int, seed uint64) {
	around := newCrew(j, people, Always(), high)
	var list []act
	var at score
	for _, r := range j.rules(people) {
		made := j.simulate(r)
		if made == nil {
			continue
		}
		made = j.pruned(made)
		b.offer(made)
		if s, ok := around.judge(made); ok && (list == nil || s.less(at)) {
			list, at = made, s
		}
	}
	if list == nil {
		return
	}
	chance := rand.New(rand.NewPCG(1, seed)) // fixed: the same job has the same plan
	tries := min(max(effort/len(list), leastTry), mostTry)
	for range tries {
		other := j.change(list, chance)
		if other == nil {
			continue
		}
		s, ok := around.judge(other)
		if !ok || at.less(s) {
			continue
		}
		if s.less(at) {
			b.offer(other)
		}
		list, at = other, s
	}
}
