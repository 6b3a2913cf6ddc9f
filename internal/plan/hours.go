package plan

import (
	"math"
	"slices"
)

// Window is a stretch of working time in s, from its first second to its end.
type Window struct{ From, To int }

// Open is when hands may work: windows in rising order that do not touch.
type Open []Window

// forever is beyond every plan: sixty years.
const forever = 60 * 366 * 86400

// Always is working time around the clock.
func Always() Open { return Open{{0, forever}} }

// fit is the first second not before t at which so many seconds of work can be
// done at a stretch; ok is false where no window is left that holds them.
func (o Open) fit(t, work int) (start int, ok bool) {
	i, _ := slices.BinarySearchFunc(o, t, func(w Window, t int) int {
		if w.To <= t {
			return -1
		}
		return 1
	})
	for ; i < len(o); i++ {
		if start = max(t, o[i].From); start+work <= o[i].To {
			return start, true
		}
	}
	return 0, false
}

// after is when so many seconds of work are done that hands share out at will
// from second 0 on.
func (o Open) after(work int) (t int, ok bool) {
	if work == 0 {
		return 0, true
	}
	for _, w := range o {
		if length := w.To - w.From; length < work {
			work -= length
			continue
		}
		return w.From + work, true
	}
	return 0, false
}

// widest is the longest stretch of working time.
func (o Open) widest() int {
	most := 0
	for _, w := range o {
		most = max(most, w.To-w.From)
	}
	return most
}

func (o Open) sound() bool {
	last := math.MinInt
	for _, w := range o {
		if w.From <= last || w.To <= w.From || w.To > forever {
			return false
		}
		last = w.To
	}
	return len(o) > 0
}
