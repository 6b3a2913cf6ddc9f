package commands

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/plan"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// This file makes the calls of a run, and takes them back.

// visit is what hands do without a pause: one call.
type visit struct {
	start int
	about []string
	coats []int64 // molds that get a coat
}

// visits gathers chores that follow one another closely.
func visits(chores []chore, molds []shop.Mold) (out []visit) {
	end := 0
	for i, ch := range chores {
		if i == 0 || ch.Start-end >= sameVisit {
			out = append(out, visit{start: ch.Start})
		}
		last := &out[len(out)-1]
		last.about = append(last.about, ch.title)
		if ch.Kind == plan.Coat {
			last.coats = append(last.coats, molds[ch.Molds[0]].ID)
		}
		end = max(end, ch.End)
	}
	return out
}

func (p planCommand) remind(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	r, err := p.asked(ctx, c)
	if err != nil {
		return nil, err
	}
	if c.Has("since") || c.Has("made") {
		if err := p.underWay(ctx, r); err != nil {
			return nil, err
		}
		if r.copies <= 0 {
			return nil, fault.New(fault.TooLate, "all of it is poured already").In("copies").Hint("/due add calls you for one thing")
		}
	}
	made, err := p.planned(ctx, r)
	if err != nil {
		return nil, err
	}
	var dues []shop.Due
	for _, v := range visits(made.chores, r.molds) {
		at := r.at(v.start)
		if !at.After(c.At) {
			continue // it is time for that already
		}
		d := callOf(c, "Run: "+strings.Join(v.about, "; "), at)
		if len(v.coats) == 1 && len(v.about) == 1 {
			d.Coat = v.coats[0] // its message counts the coat
		}
		dues = append(dues, d)
	}
	if len(dues) == 0 {
		return nil, fault.New(fault.TooLate, "no step of this run is still to come").In("start").Hint("plan it anew with /plan run or /plan replan")
	}
	err = p.Together.Together(ctx, func(books shop.Books) error {
		for i := range dues {
			var err error
			if dues[i], err = books.Dues.AddDue(ctx, c.Stamp(), dues[i]); err != nil {
				return err
			}
		}
		return nil
	})
	if callsFull(err) {
		return nil, fault.New(fault.LimitReached, "%d calls more are more reminders than can be kept", len(dues)).In("copies").
			Hint("none was made: take the calendar file, or plan a part of the run; /due list shows yours")
	}
	if err != nil {
		return nil, fmt.Errorf("add the calls of a run: %w", err)
	}
	return remindedOf(c, made, dues), nil
}

func remindedOf(c *chat.Call, r *runPlan, dues []shop.Due) *chat.Reply {
	const told = 10
	out := &chat.Reply{Title: fmt.Sprintf("You will be called %s, first at %s", timesOf(len(dues)), clock(c, dues[0].At)),
		Facts: []chat.Fact{chat.Whole("calls", "Calls", len(dues), fmt.Sprint(len(dues)))}}
	var numbers []string
	for i, d := range dues {
		numbers = append(numbers, chat.Ref(d.ID, 0))
		if i < told {
			out.Steps = append(out.Steps, clock(c, d.At)+" "+strings.TrimPrefix(d.About, "Run: ")+".")
		}
	}
	if more := len(dues) - told; more > 0 {
		out.Steps = append(out.Steps, fmt.Sprintf("And %d more, the last at %s.", more, clock(c, dues[len(dues)-1].At)))
	}
	for _, d := range dues {
		if !shop.QuietUntil(c.By.Member.Pref.QuietHours, d.At, c.By.Zone()).IsZero() {
			out.Notes = append(out.Notes, "Some of these are in your quiet hours, and wait until they end.")
			break
		}
	}
	out.Notes = append(out.Notes, fmt.Sprintf("They go by this plan, which ends by %s. If the run goes another way, take them back and plan it anew.", clock(c, r.at(r.Finish.High))))
	out.Actions = []chat.Action{{Label: "Take them all back", Line: chat.FormatLine("plan unremind", map[string]string{"dues": strings.Join(numbers, ", ")}, nil)},
		{Label: "List mine", Line: "/due list"}}
	return out
}

func timesOf(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

func (p planCommand) unremind(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	wanted, err := dueNumbers(c.Text("dues"))
	if err != nil {
		return nil, err
	}
	coming, err := p.Dues.Dues(ctx, c.By, library.DuesLooked)
	if err != nil {
		return nil, fmt.Errorf("list dues: %w", err)
	}
	var ids []int64
	for _, d := range coming {
		if slices.Contains(wanted, d.ID) {
			ids = append(ids, d.ID)
		}
	}
	if len(ids) == 0 {
		return nil, fault.New(fault.NotFound, "none of these calls is still to come").In("dues").Hint("/due list shows what is")
	}
	err = p.Together.Together(ctx, func(books shop.Books) error {
		for _, id := range ids {
			if _, err := books.Dues.CancelDue(ctx, c.Stamp(), id); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("cancel the calls of a run: %w", err)
	}
	out := &chat.Reply{Title: fmt.Sprintf("%s taken back", quantity.Count(len(ids), "call", "calls")), Facts: []chat.Fact{chat.Whole("calls", "Calls taken back", len(ids), fmt.Sprint(len(ids)))}}
	if past := len(wanted) - len(ids); past > 0 {
		out.Notes = []string{fmt.Sprintf("The other %d have come already, or are not yours.", past)}
	}
	return out, nil
}

// dueNumbers reads "#7, #8".
func dueNumbers(typed string) (ids []int64, err error) {
	for _, word := range strings.FieldsFunc(typed, func(r rune) bool { return r == ',' || r == ' ' }) {
		id, version, ok := chat.ReadRef(word)
		if !ok || version != 0 || id <= 0 {
			return nil, fault.New(fault.NotFound, "%q is no call's number", fault.Echo(word)).In("dues").Hint(`give numbers as /due list shows them, such as dues:"#7, #8"`)
		}
		if !slices.Contains(ids, id) {
			ids = append(ids, id)
		}
	}
	return ids, nil
}
