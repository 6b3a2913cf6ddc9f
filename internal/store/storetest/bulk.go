package storetest

import (
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
)

// bulk: what comes many at once is kept whole or not at all, is private, and
// obeys the rules of what comes one by one.
func bulk(t *testing.T, open Open) {
	limits := store.DefaultLimits()
	limits.Materials, limits.Pulls, limits.Pours, limits.PastPours = 5, 3, 1, 2
	w := newWorld(t, open, limits)
	w.add(w.ada, "White", false)
	all := func(names ...string) (out []material.Profile) {
		for _, n := range names {
			out = append(out, profile(n))
		}
		return out
	}
	mustRefuse(t, "a name that is taken", w.AddMaterials(w.ctx, by(w.ada), all("clear", "white")), fault.NameTaken)
	mustRefuse(t, "more than there is room for", w.AddMaterials(w.ctx, by(w.ada), all("a", "b", "c", "d", "e")), fault.LimitReached)
	if got := w.names(w.ada); len(got) != 1 {
		t.Fatalf("a refused addition kept %v", got)
	}
	if err := w.AddMaterials(w.ctx, under(w.ada, "many"), all("b", "a")); err != nil {
		t.Fatal(err)
	}
	if err := w.AddMaterials(w.ctx, under(w.ada, "many"), all("c")); err != shop.ErrRepeat {
		t.Errorf("a second delivery: %v", err)
	}
	if got := w.names(w.ada); len(got) != 3 || got[0] != "a" {
		t.Errorf("kept %v", got)
	}
	if got := w.names(w.bram); len(got) != 0 {
		t.Errorf("bram sees %v", got)
	}
	w.bulkNames(t, all)
	w.bulkLogs(t)
}

// bulkNames refuses the first name that would be refused one by one.
func (w *world) bulkNames(t *testing.T, all func(...string) []material.Profile) {
	t.Helper()
	for _, c := range []struct {
		what  string
		names []string
		want  string // of the message
	}{
		{"twice the same name", []string{"Slow", "slow"}, "called slow"},
		{"one that looks like a kept one", []string{"Wh\u0456te"}, "ada's White"},
		{"one that looks like one before it", []string{"cop", "\u0441op"}, "ada's cop"},
		{"what is taken before what looks like another", []string{"white", "Wh\u0456te"}, "called white"},
		{"what looks like another before what is taken", []string{"Wh\u0456te", "white"}, "ada's White"},
		{"the first of two that are taken", []string{"B", "a"}, "called B"},
		{"what is taken before a name too long", []string{"a", strings.Repeat("x", 200)}, "called a"},
	} {
		room := w.names(w.ada)
		err := w.AddMaterials(w.ctx, by(w.ada), all(c.names...))
		mustRefuse(t, c.what, err, fault.NameTaken)
		if err != nil && !strings.Contains(fault.As(err).Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.what, err, c.want)
		}
		if got := w.names(w.ada); len(got) != len(room) {
			t.Errorf("%s kept %v", c.what, got)
		}
	}
	// plain ASCII is never refused for what came before and imitates it
	if err := w.AddMaterials(w.ctx, by(w.bram), all("\u0441ap", "cap", "sl\u00f6w")); err != nil {
		t.Errorf("names that may stand side by side: %v", err)
	}
}

// bulkLogs does the same with marks and pours.
func (w *world) bulkLogs(t *testing.T) {
	t.Helper()
	mold := w.mold(t, w.ada, shop.MoldProfile{Name: "arch", Cavities: 1, Pulls: 10, Retired: "torn"}, true)
	mark := func(n int) shop.MoldMark { return shop.MoldMark{What: shop.MarkGood, Number: n, At: at} }
	mustRefuse(t, "another's mold", w.KeepMarks(w.ctx, by(w.bram), mold.ID, []shop.MoldMark{mark(11)}), fault.NotAllowed)
	mustRefuse(t, "a mold out of sight", w.KeepMarks(w.ctx, by(w.eve), mold.ID, []shop.MoldMark{mark(11)}), fault.NotFound)
	mustRefuse(t, "too many marks", w.KeepMarks(w.ctx, by(w.ada), mold.ID, []shop.MoldMark{mark(11), mark(12), mark(13), mark(14)}), fault.LimitReached)
	if err := w.KeepMarks(w.ctx, by(w.ada), mold.ID, []shop.MoldMark{mark(11), mark(12)}); err != nil {
		t.Fatal(err)
	}
	if got, err := w.Mold(w.ctx, w.bram, mold.ID, 0); err != nil || got.PullsSoFar() != 12 {
		t.Errorf("pulls %+v, %v", got, err)
	}

	brams := w.add(w.bram, "brams own", false)
	past := shop.Pour{PourPlan: shop.PourPlan{Material: "gone", Room: 21}, Started: at, Ended: at.Add(time.Hour), State: shop.PourDone,
		Answers: []shop.Answer{{ReadyBy: 600, At: at.Add(10 * time.Minute)}}}
	hidden := past
	hidden.MaterialID, hidden.MaterialVersion = brams.ID, 1
	mustRefuse(t, "a material out of sight", w.KeepPours(w.ctx, by(w.ada), []shop.Pour{past, hidden}), fault.NotFound)
	mustRefuse(t, "too many of the past", w.KeepPours(w.ctx, by(w.ada), []shop.Pour{past, past, past}), fault.LimitReached)
	running := past
	running.State, running.Ended, running.Answers = shop.PourRunning, time.Time{}, nil
	mustRefuse(t, "too many under way", w.KeepPours(w.ctx, by(w.ada), []shop.Pour{running, running}), fault.LimitReached)
	if got, err := w.Pours(w.ctx, w.ada, 9); err != nil || len(got) != 0 {
		t.Fatalf("refused, and yet %v, %v", got, err)
	}
	if err := w.KeepPours(w.ctx, by(w.ada), []shop.Pour{past, running}); err != nil {
		t.Fatal(err)
	}
	got, err := w.Pours(w.ctx, w.ada, 9)
	if err != nil || len(got) != 2 || got[0].State != shop.PourRunning || got[1].MaterialID != 0 || len(got[1].Answers) != 1 || got[1].Shared {
		t.Errorf("pours %+v, %v", got, err)
	}
	// What is kept already takes room too.
	mustRefuse(t, "a second one under way", w.KeepPours(w.ctx, by(w.ada), []shop.Pour{running}), fault.LimitReached)
	mustRefuse(t, "a third of the past", w.KeepPours(w.ctx, by(w.ada), []shop.Pour{past, past}), fault.LimitReached)
}
