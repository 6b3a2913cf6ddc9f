package stock

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// Amount is grams of A and of B.
type Amount struct{ A, B float64 }

// Total is both together.
func (a Amount) Total() float64 { return a.A + a.B }

// Less takes b off, and leaves no less than nothing.
func (a Amount) Less(b Amount) Amount {
	return Amount{math.Max(a.A-b.A, 0), math.Max(a.B-b.B, 0)}
}

// Slack is what two sums of grams may differ by and still be the same.
const Slack = 1e-6

// Nothing reports that none of both is left.
func (a Amount) Nothing() bool { return a.A <= Slack && a.B <= Slack }

// Jug is a container as the choice sees it.
type Jug struct {
	ID     int64
	Left   Amount
	Last   time.Time // its last day; zero where unknown
	Opened bool
	Theirs bool // another member's
}

// Past reports that a jug's last day is over on a day.
func (j Jug) Past(today time.Time) bool { return !j.Last.IsZero() && today.After(j.Last) }

// Take is what comes out of one container.
type Take struct {
	ID   int64
	From Amount
}

// Choice is where a need is met from.
type Choice struct {
	Takes []Take
	Short Amount  // what is not there
	Past  []int64 // of those taken from, the ones past their last day
}

// Choose meets a need from the jugs. Those that are past their day come last;
// then one's own before another's, what is open before what is sealed, and what
// ends first before the rest, so that nothing grows old at the back of the
// shelf.
func Choose(jugs []Jug, need Amount, today time.Time) Choice {
	order := slices.Clone(jugs)
	slices.SortStableFunc(order, func(a, b Jug) int { return rank(a, b, today) })
	var c Choice
	for _, j := range order {
		from := Amount{math.Min(need.A, math.Max(j.Left.A, 0)), math.Min(need.B, math.Max(j.Left.B, 0))}
		if from.Nothing() {
			continue
		}
		need = need.Less(from)
		c.Takes = append(c.Takes, Take{j.ID, from})
		if j.Past(today) {
			c.Past = append(c.Past, j.ID)
		}
	}
	if !need.Nothing() {
		c.Short = need
	}
	return c
}

// rank orders jugs as they are poured from.
func rank(a, b Jug, today time.Time) int {
	after := func(x bool) int {
		if x {
			return 1
		}
		return 0
	}
	endless := func(j Jug) time.Time {
		if j.Last.IsZero() { // nobody knows: after all that have a day
			return time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC)
		}
		return j.Last
	}
	return cmp.Or(
		cmp.Compare(after(a.Past(today)), after(b.Past(today))),
		cmp.Compare(after(a.Theirs), after(b.Theirs)),
		cmp.Compare(after(!a.Opened), after(!b.Opened)),
		endless(a).Compare(endless(b)),
		cmp.Compare(a.ID, b.ID),
	)
}

// First is the jug that a need of either part is met from first; ok is false
// where there is none with anything in it.
func First(jugs []Jug, today time.Time) (id int64, ok bool) {
	full := slices.DeleteFunc(slices.Clone(jugs), func(j Jug) bool { return j.Left.Nothing() })
	if len(full) == 0 {
		return 0, false
	}
	return slices.MinFunc(full, func(a, b Jug) int { return rank(a, b, today) }).ID, true
}
