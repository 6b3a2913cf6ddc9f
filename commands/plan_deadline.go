package commands

import (
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/plan"
	"github.com/pourwright/pourwright/internal/quantity"
)

// way is how a deadline could be met.
type way struct {
	notes   []string
	actions []chat.Action
}

// How far each way is tried.
const (
	mostHelpers   = 4
	mostMoreMolds = 6
	mostMoreHours = 12
)

// inTime answers whether the deadline is met and, where it is not, what would
// meet it: more hands, more molds of the last kind, longer hours.
func (p planCommand) inTime(ctx context.Context, r *runPlan) (way, error) {
	if r.by.IsZero() || r.meets() {
		return way{}, nil
	}
	last := int(r.by.Sub(r.start).Seconds())
	meets := func(j plan.Job) (bool, error) {
		if least, err := plan.Soonest(j, last); err != nil || least > last {
			return false, nil // what can't be planned does not make it either
		}
		made, err := plan.Make(j, ctx.Done())
		if fault.As(err) != nil || plan.ErrWornOut(err) {
			return false, nil
		}
		if err != nil {
			return false, planFailed(ctx, err)
		}
		return made.Finish.High <= last, nil
	}
	var w way
	for n := 1; n <= mostHelpers; n++ {
		j := r.job
		j.People += n
		ok, err := meets(j)
		if err != nil {
			return w, err
		}
		if ok {
			w.notes = append(w.notes, fmt.Sprintf("In time with %s.", quantity.Count(j.People, "pair of hands", "pairs of hands")))
			w.actions = append(w.actions, chat.Action{Label: fmt.Sprintf("With %d pairs of hands", j.People), Do: chat.DoReplace, Line: planLine(r.c, r.sub(), map[string]string{"people": fmt.Sprint(j.People)})})
			break
		}
	}
	if err := r.moreMolds(&w, meets); err != nil {
		return w, err
	}
	if err := r.longer(&w, meets); err != nil {
		return w, err
	}
	if len(w.notes) == 0 {
		w.notes = append(w.notes, fmt.Sprintf("Neither up to %d more hands, nor %d more molds, nor longer hours alone make it: take fewer copies, a later time, or a faster material.", mostHelpers, mostMoreMolds))
	}
	return w, r.fewer(&w, meets)
}

func (r *runPlan) moreMolds(w *way, meets func(plan.Job) (bool, error)) error {
	j := r.job
	fresh := r.job.Molds[len(r.job.Molds)-1]
	fresh.Full, fresh.Since, fresh.Left = false, 0, 0
	like := r.molds[len(r.molds)-1].Name
	for n := 1; n <= mostMoreMolds && len(j.Molds) < library.MostOfRun; n++ {
		j.Molds = append(j.Molds[:len(j.Molds):len(j.Molds)], fresh)
		ok, err := meets(j)
		if err != nil {
			return err
		}
		if ok {
			w.notes = append(w.notes, fmt.Sprintf("In time with %s like %s, once made and coated.", quantity.Count(n, "more mold", "more molds"), like))
			return nil
		}
	}
	return nil
}

func (r *runPlan) longer(w *way, meets func(plan.Job) (bool, error)) error {
	hours := r.hours
	for range mostMoreHours {
		if hours.Around() {
			return nil
		}
		hours = hours.Longer()
		j := r.job
		j.Open = hours.Open(r.start, r.c.By.Zone())
		ok, err := meets(j)
		if err != nil {
			return err
		}
		if ok {
			w.notes = append(w.notes, fmt.Sprintf("In time with longer hours: hours:%q.", hours))
			w.actions = append(w.actions, chat.Action{Label: "With hours " + hours.String(), Do: chat.DoReplace, Line: planLine(r.c, r.sub(), map[string]string{"hours": hours.String()})})
			return nil
		}
	}
	return nil
}

// fewer finds how many parts there are by then, by halving.
func (r *runPlan) fewer(w *way, meets func(plan.Job) (bool, error)) error {
	low, high := 0, r.job.Copies
	for high-low > 1 {
		middle := (low + high) / 2
		j := r.job
		j.Copies = middle
		ok, err := meets(j)
		switch {
		case err != nil:
			return err
		case ok:
			low = middle
		default:
			high = middle
		}
	}
	w.notes = append(w.notes, fmt.Sprintf("By then about %s are out, spares among them.", quantity.Count(low, "part", "parts")))
	return nil
}
