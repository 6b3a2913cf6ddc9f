package plan

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
)

// Times is a time in s with its 10, 50 and 90 % points.
type Times struct{ Low, Mid, High int }

// Mold is one mold of a run.
type Mold struct {
	Cavities int
	Cure     Times // from the end of a pour until it may come out
	Since    int   // pulls since the last release coat
	Every    int   // pulls that a coat lasts
	Left     int   // pulls that it is to give at most; zero is no limit
	// Full says that something cures in it as the run begins; it may come out at
	// Out. Its parts are not counted here.
	Full bool
	Out  Times
}

// Hands is how long hands are busy, in s.
type Hands struct {
	Batch    int // preparing, weighing and mixing a cup
	Cavity   int // pouring a cavity of it, topped up and set aside
	Demold   int // a mold
	Coat     int // a release coat on a mold
	CoatWait int // how long a mold waits after its coat
}

// UsualHands are common practice, no source: 6 min a cup and 20 s a cavity, 3 min
// to take a mold's parts out, 5 min for a release coat, which sits an hour.
func UsualHands() Hands {
	return Hands{Batch: 360, Cavity: 20, Demold: 180, Coat: 300, CoatWait: 3600}
}

// Job is what a run is asked for.
type Job struct {
	Copies int // parts to be made, spares included
	Molds  []Mold
	People int
	PerCup int // molds that one cup fills at most
	Hands  Hands
	Open   Open
}

// Limits of a job.
const (
	mostMolds  = 40
	mostPeople = 20
	mostFills  = 3000
	mostTime   = 366 * 86400 // s, of one cure
)

// fills is the least number of fillings that make the copies; ok is false where
// the molds do not last so long.
func (j Job) fills() (n int, ok bool) {
	most := 0
	for _, m := range j.Molds {
		most = max(most, m.Cavities)
	}
	if j.Molds != nil && most > 0 {
		n = Batches(j.Copies, most)
	}
	total := 0
	for _, m := range j.Molds {
		if m.Left == 0 {
			return n, true
		}
		total += m.Left * m.Cavities
	}
	return n, total >= j.Copies
}

// check refuses what can't be planned. What a member did not type is a
// programmer's mistake and no refusal.
func (j Job) check() error {
	switch {
	case j.Copies < 1:
		return fault.New(fault.OutOfRange, "there is nothing to make").In("copies").Hint("give how many parts you want, such as 24")
	case len(j.Molds) == 0 || len(j.Molds) > mostMolds:
		return fault.New(fault.OutOfRange, "a run of %d molds is outside 1 to %d", len(j.Molds), mostMolds).In("molds").Hint("name the molds you fill")
	case j.People < 1 || j.People > mostPeople:
		return fault.New(fault.OutOfRange, "%d people are outside 1 to %d", j.People, mostPeople).In("people").Hint("give how many pour and demold")
	case !j.Open.sound() || j.PerCup < 1:
		return errUnsound
	}
	for _, m := range j.Molds {
		if err := m.check(); err != nil {
			return err
		}
	}
	n, ok := j.fills()
	switch {
	case n > mostFills:
		return fault.New(fault.OutOfRange, "%d copies are at least %d fillings, and more than %d are not planned at once", j.Copies, n, mostFills).In("copies").
			Hint("plan a part of the run, such as a day's")
	case !ok:
		return errWornOut
	}
	most := 0
	for _, m := range j.Molds {
		most = max(most, m.Cavities)
	}
	if longest := j.Hands.Batch + j.Hands.Cavity*most; j.Open.widest() < max(longest, j.Hands.Demold, j.Hands.Coat) {
		return fault.New(fault.OutOfRange, "the working hours are too short for one pour of %d min", int(math.Ceil(float64(longest)/60))).
			In("hours").Hint("give longer ones, such as hours:09:00-17:00")
	}
	return nil
}

func (m Mold) check() error {
	ordered := func(t Times) bool { return 0 <= t.Low && t.Low <= t.Mid && t.Mid <= t.High && t.High <= mostTime }
	if m.Cavities < 1 || m.Every < 1 || m.Since < 0 || m.Left < 0 || !ordered(m.Cure) || !ordered(m.Out) {
		return errUnsound
	}
	return nil
}
