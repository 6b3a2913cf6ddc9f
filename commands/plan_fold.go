package commands

import (
	"fmt"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// This file shortens the list of a long run: rounds that repeat are one step.

// fewChores is how many steps a list may have before rounds are folded,
// mostOfRound how many a round may have, timesTold how many times of day are told
// one by one, and mostInOneGo how many chores that follow at once are one step.
// evenly is the s within which rounds keep the same pace.
const (
	fewChores   = 10
	mostOfRound = 6
	timesTold   = 6
	mostInOneGo = 4
	evenly      = 60
)

// round is a stretch of chores, the same ones so many times.
type round struct{ from, long, times int }

// rounds takes chores apart into rounds; what does not repeat is a round of one,
// once.
func rounds(chores []chore) (out []round) {
	for i := 0; i < len(chores); {
		best := round{i, 1, 1}
		for long := 1; long <= mostOfRound && i+2*long <= len(chores); long++ {
			times := 1
			for i+(times+1)*long <= len(chores) && sameRound(chores, i, i+times*long, long) {
				times++
			}
			if times > 1 && times*long > max(best.long*best.times, 3) {
				best = round{i, long, times}
			}
		}
		out = append(out, best)
		i += best.long * best.times
	}
	return out
}

// sameRound reports whether two stretches do the same at the same pace.
func sameRound(chores []chore, a, b, long int) bool {
	for k := range long {
		x, y := chores[a+k], chores[b+k]
		gap := (x.Start - chores[a].Start) - (y.Start - chores[b].Start)
		if x.alike != y.alike || x.Who != y.Who || gap > evenly || gap < -evenly {
			return false
		}
	}
	return true
}

// inOneGo puts chores that nothing repeats, and that follow without a pause,
// into one round, a few at most.
func inOneGo(chores []chore, all []round) (out []round) {
	end := 0
	for _, one := range all {
		last := len(out) - 1
		if last >= 0 && one.times == 1 && out[last].times == 1 && out[last].long < mostInOneGo && chores[one.from].Start-end < sameVisit {
			out[last].long++
		} else {
			out, end = append(out, one), 0
		}
		end = max(end, chores[one.from].End)
	}
	return out
}

// steps are the chores as a reply tells them: each by itself, or folded where
// they are many.
func (r *runPlan) steps() (steps []string) {
	at := func(t time.Time) string { return clock(r.c, t) }
	if len(r.chores) <= fewChores {
		for _, ch := range r.chores {
			steps = append(steps, r.step(ch, at))
		}
		return steps
	}
	all := inOneGo(r.chores, rounds(r.chores))
	for i, one := range all {
		if left := len(all) - i; i == choresTold && left > 1 {
			return append(steps, fmt.Sprintf("And %d more things to do, the last part out at %s: the files have all.", len(r.chores)-one.from, at(r.at(r.Finish.High))))
		}
		if one.times > 1 {
			steps = append(steps, r.roundText(one))
			continue
		}
		var texts []string
		for _, ch := range r.chores[one.from : one.from+one.long] {
			texts = append(texts, r.step(ch, at))
		}
		steps = append(steps, strings.Join(texts, " "))
	}
	return steps
}

// step is one chore with its time.
func (r *runPlan) step(ch chore, clock func(time.Time) string) string {
	return clock(r.at(ch.Start)) + " " + ch.text + r.hand(ch) + "."
}

// hand is whose hands a chore takes, where there are several.
func (r *runPlan) hand(ch chore) string {
	if r.job.People < 2 {
		return ""
	}
	return fmt.Sprintf(" [hands %d]", ch.Who+1)
}

// roundText tells rounds in one step, "5 times, every 45 min from 11:21 to
// 14:23: pour …; 42 min in, take out …".
func (r *runPlan) roundText(o round) string {
	first := r.chores[o.from]
	var each []string
	parts := 0
	for k := range o.long {
		ch := r.chores[o.from+k]
		text := strings.ToLower(ch.alike[:1]) + ch.alike[1:] + r.hand(ch)
		if k > 0 {
			text = quantity.Text(float64((ch.Start-first.Start+30)/60*60), quantity.Time, r.c.By.System()) + " in, " + text
		}
		each = append(each, text)
		parts = max(parts, r.chores[o.from+(o.times-1)*o.long+k].parts)
	}
	last := r.chores[o.from+o.times*o.long-1]
	text := fmt.Sprintf("%d times, %s: %s.", o.times, r.roundTimes(o), strings.Join(each, "; "))
	if parts > 0 {
		text += fmt.Sprintf(" That makes %s by %s.", quantity.Count(parts, "part", "parts"), clock(r.c, r.at(last.End)))
	}
	return text
}

// roundTimes are when each round begins: by their pace where it is even.
func (r *runPlan) roundTimes(o round) string {
	var begins []int
	for k := range o.times {
		begins = append(begins, r.chores[o.from+k*o.long].Start)
	}
	gap := begins[1] - begins[0]
	even := true
	for k := 1; k < len(begins); k++ {
		d := begins[k] - begins[k-1] - gap
		even = even && d <= evenly && d >= -evenly
	}
	at := func(k int) string { return clock(r.c, r.at(begins[k])) }
	switch {
	case even && o.times > 2:
		return fmt.Sprintf("every %s from %s to %s", quantity.Text(float64((gap+30)/60*60), quantity.Time, r.c.By.System()), at(0), at(o.times-1))
	case o.times > timesTold:
		return fmt.Sprintf("from %s to %s (the files have each)", at(0), at(o.times-1))
	}
	var times []string
	for k := range begins {
		times = append(times, at(k))
	}
	return "at " + library.List(times)
}

// listed adds every step as a text to hang up, where the reply does not tell
// each by itself.
func (r *runPlan) listed(out *chat.Reply) {
	if len(out.Steps) == len(r.chores) {
		return
	}
	zone := r.c.By.Zone()
	molds := make([]int, len(r.molds))
	for i := range molds {
		molds[i] = i
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%d parts of %s into %s\nTimes by the clock of %s, by the long end of the cure.\n\n", r.copies, r.material.Name, r.names(molds), zone)
	for i, ch := range r.chores {
		fmt.Fprintf(&b, "%3d. %s\n", i+1, r.step(ch, func(t time.Time) string { return shop.ClockText(t, r.start, zone) }))
	}
	out.Files = append(out.Files, chat.File{Name: "run.txt", Data: []byte(b.String())})
	out.Notes = append(out.Notes, "Rounds that repeat are one step here: run.txt has each by itself, and so has the calendar file.")
}
