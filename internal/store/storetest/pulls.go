package storetest

import (
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
)

// pulledMold keeps a mold with a spoiled pull, a coat, and a pull taken back.
func (w *world) pulledMold(v shop.Viewer, name string) error {
	m, err := w.AddMold(w.ctx, by(v), shop.MoldProfile{Name: name, Cavities: 1}, true)
	_, err1 := w.PullMold(w.ctx, by(v), m.ID, false, "by "+v.Member.Name)
	_, err2 := w.CoatMold(w.ctx, by(v), m.ID)
	_, err3 := w.PullMold(w.ctx, by(v), m.ID, true, "")
	_, _, err4 := w.UndoMark(w.ctx, by(v), m.ID)
	return errors.Join(err, err1, err2, err3, err4)
}

func (w *world) mold(t testing.TB, v shop.Viewer, p shop.MoldProfile, shared bool) shop.Mold {
	t.Helper()
	m, err := w.AddMold(w.ctx, by(v), p, shared)
	if err != nil {
		t.Fatalf("add mold %s: %v", p.Name, err)
	}
	return m
}

// moldPulls: what was counted adds up, with coats, in every way it is read.
func moldPulls(t *testing.T, open Open) {
	w := usual(t, open)
	m := w.mold(t, w.ada, shop.MoldProfile{Name: "arch", Cavities: 1, Pulls: 17, LastCoat: 15, ReleaseEvery: 5}, true)
	other := w.mold(t, w.ada, shop.MoldProfile{Name: "other", Cavities: 1}, true)
	if m.PullsSoFar() != 17 || m.CoatedAt() != 15 || m.Tally != (shop.MoldTally{}) {
		t.Errorf("added: %+v", m)
	}
	pull := func(good bool, why string) shop.Mold {
		t.Helper()
		m, err := w.PullMold(w.ctx, by(w.ada), m.ID, good, why)
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	pull(true, "")
	pull(true, "")
	if m = pull(false, "bubble"); m.PullsSoFar() != 20 || m.CoatedAt() != 15 || m.Tally.Late != 0 {
		t.Errorf("three pulls: %+v", m)
	}
	if m = pull(true, ""); m.Tally.Late != 1 || !m.Tally.LastLate {
		t.Errorf("the sixth under a coat for five is late: %+v", m)
	}
	coatAt := later(w.ada, time.Hour)
	m, err := w.CoatMold(w.ctx, coatAt, m.ID)
	want := shop.MoldTally{Good: 3, Spoiled: 1, Late: 1, LastLate: true, Coats: 1, CoatAt: coatAt.At}
	if err != nil || m.PullsSoFar() != 21 || m.CoatedAt() != 21 || !cmp.Equal(m.Tally, want) {
		t.Errorf("coated: %+v, %v", m, err)
	}
	m = pull(true, "")
	want.Good, want.SinceCoat, want.LastLate = 4, 1, false
	if !cmp.Equal(m.Tally, want) || m.CoatedAt() != 21 {
		t.Errorf("a pull after the coat: %+v", m.Tally)
	}
	for name, v := range map[string]shop.Viewer{"owner": w.ada, "shop": w.bram} {
		one, err := w.Mold(w.ctx, v, m.ID, 0)
		all, err2 := w.Molds(w.ctx, v)
		if err != nil || err2 != nil || len(all) != 2 || !cmp.Equal(one, m) || !cmp.Equal(all[0], m) || all[1].ID != other.ID || all[1].Tally != (shop.MoldTally{}) {
			t.Errorf("%s reads %+v and %+v (%v, %v)", name, one, all, err, err2)
		}
		marks, err := w.MoldMarks(w.ctx, v, m.ID, 3)
		if err != nil || len(marks) != 3 || marks[0].Number != 22 || marks[1].What != shop.MarkCoat || marks[1].Number != 21 || !marks[2].Late {
			t.Errorf("%s reads the log %+v, %v", name, marks, err)
		}
	}
	undone(t, w, m)
	edited(t, w, m)
}

// undone: marks are taken back, newest first, for ten minutes.
func undone(t *testing.T, w *world, m shop.Mold) {
	_, _, err := w.UndoMark(w.ctx, later(w.ada, shop.TakeBackTime+time.Second), m.ID)
	mustRefuse(t, "too late to take back", err, fault.NotFound)
	back, mark, err := w.UndoMark(w.ctx, later(w.ada, shop.TakeBackTime), m.ID)
	if err != nil || mark.What != shop.MarkGood || mark.Number != 22 || back.PullsSoFar() != 21 {
		t.Errorf("taken back: %+v, %+v, %v", back, mark, err)
	}
	back, mark, err = w.UndoMark(w.ctx, later(w.ada, time.Hour), m.ID)
	if err != nil || mark.What != shop.MarkCoat || back.CoatedAt() != 15 || back.Tally.Coats != 0 {
		t.Errorf("the coat taken back: %+v, %+v, %v", back, mark, err)
	}
}

// edited: an edit keeps the log, and a retired mold takes no more marks.
func edited(t *testing.T, w *world, m shop.Mold) {
	p := m.MoldProfile
	p.Notes = "left flask"
	_, err := w.EditMold(w.ctx, by(w.bram), m.ID, 1, p)
	mustRefuse(t, "another's edit", err, fault.NotAllowed)
	now, err := w.EditMold(w.ctx, by(w.ada), m.ID, 1, p)
	if err != nil || now.Version != 2 || now.Notes != "left flask" || now.PullsSoFar() != 21 {
		t.Errorf("edited: %+v, %v", now, err)
	}
	_, err = w.EditMold(w.ctx, by(w.ada), m.ID, 1, p)
	mustRefuse(t, "an edit of an old version", err, fault.NotAllowed)
	p.Retired = "torn"
	if _, err = w.EditMold(w.ctx, by(w.ada), m.ID, 2, p); err != nil {
		t.Fatal(err)
	}
	_, err = w.PullMold(w.ctx, by(w.ada), m.ID, true, "")
	mustRefuse(t, "a pull from a retired mold", err, fault.NotAllowed)
	_, err = w.CoatMold(w.ctx, by(w.ada), m.ID)
	mustRefuse(t, "a coat on a retired mold", err, fault.NotAllowed)
	if h, err := w.MoldHistory(w.ctx, w.bram, m.ID); err != nil || len(h) != 3 || h[0].Number != 3 {
		t.Errorf("history: %+v, %v", h, err)
	}
	mustRefuse(t, "another's removal", w.RemoveMold(w.ctx, by(w.bram), m.ID), fault.NotAllowed)
	if err := w.RemoveMold(w.ctx, by(w.ada), m.ID); err != nil {
		t.Fatal(err)
	}
	_, err = w.MoldMarks(w.ctx, w.ada, m.ID, 5)
	mustRefuse(t, "the log of a removed mold", err, fault.NotFound)
}

// pullSight: a log is seen with its mold and written by its owner.
func pullSight(t *testing.T, open Open) {
	w := usual(t, open)
	shared := w.mold(t, w.ada, shop.MoldProfile{Name: "shared", Cavities: 1}, true)
	hidden := w.mold(t, w.ada, shop.MoldProfile{Name: "hidden", Cavities: 1}, false)
	for _, m := range []shop.Mold{shared, hidden} {
		if _, err := w.PullMold(w.ctx, by(w.ada), m.ID, true, ""); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		name string
		v    shop.Viewer
		mold shop.Mold
		code fault.Code // of a write; a read is refused where it is NotFound
	}{
		{"the shop, shared", w.bram, shared, fault.NotAllowed},
		{"the shop, hidden", w.bram, hidden, fault.NotFound},
		{"another shop", w.eve, shared, fault.NotFound},
	} {
		_, err := w.PullMold(w.ctx, by(c.v), c.mold.ID, true, "")
		mustRefuse(t, c.name+" pulls", err, c.code)
		_, err = w.CoatMold(w.ctx, by(c.v), c.mold.ID)
		mustRefuse(t, c.name+" coats", err, c.code)
		_, _, err = w.UndoMark(w.ctx, by(c.v), c.mold.ID)
		mustRefuse(t, c.name+" takes back", err, c.code)
		marks, err := w.MoldMarks(w.ctx, c.v, c.mold.ID, 9)
		if c.code == fault.NotFound {
			mustRefuse(t, c.name+" reads", err, c.code)
		} else if err != nil || len(marks) != 1 {
			t.Errorf("%s reads %+v, %v", c.name, marks, err)
		}
	}
}

func pullLimits(t *testing.T, open Open) {
	few := store.DefaultLimits()
	few.Pulls = 2
	w := newWorld(t, open, few)
	m := w.mold(t, w.ada, shop.MoldProfile{Name: "arch", Cavities: 1}, true)
	_, err := w.PullMold(w.ctx, by(w.ada), m.ID, true, strings.Repeat("x", 201))
	mustRefuse(t, "an endless reason", err, fault.OutOfRange)
	_, err = w.PullMold(w.ctx, under(w.ada, "once"), m.ID, true, strings.Repeat("é", 200))
	if err != nil {
		t.Fatal(err)
	}
	if _, err = w.PullMold(w.ctx, under(w.ada, "once"), m.ID, true, ""); !errors.Is(err, shop.ErrRepeat) {
		t.Errorf("the same interaction again: %v", err)
	}
	if _, err := w.CoatMold(w.ctx, by(w.ada), m.ID); err != nil {
		t.Fatal(err)
	}
	_, err = w.PullMold(w.ctx, by(w.ada), m.ID, true, "")
	mustRefuse(t, "a third mark", err, fault.LimitReached)
}
