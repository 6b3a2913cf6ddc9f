package storetest

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
)

func formulaProfile(name string) shop.FormulaProfile {
	return shop.FormulaProfile{Name: name, Text: "input width = 100 mm\nwidth * 2", About: "twice the width", Test: "width 5 mm -> 10 mm"}
}

// formulas: they are records like the others, by every method of theirs.
func formulas(t *testing.T, open Open) {
	few := store.DefaultLimits()
	few.Formulas = 2
	w := newWorld(t, open, few)
	first, err := w.AddFormula(w.ctx, by(w.ada), formulaProfile("block mold"), true)
	if err != nil {
		t.Fatal(err)
	}
	hidden, err := w.AddFormula(w.ctx, by(w.ada), formulaProfile("own mix"), false)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(formulaProfile("block mold"), first.FormulaProfile); diff != "" {
		t.Errorf("added (-want +got):\n%s", diff)
	}
	_, err = w.AddFormula(w.ctx, by(w.ada), formulaProfile("third"), false)
	mustRefuse(t, "a third", err, fault.LimitReached)

	for who, want := range map[string]struct {
		v shop.Viewer
		n int
	}{"owner": {w.ada, 2}, "shop": {w.bram, 1}, "stranger": {w.eve, 0}} {
		all, err := w.Formulas(w.ctx, want.v)
		entries, err2 := w.FormulaNames(w.ctx, want.v)
		if err != nil || err2 != nil || len(all) != want.n || len(entries) != want.n {
			t.Errorf("%s sees %d formulas and %d names (%v, %v), want %d", who, len(all), len(entries), err, err2, want.n)
		}
	}
	got, err := w.Formula(w.ctx, w.bram, first.ID, 0)
	if err != nil || !cmp.Equal(got, first) {
		t.Errorf("read by another: %+v, %v", got, err)
	}
	_, err = w.Formula(w.ctx, w.bram, hidden.ID, 0)
	mustRefuse(t, "another's own formula", err, fault.NotFound)
	_, err = w.FormulaHistory(w.ctx, w.eve, first.ID)
	mustRefuse(t, "the history of a formula of another shop", err, fault.NotFound)

	longer := formulaProfile("block mold")
	longer.Text = "width * 3"
	_, err = w.EditFormula(w.ctx, by(w.bram), first.ID, 1, longer)
	mustRefuse(t, "another's edit", err, fault.NotAllowed)
	later := shop.Stamp{By: w.ada, At: at.Add(time.Hour)}
	if second, err := w.EditFormula(w.ctx, later, first.ID, 1, longer); err != nil || second.Version != 2 || second.Text != "width * 3" {
		t.Errorf("edited: %+v, %v", second, err)
	}
	if old, err := w.Formula(w.ctx, w.bram, first.ID, 1); err != nil || old.Text != first.Text {
		t.Errorf("version 1: %+v, %v", old, err)
	}
	if h, err := w.FormulaHistory(w.ctx, w.bram, first.ID); err != nil || len(h) != 2 || h[0].Number != 2 {
		t.Errorf("history: %+v, %v", h, err)
	}
	mustRefuse(t, "another's removal", w.RemoveFormula(w.ctx, by(w.bram), first.ID), fault.NotAllowed)
	if err := w.RemoveFormula(w.ctx, by(w.ada), first.ID); err != nil {
		t.Fatal(err)
	}
	_, err = w.Formula(w.ctx, w.ada, first.ID, 0)
	mustRefuse(t, "a removed formula", err, fault.NotFound)
}
