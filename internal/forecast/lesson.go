package forecast

import (
	"context"
	"fmt"
	"math"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/cure"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/working"
)

// Lesson is what logged pours taught about a material.
type Lesson struct {
	Own, Shared int // pours that count
	// Other is how many pours do not, because the profile's figures were
	// others then.
	Other    int
	Narrowed float64 // share by which the range of the time factor shrank; below zero: grew

	Factor float64 // on demold times, the median

	learned cure.Learned
}

// Pours is how many count.
func (l Lesson) Pours() int { return l.Own + l.Shared }

// Text says it in a sentence, "" where there is nothing to say.
func (l Lesson) Text() string {
	var said []string
	say := func(when bool, format string, args ...any) {
		if when {
			said = append(said, fmt.Sprintf(format, args...))
		}
	}
	n := pours(l.Pours())
	switch moved := math.Abs(math.Log(l.Factor)) > tells; {
	case l.Pours() == 0:
	case l.Narrowed > tells:
		say(true, "Narrowed by %s here.", n)
	case l.Narrowed < -tells:
		say(true, "Moved by %s here, and wider until there are more.", n)
	case moved:
		say(true, "Moved by %s here.", n)
	default:
		say(true, "Counted, but nothing new: %s here. What is found well before the forecast or long after it narrows nothing.", n)
	}
	say(l.Pours() > 0 && math.Abs(l.Factor-1) > worthSaying, "It takes about %s times as long as the model alone would say.", working.Num(math.Round(100*l.Factor)/100))
	say(l.Shared > 0, "Of these, others of this shop shared %s, at half weight.", pours(l.Shared))
	say(l.Other > 0, "Not counted: %s with other figures in the profile.", pours(l.Other))
	return strings.Join(said, " ")
}

// tells is the share of the range, or of the times, from which a change is a
// change; worthSaying that of the times from which it is told.
const (
	tells       = 0.005
	worthSaying = 0.05
)

func pours(n int) string { return quantity.Count(n, "pour", "pours") }

// Lesson is what was learned about a material by now. Errors are those of
// cure.FromProfile.
func (d *Desk) Lesson(ctx context.Context, c *chat.Call, m shop.Material) (Lesson, error) {
	r, _, err := cure.FromProfile(m.Profile)
	if err != nil {
		return Lesson{}, err
	}
	return d.lesson(ctx, c, m, r)
}

// lesson gathers what was found at pours of the material: the viewer's own and
// those shared with the shop. A pour teaches only while the profile's figures
// are those that its forecast was made with.
func (d *Desk) lesson(ctx context.Context, c *chat.Call, m shop.Material, now cure.Resin) (Lesson, error) {
	rows, err := d.pours.CureLogs(ctx, c.By, m.ID)
	if err != nil {
		return Lesson{}, fmt.Errorf("look up logged pours: %w", err)
	}
	same := map[int]bool{m.Version: true}
	var l Lesson
	var logs []cure.Log
	for _, group := range byPour(rows) {
		version := group[0].MaterialVersion
		if _, known := same[version]; !known {
			if same[version], err = d.sameFigures(ctx, c, m.ID, version, now); err != nil {
				return Lesson{}, err
			}
		}
		log := merged(group)
		switch {
		case log.Pred <= 0:
		case !same[version]:
			l.Other++
		default:
			log.Shared = group[0].Owner != c.By.Member.ID
			logs = append(logs, log)
		}
	}
	l.learned = cure.Learn(logs)
	l.Own, l.Shared, l.Narrowed = l.learned.Own, l.learned.Shared, l.learned.Narrowed()
	l.Factor = l.learned.Factor(0.5)
	return l, nil
}

// sameFigures reports whether an older version of a profile comes to the same
// resin. One that can't be seen any more does not.
func (d *Desk) sameFigures(ctx context.Context, c *chat.Call, id int64, version int, now cure.Resin) (bool, error) {
	old, err := d.materials.Material(ctx, c.By, id, version)
	if fault.As(err) != nil {
		return false, nil
	}
	if err != nil {
		return false, fmt.Errorf("look up the profile of a pour: %w", err)
	}
	then, _, err := cure.FromProfile(old.Profile)
	return err == nil && then == now, nil
}

// byPour groups answers by their pour, in the order of the first ones.
func byPour(rows []shop.CureLog) (groups [][]shop.CureLog) {
	place := map[int64]int{}
	for _, r := range rows {
		i, known := place[r.Pour]
		if !known {
			i = len(groups)
			place[r.Pour] = i
			groups = append(groups, nil)
		}
		groups[i] = append(groups[i], r)
	}
	return groups
}

// merged is what all answers to one pour say: soft at the latest time it was
// found soft, ready by the first time it was found ready.
func merged(group []shop.CureLog) cure.Log {
	log := cure.Log{Pred: group[0].Physics}
	for _, r := range group {
		log.SoftAt = max(log.SoftAt, r.SoftAt)
		if r.ReadyBy > 0 && (log.ReadyBy == 0 || r.ReadyBy < log.ReadyBy) {
			log.ReadyBy = r.ReadyBy
		}
	}
	return log
}
