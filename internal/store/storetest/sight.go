package storetest

import (
	"context"
	"fmt"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
)

// sight goes through every method with every kind of viewer.
func sight(t *testing.T, open Open) {
	w := usual(t, open)
	own := w.add(w.ada, "own", false)
	shared := w.add(w.ada, "shared", true)
	nobody := shop.Viewer{Shop: w.ada.Shop}
	for _, c := range []struct {
		who      string
		v        shop.Viewer
		sees     []string
		mayWrite bool
	}{
		{"owner", w.ada, []string{"own", "shared"}, true},
		{"owner in another shop", w.adaAway, []string{"own", "shared"}, true},
		{"member of the shop", w.bram, []string{"shared"}, false},
		{"member of another shop", w.eve, nil, false},
		{"nobody in the shop", nobody, []string{"shared"}, false},
		{"nobody nowhere", shop.Viewer{}, nil, false},
	} {
		t.Run(c.who, func(t *testing.T) {
			if diff := cmp.Diff(c.sees, w.names(c.v)); diff != "" {
				t.Errorf("list (-want +got):\n%s", diff)
			}
			for _, m := range []shop.Material{own, shared} {
				w.sightOf(t, c.v, m, slices.Contains(c.sees, m.Name), c.mayWrite)
			}
		})
	}
}

// sightOf asks for one record by every method.
func (w *world) sightOf(t *testing.T, v shop.Viewer, m shop.Material, sees, mayWrite bool) {
	t.Helper()
	entries, err := w.MaterialNames(w.ctx, v)
	if err != nil {
		t.Fatal(err)
	}
	listed := slices.ContainsFunc(entries, func(e shop.Entry) bool { return e.ID == m.ID })
	if listed != sees {
		t.Errorf("%s among the names: %v, want %v", m.Name, listed, sees)
	}
	_, getErr := w.Material(w.ctx, v, m.ID, 0)
	_, versionErr := w.Material(w.ctx, v, m.ID, 1)
	_, historyErr := w.MaterialHistory(w.ctx, v, m.ID)
	for what, err := range map[string]error{"newest": getErr, "version 1": versionErr, "history": historyErr} {
		if sees && err != nil {
			t.Errorf("%s of %s: %v", what, m.Name, err)
		}
		if !sees {
			mustRefuse(t, what+" of "+m.Name, err, fault.NotFound)
		}
	}
	if mayWrite {
		return
	}
	want := fault.NotFound
	if sees {
		want = fault.NotAllowed
	}
	_, editErr := w.EditMaterial(w.ctx, by(v), m.ID, m.Version, profile("stolen"))
	mustRefuse(t, "edit "+m.Name, editErr, want)
	mustRefuse(t, "remove "+m.Name, w.RemoveMaterial(w.ctx, by(v), m.ID), want)
	if now, err := w.Material(w.ctx, w.ada, m.ID, 0); err != nil || !cmp.Equal(now, m) {
		t.Errorf("after a refused write %s is %+v, %v", m.Name, now, err)
	}
}

// sightAgrees holds the SQL against shop.Viewer.MaySee on random records.
func sightAgrees(t *testing.T, open Open) {
	w := usual(t, open)
	viewers := []shop.Viewer{w.ada, w.bram, w.eve, w.adaAway, managing(w.ada), managing(w.bram), managing(w.eve), {Shop: w.ada.Shop}, {}}
	n := 0
	var records []shop.Material
	rapid.Check(t, func(rt *rapid.T) {
		n++
		owner := viewers[rapid.IntRange(0, 3).Draw(rt, "owner")]
		name := fmt.Sprintf("record %d", n)
		if n < store.DefaultLimits().Materials {
			records = append(records, w.add(owner, name, rapid.Bool().Draw(rt, "shared")))
		}
		v := viewers[rapid.IntRange(0, len(viewers)-1).Draw(rt, "viewer")]
		m := records[rapid.IntRange(0, len(records)-1).Draw(rt, "record")]
		by := shop.Stamp{By: v, At: at}
		mark := rapid.SampledFrom([]shop.Mark{shop.MarkHide, shop.MarkUnhide, shop.MarkPin, shop.MarkUnpin}).Draw(rt, "mark")
		err := w.Mark(context.Background(), by, shop.KindMaterial, m.ID, mark, "")
		listed := v.Member.ID != 0 && (v.Member.ID == w.ada.Member.ID && v.Shop.ID == w.ada.Shop.ID || v.Member.ID == w.eve.Member.ID)
		if may := (v.Manager || listed) && managing(v).MayCurate(m.Record); err == nil != may {
			rt.Fatalf("viewer %d in shop %d marks record %+v: %v", v.Member.ID, v.Shop.ID, m.Record, err)
		}
		m, err = w.Material(context.Background(), shop.Viewer{Member: shop.Member{ID: m.Owner}}, m.ID, 0)
		if err != nil {
			rt.Fatalf("read by its owner: %v", err)
		}
		_, err = w.Material(context.Background(), v, m.ID, 0)
		if got, want := err == nil, v.MaySee(m.Record); got != want {
			rt.Fatalf("viewer %d in shop %d, manager %v, sees record of %d in shop %d, shared %v, hidden %v: %v by SQL, %v by the rule (%v)",
				v.Member.ID, v.Shop.ID, v.Manager, m.Owner, m.Shop, m.Shared, m.Hidden, got, want, err)
		}
	})
}
