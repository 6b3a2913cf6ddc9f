package storetest

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
)

var opened = time.Date(2026, 10, 20, 0, 0, 0, 0, time.UTC)

// jug keeps a container of v's.
func (w *world) jug(t testing.TB, v shop.Viewer, m shop.Material, part string, a, b float64, shared bool) shop.Container {
	t.Helper()
	c := shop.Container{MaterialID: m.ID, ContainerPlan: shop.ContainerPlan{Material: m.Name, Part: part, A: a, B: b, Lot: "lot of " + v.Member.Name}}
	c.Shared = shared
	c, err := w.AddContainer(w.ctx, by(v), c)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// stockOf keeps a container that was opened and drawn from, with a draw taken
// back.
func (w *world) stockOf(t testing.TB, v shop.Viewer, m shop.Material) {
	t.Helper()
	c := w.jug(t, v, m, "A", 500, 0, true)
	day := opened
	_, err := w.ChangeContainer(w.ctx, by(v), c.ID, shop.ContainerChange{Opened: &day})
	_, err1 := w.DrawStock(w.ctx, by(v), []shop.StockDraw{{Container: c.ID, What: shop.StockUsed, A: 10}})
	_, err2 := w.DrawStock(w.ctx, by(v), []shop.StockDraw{{Container: c.ID, What: shop.StockUsed, A: 20}})
	_, _, err3 := w.UndoStock(w.ctx, by(v), c.ID)
	if err := errors.Join(err, err1, err2, err3); err != nil {
		t.Fatal(err)
	}
}

func (w *world) one(t testing.TB, v shop.Viewer, id int64) shop.Container {
	t.Helper()
	all, err := w.Containers(w.ctx, v)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range all {
		if c.ID == id {
			return c
		}
	}
	t.Fatalf("container %d is not among %+v", id, all)
	return shop.Container{}
}

// stockKept: a container comes back whole, and what is drawn adds up.
func stockKept(t *testing.T, open Open) {
	w := usual(t, open)
	m := w.add(w.ada, "white", true)
	plan := shop.ContainerPlan{Material: "white", Part: "kit", A: 900, B: 800, Lot: "L 7", Bought: opened, UseBy: opened.AddDate(1, 0, 0), Tare: 85, Low: 100}
	c, err := w.AddContainer(w.ctx, by(w.ada), shop.Container{MaterialID: m.ID, ContainerPlan: plan, OpenedOn: opened})
	if err != nil || c.Shared || !cmp.Equal(c.ContainerPlan, plan) || !c.OpenedOn.Equal(opened) || c.MaterialID != m.ID || c.OwnerOf != "ada" {
		t.Fatalf("added %+v, %v", c, err)
	}
	for i, d := range []shop.StockDraw{{What: shop.StockUsed, A: 100, B: 90}, {What: shop.StockPoured, A: 50}, {What: shop.StockWeighed, A: -20, B: 10}, {What: shop.StockPoured, B: 5}} {
		d.Container = c.ID
		got, err := w.DrawStock(w.ctx, later(w.ada, time.Duration(i)*time.Minute), []shop.StockDraw{d})
		if err != nil || len(got) != 1 || !cmp.Equal(got[0], w.one(t, w.ada, c.ID)) {
			t.Fatalf("draw %d: %+v, %v", i, got, err)
		}
	}
	c = w.one(t, w.ada, c.ID)
	if a, b := c.Left(); a != 770 || b != 695 || c.Reckoned != 5 {
		t.Errorf("left %g and %g g, %g of it reckoned", a, b, c.Reckoned)
	}
	log, err := w.ContainerLog(w.ctx, w.ada, c.ID, 3)
	if err != nil || len(log) != 3 || log[0].B != 5 || log[1].What != shop.StockWeighed || log[2].By != "ada" {
		t.Errorf("log %+v, %v", log, err)
	}
	for name, draw := range map[string]shop.StockDraw{"more A than is left": {A: 771}, "more B": {B: 696}} {
		draw.Container, draw.What = c.ID, shop.StockUsed
		if _, err := w.DrawStock(w.ctx, by(w.ada), []shop.StockDraw{draw}); !fault.Is(err, fault.NotEnoughStock) {
			t.Errorf("%s: %v", name, err)
		}
	}
	tare, low := 90.0, 7.0
	if c, err = w.ChangeContainer(w.ctx, by(w.ada), c.ID, shop.ContainerChange{Tare: &tare, Low: &low}); err != nil || c.Tare != 90 || c.Low != 7 || c.Lot != "L 7" {
		t.Errorf("changed: %+v, %v", c, err)
	}
	if _, err = w.AddContainer(w.ctx, by(w.ada), shop.Container{MaterialID: 999}); !fault.Is(err, fault.NotFound) {
		t.Errorf("of no material: %v", err)
	}
	other := w.add(w.ada, "amber", true)
	if all, err := w.Containers(w.ctx, w.ada, other.ID); err != nil || len(all) != 0 {
		t.Errorf("of another material: %+v, %v", all, err)
	}
	if all, err := w.Containers(w.ctx, w.ada, other.ID, c.MaterialID); err != nil || len(all) != 1 || all[0].ID != c.ID {
		t.Errorf("of two materials: %+v, %v, want the one", all, err)
	}
	if err := w.RemoveContainer(w.ctx, by(w.ada), c.ID); err != nil {
		t.Fatal(err)
	}
	if all, err := w.Containers(w.ctx, w.ada); err != nil || len(all) != 0 {
		t.Errorf("removed: %+v, %v", all, err)
	}
}

// stockSight: who sees a container, who draws, and who changes it.
func stockSight(t *testing.T, open Open) {
	w := usual(t, open)
	m := w.add(w.ada, "white", true)
	shared, own := w.jug(t, w.ada, m, "A", 500, 0, true), w.jug(t, w.ada, m, "B", 500, 0, false)
	draw := func(v shop.Viewer, id int64) error {
		_, err := w.DrawStock(w.ctx, by(v), []shop.StockDraw{{Container: id, What: shop.StockUsed, A: 1, Opened: opened}})
		return err
	}
	if err := draw(w.bram, shared.ID); err != nil {
		t.Errorf("bram draws: %v", err)
	}
	if c := w.one(t, w.ada, shared.ID); c.UsedA != 1 || !c.OpenedOn.Equal(opened) {
		t.Errorf("ada sees %+v", c)
	}
	no := false
	for name, err := range map[string]error{
		"finish":  second(w.ChangeContainer(w.ctx, by(w.bram), shared.ID, shop.ContainerChange{Finished: true})),
		"unshare": second(w.ChangeContainer(w.ctx, by(w.bram), shared.ID, shop.ContainerChange{Shared: &no})),
		"remove":  w.RemoveContainer(w.ctx, by(w.bram), shared.ID),
		"undo":    func() error { _, _, err := w.UndoStock(w.ctx, by(w.ada), shared.ID); return err }(),
	} {
		if !fault.Is(err, fault.NotAllowed) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for name, err := range map[string]error{
		"draw": draw(w.bram, own.ID), "remove": w.RemoveContainer(w.ctx, by(w.bram), own.ID),
		"log":  second(w.ContainerLog(w.ctx, w.bram, own.ID, 5)),
		"open": second(w.ChangeContainer(w.ctx, by(w.bram), own.ID, shop.ContainerChange{Opened: &opened})),
		"undo": func() error { _, _, err := w.UndoStock(w.ctx, by(w.bram), own.ID); return err }(),
	} {
		if !fault.Is(err, fault.NotFound) {
			t.Errorf("%s of what is private: %v", name, err)
		}
	}
	if all, err := w.Containers(w.ctx, w.bram); err != nil || len(all) != 1 {
		t.Errorf("bram sees %+v, %v", all, err)
	}
	if _, _, err := w.UndoStock(w.ctx, by(w.bram), shared.ID); err != nil {
		t.Errorf("bram takes his own draw back: %v", err)
	}
	if c := w.one(t, w.ada, shared.ID); c.UsedA != 0 || !c.OpenedOn.IsZero() {
		t.Errorf("after that ada sees %+v", c)
	}
}

// stockUndone: whatever happened is taken back and leaves all as it was.
func stockUndone(t *testing.T, open Open) {
	w := usual(t, open)
	m := w.add(w.ada, "white", true)
	other := opened.AddDate(0, 0, 3)
	for name, act := range map[string]func(id int64) error{
		"open": func(id int64) error {
			return second(w.ChangeContainer(w.ctx, by(w.ada), id, shop.ContainerChange{Opened: &opened}))
		},
		"other day": func(id int64) error {
			return second(w.ChangeContainer(w.ctx, by(w.ada), id, shop.ContainerChange{Opened: &other}))
		},
		"finish": func(id int64) error {
			return second(w.ChangeContainer(w.ctx, by(w.ada), id, shop.ContainerChange{Finished: true}))
		},
		"use": func(id int64) error {
			return second(w.DrawStock(w.ctx, by(w.ada), []shop.StockDraw{{Container: id, What: shop.StockUsed, A: 5, B: 4, Opened: opened}}))
		},
		"weigh": func(id int64) error {
			return second(w.DrawStock(w.ctx, by(w.ada), []shop.StockDraw{{Container: id, What: shop.StockWeighed, A: -5, Opened: opened}}))
		},
	} {
		for _, wasOpen := range []bool{false, true} {
			c := w.jug(t, w.ada, m, "kit", 100, 90, true)
			if wasOpen {
				var err error
				if c, err = w.ChangeContainer(w.ctx, by(w.ada), c.ID, shop.ContainerChange{Opened: &opened}); err != nil {
					t.Fatal(err)
				}
			}
			if err := act(c.ID); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if _, err := w.DrawStock(w.ctx, by(w.ada), []shop.StockDraw{{Container: c.ID, What: shop.StockUsed, A: 1}}); name == "finish" && !fault.Is(err, fault.NotAllowed) {
				t.Errorf("drawn from what is finished: %v", err)
			} else if name != "finish" {
				if _, _, err := w.UndoStock(w.ctx, by(w.ada), c.ID); err != nil {
					t.Fatal(err)
				}
			}
			if _, _, err := w.UndoStock(w.ctx, later(w.ada, 11*time.Minute), c.ID); !fault.Is(err, fault.NotFound) {
				t.Errorf("%s, eleven minutes later: %v", name, err)
			}
			got, e, err := w.UndoStock(w.ctx, by(w.ada), c.ID)
			if err != nil || !cmp.Equal(got, c) {
				t.Errorf("%s taken back (%+v, %v): %s", name, e, err, cmp.Diff(c, got))
			}
		}
	}
}

// stockOfPours: a pour that never was gives back what it drew, its cancel taken
// back draws it again, and one that was done keeps it.
func stockOfPours(t *testing.T, open Open) {
	w := usual(t, open)
	m := w.add(w.ada, "white", true)
	c, shared := w.jug(t, w.bram, m, "kit", 100, 90, false), w.jug(t, w.ada, m, "A", 100, 0, true)
	begin := func() (p shop.Pour) {
		t.Helper()
		p = w.start(t, w.bram, m)
		_, err := w.DrawStock(w.ctx, by(w.bram), []shop.StockDraw{
			{Container: c.ID, What: shop.StockPoured, A: 10, B: 60, Pour: p.ID, Opened: opened},
			{Container: shared.ID, What: shop.StockPoured, A: 30, Pour: p.ID, Opened: opened}})
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	p := begin()
	drawn := [2]shop.Container{w.one(t, w.bram, c.ID), w.one(t, w.bram, shared.ID)}
	if drawn[0].LeftAll() != 120 || drawn[1].LeftAll() != 70 || drawn[0].OpenedOn.IsZero() || drawn[0].Reckoned != 70 {
		t.Errorf("drawn: %+v", drawn)
	}
	if _, _, err := w.UndoStock(w.ctx, by(w.bram), c.ID); !fault.Is(err, fault.NotAllowed) {
		t.Errorf("a pour's draw taken back alone: %v", err)
	}
	end := func(state shop.PourState, id int64) {
		t.Helper()
		if _, err := w.EndPour(w.ctx, by(w.bram), id, shop.PourEnd{State: state}); err != nil {
			t.Fatal(err)
		}
	}
	end(shop.PourCanceled, p.ID)
	if got := [2]shop.Container{w.one(t, w.bram, c.ID), w.one(t, w.bram, shared.ID)}; !cmp.Equal(got, [2]shop.Container{c, shared}) {
		t.Errorf("given back: %s", cmp.Diff([2]shop.Container{c, shared}, got))
	}
	if _, _, err := w.TakeBack(w.ctx, by(w.bram), p.ID); err != nil {
		t.Fatal(err)
	}
	if got := [2]shop.Container{w.one(t, w.bram, c.ID), w.one(t, w.bram, shared.ID)}; !cmp.Equal(got, drawn) {
		t.Errorf("drawn again: %s", cmp.Diff(drawn, got))
	}
	end(shop.PourCanceled, p.ID)
	if _, err := w.DrawStock(w.ctx, by(w.bram), []shop.StockDraw{{Container: c.ID, What: shop.StockUsed, B: 50}}); err != nil {
		t.Fatal(err)
	}
	if _, _, err := w.TakeBack(w.ctx, by(w.bram), p.ID); !fault.Is(err, fault.NotEnoughStock) {
		t.Errorf("what was used up meanwhile is drawn again: %v", err)
	}
	if _, _, err := w.UndoStock(w.ctx, by(w.bram), c.ID); err != nil {
		t.Fatal(err)
	}
	failed := begin()
	end(shop.PourFailed, failed.ID)
	end(shop.PourCanceled, failed.ID)
	if got := w.one(t, w.bram, c.ID); got.LeftAll() != 120 {
		t.Errorf("a pour that failed was mixed, and its draw is %+v", got)
	}
	if log, err := w.ContainerLog(w.ctx, w.ada, shared.ID, 5); err != nil || len(log) != 1 || log[0].Pour != failed.ID || log[0].By != "bram" || log[0].A != 30 {
		t.Errorf("which pours drew: %+v, %v", log, err)
	}
	if _, err := w.DrawStock(w.ctx, by(w.ada), []shop.StockDraw{{Container: shared.ID, What: shop.StockPoured, A: 1, Pour: failed.ID}}); err == nil {
		t.Error("ada draws for bram's pour")
	}
}

// stockCalls: the call of a container ends with it, whosever it is, and comes
// again when that is taken back.
func stockCalls(t *testing.T, open Open) {
	w := usual(t, open)
	m := w.add(w.ada, "white", true)
	c := w.jug(t, w.ada, m, "A", 100, 0, true)
	if _, err := w.ChangeContainer(w.ctx, by(w.bram), c.ID, shop.ContainerChange{Opened: &opened}); err != nil {
		t.Fatal(err)
	}
	d, err := w.AddDue(w.ctx, by(w.bram), shop.Due{At: at.Add(5 * time.Hour), DuePlan: shop.DuePlan{About: "white A grows old", First: at, Zone: "UTC"}})
	if err != nil {
		t.Fatal(err)
	}
	if c, err = w.ChangeContainer(w.ctx, by(w.bram), c.ID, shop.ContainerChange{Call: &d.ID}); err != nil || c.Call != d.ID {
		t.Fatalf("%+v, %v", c, err)
	}
	pending := func(want int, when string) {
		t.Helper()
		if all, err := w.Dues(w.ctx, w.bram, 9); err != nil || len(all) != want {
			t.Errorf("%s: %+v, %v", when, all, err)
		}
	}
	if _, err := w.ChangeContainer(w.ctx, by(w.ada), c.ID, shop.ContainerChange{Finished: true}); err != nil {
		t.Fatal(err)
	}
	pending(0, "finished")
	if got, _, err := w.UndoStock(w.ctx, by(w.ada), c.ID); err != nil || !cmp.Equal(got, c) {
		t.Errorf("%+v, %v", got, err)
	}
	pending(1, "brought back")
	if got, _, err := w.UndoStock(w.ctx, by(w.bram), c.ID); err != nil || !got.OpenedOn.IsZero() {
		t.Errorf("%+v, %v", got, err)
	}
	pending(0, "sealed again")
}

func stockLimits(t *testing.T, open Open) {
	limits := store.DefaultLimits()
	limits.Stock, limits.Draws = 2, 3
	w := newWorld(t, open, limits)
	m := w.add(w.ada, "white", true)
	c := w.jug(t, w.ada, m, "A", 100, 0, true)
	gone := w.jug(t, w.ada, m, "A", 100, 0, true)
	if _, err := w.AddContainer(w.ctx, by(w.ada), shop.Container{MaterialID: m.ID}); !fault.Is(err, fault.LimitReached) {
		t.Errorf("a third container: %v", err)
	}
	if err := w.RemoveContainer(w.ctx, by(w.ada), gone.ID); err != nil {
		t.Fatal(err)
	}
	w.jug(t, w.ada, m, "A", 100, 0, true)
	for i := range 4 {
		_, err := w.DrawStock(w.ctx, by(w.ada), []shop.StockDraw{{Container: c.ID, What: shop.StockUsed, A: 1}})
		if want := i == 3; fault.Is(err, fault.LimitReached) != want {
			t.Errorf("draw %d: %v", i, err)
		}
	}
	long := shop.Container{MaterialID: m.ID, ContainerPlan: shop.ContainerPlan{Lot: fmt.Sprint(math.MaxInt, math.MaxInt, math.MaxInt, math.MaxInt)}}
	if _, err := w.AddContainer(w.ctx, by(w.bram), long); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("a long lot: %v", err)
	}
}

// stockWalks: whatever is drawn, given back and taken back, in whatever order,
// what is left is what was there less what stands in the log, and never less
// than nothing.
func stockWalks(t *testing.T, open Open) {
	w := usual(t, open)
	m := w.add(w.ada, "white", true)
	random := rand.New(rand.NewPCG(1, 13))
	for walk := range 5 {
		c := w.jug(t, w.ada, m, "kit", 200, 180, true)
		var pours []shop.Pour
		for step := range 40 {
			v := []shop.Viewer{w.ada, w.bram}[random.IntN(2)]
			a, b := float64(random.IntN(40)), float64(random.IntN(40))
			draw := shop.StockDraw{Container: c.ID, What: shop.StockUsed, A: a, B: b, Opened: opened}
			var err error
			switch random.IntN(6) {
			case 0, 1:
				_, err = w.DrawStock(w.ctx, by(v), []shop.StockDraw{draw})
			case 2:
				draw.What, draw.A = shop.StockWeighed, -a
				_, err = w.DrawStock(w.ctx, by(v), []shop.StockDraw{draw})
			case 3:
				err = w.Together(w.ctx, func(books shop.Books) error {
					p, err := books.Pours.StartPour(w.ctx, by(w.bram), plan(m))
					if err != nil {
						return err
					}
					draw.What, draw.Pour = shop.StockPoured, p.ID
					if _, err = books.Stock.DrawStock(w.ctx, by(w.bram), []shop.StockDraw{draw}); err == nil {
						pours = append(pours, p)
					}
					return err
				})
			case 4:
				if len(pours) > 0 {
					_, err = w.EndPour(w.ctx, by(w.bram), pours[random.IntN(len(pours))].ID, shop.PourEnd{State: shop.PourCanceled})
				}
			case 5:
				_, _, err = w.UndoStock(w.ctx, by(v), c.ID)
			}
			if err != nil && fault.As(err) == nil {
				t.Fatalf("walk %d, step %d: %v", walk, step, err)
			}
			now := w.one(t, w.ada, c.ID)
			log, err := w.ContainerLog(w.ctx, w.ada, c.ID, 1000)
			if err != nil {
				t.Fatal(err)
			}
			leftA, leftB := c.A, c.B
			for _, e := range log {
				leftA, leftB = leftA-e.A, leftB-e.B
			}
			if gotA, gotB := now.Left(); leftA < -1e-6 || leftB < -1e-6 || math.Abs(gotA-leftA) > 1e-6 || math.Abs(gotB-leftB) > 1e-6 {
				t.Fatalf("walk %d, step %d: left %g and %g, by the log %g and %g", walk, step, gotA, gotB, leftA, leftB)
			}
		}
	}
}

// stockOutlives: a container outlives its material, and what was drawn the pour
// and the member that drew it.
func stockOutlives(t *testing.T, open Open) {
	w := usual(t, open)
	m := w.add(w.bram, "white", true)
	c := w.jug(t, w.ada, m, "A", 100, 0, true)
	p := w.start(t, w.bram, m)
	if _, err := w.DrawStock(w.ctx, by(w.bram), []shop.StockDraw{{Container: c.ID, What: shop.StockPoured, A: 30, Pour: p.ID}}); err != nil {
		t.Fatal(err)
	}
	if err := w.Erase(w.ctx, by(w.bram)); err != nil {
		t.Fatal(err)
	}
	got := w.one(t, w.ada, c.ID)
	log, err := w.ContainerLog(w.ctx, w.ada, c.ID, 5)
	if err != nil || got.LeftAll() != 70 || got.MaterialID != 0 || got.Material != "white" || len(log) != 1 || log[0].Pour != 0 || log[0].By != "" {
		t.Errorf("%+v, %+v, %v", got, log, err)
	}
}
