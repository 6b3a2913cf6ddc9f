package storetest

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
)

// limits reaches each limit that refuses. Those of measures and lines, where
// the oldest give way, are in their own cases.
func limits(t *testing.T, open Open) {
	few := store.Limits{
		Materials: 3, Molds: 2, Tints: 2, Formulas: 2, Versions: 3, Total: 8, Removed: 2, Shared: 3, FAQs: 2, Managers: 2,
		Measures: 3, ShopMeasures: 4, Lines: 3, ShopLines: 4,
	}
	add := func(w *world, v shop.Viewer, name string, shared bool) error {
		_, err := w.AddMaterial(w.ctx, by(v), profile(name), shared)
		return err
	}
	t.Run("records of a member", func(t *testing.T) {
		w := newWorld(t, open, few)
		for i := range 3 {
			w.add(w.ada, fmt.Sprint("m", i), false)
		}
		mustRefuse(t, "a fourth", add(w, w.ada, "m3", false), fault.LimitReached)
		mustRefuse(t, "a fourth, elsewhere", add(w, w.adaAway, "m3", false), fault.LimitReached)
		if err := add(w, w.bram, "m3", false); err != nil {
			t.Errorf("another member: %v", err)
		}
		first, err := w.Materials(w.ctx, w.ada)
		if err != nil {
			t.Fatal(err)
		}
		if err := w.RemoveMaterial(w.ctx, by(w.ada), first[0].ID); err != nil {
			t.Fatal(err)
		}
		if err := add(w, w.ada, "m3", false); err != nil {
			t.Errorf("after a removal: %v", err)
		}
	})
	t.Run("shared in a shop", func(t *testing.T) {
		w := newWorld(t, open, few)
		w.add(w.ada, "a", true)
		w.add(w.ada, "b", true)
		w.add(w.bram, "c", true)
		mustRefuse(t, "a fourth shared", add(w, w.bram, "d", true), fault.LimitReached)
		if err := add(w, w.bram, "d", false); err != nil {
			t.Errorf("one for oneself: %v", err)
		}
		if err := add(w, w.eve, "e", true); err != nil {
			t.Errorf("in another shop: %v", err)
		}
	})
	t.Run("versions of a record", func(t *testing.T) {
		w := newWorld(t, open, few)
		m := w.add(w.ada, "a", false)
		for base := 1; base < 3; base++ {
			if _, err := w.EditMaterial(w.ctx, by(w.ada), m.ID, base, profile("a")); err != nil {
				t.Fatal(err)
			}
		}
		_, err := w.EditMaterial(w.ctx, by(w.ada), m.ID, 3, profile("a"))
		mustRefuse(t, "a fourth version", err, fault.LimitReached)
	})
	t.Run("versions of all records", func(t *testing.T) {
		w := newWorld(t, open, few)
		for i := range 3 {
			m := w.add(w.ada, fmt.Sprint("m", i), false)
			for base := 1; base < 3 && 3*i+base < 8; base++ {
				if _, err := w.EditMaterial(w.ctx, by(w.ada), m.ID, base, m.Profile); err != nil {
					t.Fatal(err)
				}
			}
			if i == 2 {
				_, err := w.EditMaterial(w.ctx, by(w.ada), m.ID, 2, m.Profile)
				mustRefuse(t, "a ninth version", err, fault.LimitReached)
				if err := w.RemoveMaterial(w.ctx, by(w.ada), m.ID); err != nil {
					t.Fatal(err)
				}
			}
		}
		mustRefuse(t, "a record past the versions", add(w, w.ada, "new", false), fault.LimitReached)
	})
	t.Run("removed records", func(t *testing.T) {
		w := newWorld(t, open, few)
		// Each round removes what it adds; only because the oldest are let go
		// for good do the versions stay under their limit of 8.
		for i := range 20 {
			m := w.add(w.ada, "again", false)
			if err := w.RemoveMaterial(w.ctx, shop.Stamp{By: w.ada, At: at.Add(time.Duration(i) * time.Second)}, m.ID); err != nil {
				t.Fatal(err)
			}
		}
		got := exported(t, w, w.ada)
		if n := len(got.Records["material"]); n != 2 {
			t.Errorf("%d removed records are kept, want 2", n)
		}
	})
	t.Run("faqs and managers", func(t *testing.T) {
		w := newWorld(t, open, few)
		for _, topic := range []string{"a", "b", "A"} {
			if err := w.SetFAQ(w.ctx, by(w.ada), topic, "yes"); err != nil {
				t.Fatal(err)
			}
		}
		mustRefuse(t, "a third topic", w.SetFAQ(w.ctx, by(w.ada), "c", "yes"), fault.LimitReached)
		if err := w.SetManager(w.ctx, by(w.ada), w.bram.Member.ID, true); err != nil {
			t.Fatal(err)
		}
		mustRefuse(t, "a third manager", w.SetManager(w.ctx, by(w.ada), w.eve.Member.ID, true), fault.LimitReached)
	})
}

// texts: too long, empty, or no text at all.
func texts(t *testing.T, open Open) {
	w := usual(t, open)
	long := func(n int) string { return strings.Repeat("ö", n) }
	m := w.add(w.ada, "there", false)
	for _, c := range []struct {
		name string
		p    func(*material.Profile)
		code fault.Code
	}{
		{"no name", func(p *material.Profile) { p.Name = " \n" }, fault.MissingOption},
		{"a name of 81", func(p *material.Profile) { p.Name = long(81) }, fault.OutOfRange},
		{"a name with a zero byte", func(p *material.Profile) { p.Name = "a\x00b" }, fault.OutOfRange},
		{"a name that is no text", func(p *material.Profile) { p.Name = "a\xff" }, fault.OutOfRange},
		{"a name with an escape", func(p *material.Profile) { p.Name = "a\x1b[31m" }, fault.OutOfRange},
		{"notes without end", func(p *material.Profile) { p.Notes = long(9000) }, fault.OutOfRange},
	} {
		p := profile("fine")
		c.p(&p)
		_, err := w.AddMaterial(w.ctx, by(w.ada), p, false)
		mustRefuse(t, "add: "+c.name, err, c.code)
		_, err = w.EditMaterial(w.ctx, by(w.ada), m.ID, 1, p)
		mustRefuse(t, "edit: "+c.name, err, c.code)
	}
	if m := w.add(w.ada, long(80), false); m.Name != long(80) {
		t.Errorf("a name of 80 is kept as %q", m.Name)
	}
	mustRefuse(t, "no topic", w.SetFAQ(w.ctx, by(w.ada), " ", "x"), fault.MissingOption)
	mustRefuse(t, "a topic of 81", w.SetFAQ(w.ctx, by(w.ada), long(81), "x"), fault.OutOfRange)
	mustRefuse(t, "a topic with an escape", w.SetFAQ(w.ctx, by(w.ada), "a\x1b[31m", "x"), fault.OutOfRange)
	mustRefuse(t, "an answer of 2001", w.SetFAQ(w.ctx, by(w.ada), "x", long(2001)), fault.OutOfRange)
	if err := w.SetFAQ(w.ctx, by(w.ada), long(80), long(2000)); err != nil {
		t.Errorf("a topic of 80 with an answer of 2000: %v", err)
	}
	_, err := w.SaveLine(w.ctx, by(w.ada), strings.Repeat("x", 4001))
	mustRefuse(t, "a line of 4001", err, fault.OutOfRange)
	for name, err := range map[string]error{
		"a measure without end":  w.SaveMeasure(w.ctx, by(w.ada), "h", make([]byte, 1<<20)),
		"a hash without end":     w.SaveMeasure(w.ctx, by(w.ada), long(100), []byte("{}")),
		"an empty hash":          w.SaveMeasure(w.ctx, by(w.ada), "", []byte("{}")),
		"an endless interaction": w.SetPrefs(w.ctx, under(w.ada, long(100)), shop.Prefs{}),
		"a measure without time": w.SaveMeasure(w.ctx, shop.Stamp{By: w.ada}, "h", []byte("{}")),
	} {
		if err == nil {
			t.Errorf("%s was taken", name)
		}
	}
	if got := w.names(w.ada); !cmp.Equal(got, []string{"there", long(80)}) {
		t.Errorf("kept %q", got)
	}
}
