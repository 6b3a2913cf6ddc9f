package storetest

import (
	"context"
	"errors"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// repeats delivers each kind of write twice.
func repeats(t *testing.T, open Open) {
	w := usual(t, open)
	m := w.add(w.ada, "there", true)
	extra := w.add(w.ada, "extra", true)
	set := w.ada.Shop.Set
	set.Temp = 18
	for _, c := range []struct {
		name string
		do   func(s shop.Stamp) error
	}{
		{"add", func(s shop.Stamp) error { _, err := w.AddMaterial(w.ctx, s, profile("new"), true); return err }},
		{"add mold", func(s shop.Stamp) error {
			_, err := w.AddMold(w.ctx, s, shop.MoldProfile{Name: "mold"}, true)
			return err
		}},
		{"edit", func(s shop.Stamp) error {
			_, err := w.EditMaterial(w.ctx, s, m.ID, 1, profile("edited"))
			return err
		}},
		{"remove", func(s shop.Stamp) error { return w.RemoveMaterial(w.ctx, s, extra.ID) }},
		{"set wishes", func(s shop.Stamp) error { return w.SetPrefs(w.ctx, s, shop.Prefs{Units: "us"}) }},
		{"set shop", func(s shop.Stamp) error { return w.SetShop(w.ctx, s, set) }},
		{"set manager", func(s shop.Stamp) error { return w.SetManager(w.ctx, s, w.bram.Member.ID, true) }},
		{"set faq", func(s shop.Stamp) error { return w.SetFAQ(w.ctx, s, "pump", "behind the door") }},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := under(w.ada, "1180000000000000000 "+c.name)
			if err := c.do(s); err != nil {
				t.Fatal(err)
			}
			// The second one must be known as such before anything else is
			// found wrong with it, such as a name that the first one took.
			if err := c.do(s); !errors.Is(err, shop.ErrRepeat) {
				t.Errorf("second delivery: %v, want ErrRepeat", err)
			}
			s.At = s.At.Add(24 * time.Hour)
			if err := c.do(s); !errors.Is(err, shop.ErrRepeat) {
				t.Errorf("delivery a day later: %v, want ErrRepeat", err)
			}
		})
	}
	if got := w.names(w.ada); !cmp.Equal(got, []string{"edited", "new"}) {
		t.Errorf("after repeats: %q", got)
	}

	t.Run("a refused write may be sent again", func(t *testing.T) {
		s := under(w.ada, "refused")
		_, err := w.AddMaterial(w.ctx, s, profile("new"), true)
		mustRefuse(t, "taken name", err, fault.NameTaken)
		if _, err := w.AddMaterial(w.ctx, s, profile("newer"), true); err != nil {
			t.Errorf("the same interaction after a refusal: %v", err)
		}
	})
	t.Run("another member's interaction of that id", func(t *testing.T) {
		if _, err := w.AddMaterial(w.ctx, under(w.bram, "refused"), profile("bram's"), true); err != nil {
			t.Error(err)
		}
	})
	t.Run("a repeat is forgotten after a week", func(t *testing.T) {
		s := under(w.ada, "old")
		if err := w.SetPrefs(w.ctx, s, shop.Prefs{}); err != nil {
			t.Fatal(err)
		}
		if err := w.SetPrefs(w.ctx, shop.Stamp{By: w.ada, At: at.Add(8 * 24 * time.Hour), Interaction: "later"}, shop.Prefs{}); err != nil {
			t.Fatal(err)
		}
		if err := w.SetPrefs(w.ctx, s, shop.Prefs{}); err != nil {
			t.Errorf("the marks are not thinned: %v", err)
		}
	})
	t.Run("a stamp without a time", func(t *testing.T) {
		if err := w.SetPrefs(w.ctx, shop.Stamp{By: w.ada}, shop.Prefs{}); err == nil || fault.As(err) != nil {
			t.Errorf("got %v, want an error for the log", err)
		}
	})
}

func together(t *testing.T, open Open) {
	w := usual(t, open)
	add := func(b shop.Books, name string) error {
		_, err := b.Materials.AddMaterial(w.ctx, under(w.ada, "one"), profile(name), true)
		return err
	}
	boom := errors.New("boom")
	for _, c := range []struct {
		name string
		do   func(b shop.Books) error
		want error
	}{
		{"an error of its own", func(b shop.Books) error { return errors.Join(add(b, "x"), add(b, "y"), boom) }, boom},
		{"a refused write", func(b shop.Books) error { return errors.Join(add(b, "x"), add(b, "x")) }, nil},
		{"a refused write that it hides", func(b shop.Books) error { _ = add(b, "x"); _ = add(b, "x"); return nil }, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := w.Together(w.ctx, c.do)
			if err == nil || c.want != nil && !errors.Is(err, c.want) {
				t.Errorf("got error %v", err)
			}
			if got := w.names(w.ada); len(got) != 0 {
				t.Errorf("kept %q", got)
			}
		})
	}
	t.Run("a panic", func(t *testing.T) {
		defer func() {
			if recover() == nil {
				t.Error("the panic is gone")
			}
			if got := w.names(w.ada); len(got) != 0 {
				t.Errorf("kept %q", got)
			}
		}()
		_ = w.Together(w.ctx, func(b shop.Books) error { _ = add(b, "x"); panic("boom") })
	})
	t.Run("all well", func(t *testing.T) {
		err := w.Together(w.ctx, func(b shop.Books) error {
			if err := errors.Join(add(b, "x"), add(b, "y")); err != nil {
				return err
			}
			all, err := b.Materials.Materials(w.ctx, w.ada)
			if len(all) != 2 {
				t.Errorf("inside it sees %d of its own 2 writes", len(all))
			}
			if _, err := b.Own.Export(w.ctx, w.ada); err != nil {
				t.Errorf("export inside: %v", err)
			}
			return err
		})
		if got := w.names(w.ada); err != nil || !cmp.Equal(got, []string{"x", "y"}) {
			t.Errorf("kept %q, %v", got, err)
		}
	})
	t.Run("the interaction again", func(t *testing.T) {
		err := w.Together(w.ctx, func(b shop.Books) error { return add(b, "z") })
		if !errors.Is(err, shop.ErrRepeat) {
			t.Errorf("got %v, want ErrRepeat", err)
		}
	})
}

// contexts: a call whose context ends writes nothing, and costs the store
// nothing either, be it a database that lives in one connection.
func contexts(t *testing.T, open Open) {
	w := usual(t, open)
	w.add(w.ada, "before", true)
	gone, cancel := context.WithCancel(w.ctx)
	cancel()
	for name, call := range map[string]func(ctx context.Context) error{
		"read": func(ctx context.Context) error { _, err := w.Materials(ctx, w.ada); return err },
		"write": func(ctx context.Context) error {
			_, err := w.AddMaterial(ctx, by(w.ada), profile("x"), true)
			return err
		},
		"export": func(ctx context.Context) error { _, err := w.Export(ctx, w.ada); return err },
	} {
		if err := call(gone); !errors.Is(err, context.Canceled) {
			t.Errorf("%s under an ended context: %v", name, err)
		}
	}
	ctx, cancel := context.WithCancel(w.ctx)
	err := w.Together(ctx, func(b shop.Books) error {
		if _, err := b.Materials.AddMaterial(ctx, by(w.ada), profile("x"), true); err != nil {
			return err
		}
		cancel()
		// Nothing pulls the transaction, or its connection, from under do.
		for range 100 {
			if all, err := b.Materials.Materials(w.ctx, w.ada); err != nil || len(all) != 2 {
				t.Errorf("after the context ended do reads %d records, %v", len(all), err)
				break
			}
		}
		return nil
	})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("a context that ends before the commit: %v", err)
	}
	if got := w.names(w.ada); !cmp.Equal(got, []string{"before"}) {
		t.Errorf("kept %q, want what was there before", got)
	}
	w.add(w.ada, "after", true)
}
