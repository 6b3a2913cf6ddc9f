package sqlite

import (
	"fmt"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

// What was let go for its age is in none of the files once they are scrubbed,
// and what was learned still is.
func TestTidiedIsGone(t *testing.T) {
	const trace = "zqxtrace"
	db := opened(t)
	ctx, began := t.Context(), time.Date(2026, 1, 10, 9, 0, 0, 0, time.UTC)
	m, err := db.Member(ctx, "local:ada", "ada", began)
	if err != nil {
		t.Fatal(err)
	}
	s, err := db.Shop(ctx, "local:hall", "hall", m.ID, began)
	if err != nil {
		t.Fatal(err)
	}
	st := shop.Stamp{By: shop.Viewer{Member: m, Shop: s}, At: began}
	white := shop.Material{}
	white.Profile.Name = "white"
	for i := range 300 {
		if i == 0 {
			if white, err = db.AddMaterial(ctx, st, white.Profile, false); err != nil {
				t.Fatal(err)
			}
		}
		p := shop.Pour{MaterialID: white.ID, MaterialVersion: 1, PourPlan: shop.PourPlan{
			Material: "white", Where: fmt.Sprint(trace, " shelf ", i), Foreseen: shop.Foreseen{Physics: 900}}}
		if p, err = db.StartPour(ctx, st, p); err != nil {
			t.Fatal(err)
		}
		end := shop.Stamp{By: st.By, At: began.Add(time.Hour)}
		if i%2 == 0 {
			if _, err := db.AnswerPour(ctx, end, p.ID, shop.Look{Ready: true}); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := db.NotePour(ctx, end, p.ID, fmt.Sprint(trace, " note ", i), ""); err != nil {
			t.Fatal(err)
		}
		if _, err := db.EndPour(ctx, end, p.ID, shop.PourEnd{State: shop.PourDone, Why: trace}); err != nil {
			t.Fatal(err)
		}
	}
	if held(t, db, trace) == 0 {
		t.Fatal("the trace was never there")
	}
	now := began.Add(100 * 24 * time.Hour)
	var sum shop.Tidied
	for {
		n, err := db.TidyUp(ctx, now.Add(-30*24*time.Hour), now, 100)
		if err != nil {
			t.Fatal(err)
		}
		if n.All() == 0 {
			break
		}
		sum.Add(n)
	}
	if err := db.Scrub(ctx); err != nil {
		t.Fatal(err)
	}
	if n := held(t, db, trace); n != 0 {
		t.Errorf("%d traces are left after %+v", n, sum)
	}
	logs, err := db.CureLogs(ctx, st.By, white.ID)
	// Done without ready teaches as well: ready by then.
	if err != nil || len(logs) != 300 || sum.Reduced != 300 {
		t.Errorf("%d logs, %v, after %+v", len(logs), err, sum)
	}
}
