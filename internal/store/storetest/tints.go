package storetest

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
)

func tintProfile(name string) shop.TintProfile {
	return shop.TintProfile{
		Name: name, Family: "colored", Base: 1, BaseVersion: 2, BaseName: "white", BaseColor: "#F2EFE6",
		Dose: 0.005, Swatch: "#C9837F", Quality: "careful", Wall: 6, WeightOf20: 0.9,
	}
}

// tints: they are records like the others, by every method of theirs.
func tints(t *testing.T, open Open) {
	few := store.DefaultLimits()
	few.Tints = 2
	w := newWorld(t, open, few)
	first, err := w.AddTint(w.ctx, by(w.ada), tintProfile("brick red"), true)
	if err != nil {
		t.Fatal(err)
	}
	hidden, err := w.AddTint(w.ctx, by(w.ada), tintProfile("own mix"), false)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(tintProfile("brick red"), first.TintProfile); diff != "" {
		t.Errorf("added (-want +got):\n%s", diff)
	}
	_, err = w.AddTint(w.ctx, by(w.ada), tintProfile("third"), false)
	mustRefuse(t, "a third", err, fault.LimitReached)

	for who, want := range map[string]struct {
		v shop.Viewer
		n int
	}{"owner": {w.ada, 2}, "shop": {w.bram, 1}, "stranger": {w.eve, 0}} {
		all, err := w.Tints(w.ctx, want.v)
		entries, err2 := w.TintNames(w.ctx, want.v)
		if err != nil || err2 != nil || len(all) != want.n || len(entries) != want.n {
			t.Errorf("%s sees %d tints and %d names (%v, %v), want %d", who, len(all), len(entries), err, err2, want.n)
		}
	}
	got, err := w.Tint(w.ctx, w.bram, first.ID, 0)
	if err != nil || !cmp.Equal(got, first) {
		t.Errorf("read by another: %+v, %v", got, err)
	}
	_, err = w.Tint(w.ctx, w.bram, hidden.ID, 0)
	mustRefuse(t, "another's own tint", err, fault.NotFound)
	_, err = w.TintHistory(w.ctx, w.eve, first.ID)
	mustRefuse(t, "the history of a tint of another shop", err, fault.NotFound)

	heavier := tintProfile("brick red")
	heavier.WeightOf20 = 1
	_, err = w.EditTint(w.ctx, by(w.bram), first.ID, 1, heavier)
	mustRefuse(t, "another's edit", err, fault.NotAllowed)
	later := shop.Stamp{By: w.ada, At: at.Add(time.Hour)}
	if second, err := w.EditTint(w.ctx, later, first.ID, 1, heavier); err != nil || second.Version != 2 || second.WeightOf20 != 1 {
		t.Errorf("edited: %+v, %v", second, err)
	}
	if old, err := w.Tint(w.ctx, w.bram, first.ID, 1); err != nil || old.WeightOf20 != 0.9 {
		t.Errorf("version 1: %+v, %v", old, err)
	}
	if h, err := w.TintHistory(w.ctx, w.bram, first.ID); err != nil || len(h) != 2 || h[0].Number != 2 {
		t.Errorf("history: %+v, %v", h, err)
	}
	mustRefuse(t, "another's removal", w.RemoveTint(w.ctx, by(w.bram), first.ID), fault.NotAllowed)
	if err := w.RemoveTint(w.ctx, by(w.ada), first.ID); err != nil {
		t.Fatal(err)
	}
	_, err = w.Tint(w.ctx, w.ada, first.ID, 0)
	mustRefuse(t, "a removed tint", err, fault.NotFound)
}
