package commands_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
)

func hasFact(r *chat.Reply, key string) bool {
	for _, f := range r.Facts {
		if f.Key == key {
			return true
		}
	}
	return false
}

// TestPlanStock: what is short is the run's resin less what is in the jugs, and
// the packs make it up. 610 g and 480 g are the demo shop's; a pack of 1.8 kg at
// 1.10 : 1.02 by weight holds 934.0 g and 866.0 g.
func TestPlanStock(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", pawnRun)
	if fact(t, r, "stock_covers").Value != true || hasFact(r, "packs") || hasFact(r, "short_a") {
		t.Errorf("24 pawns: %+v", r.Facts)
	}
	r = told(t, d, "ada", `/plan run material:"demo rigid white" molds:"harbor pawn" copies:200`)
	if fact(t, r, "stock_covers").Value != false {
		t.Errorf("200 pawns: %+v", r.Facts)
	}
	grams(t, "A", valued(t, r, "short_a"), valued(t, r, "mass_a")-610)
	grams(t, "B", valued(t, r, "short_b"), valued(t, r, "mass_b")-480)
	if n := fact(t, r, "stock_pours").Value; n != int(math.Floor(480/20.1)) { // a full mold's B, as the steps tell
		t.Errorf("lasts for %v pours", n)
	}
	if fact(t, r, "packs").Value != 1 || fact(t, r, "packs_cost").Value != 42.0 || !said(r, "gives out before the one at", "Buy 1 pack of 1.8 kg", "42.00 GBP") {
		t.Errorf("facts %+v, notes %q", r.Facts, r.Notes)
	}
	if r = told(t, d, "ada", `/plan run material:"demo rigid slow white" molds:"harbor pawn" copies:24`); hasFact(r, "stock_covers") || said(r, "stock") {
		t.Errorf("nothing of it is kept, and it is told: %q", r.Notes)
	}
	told(t, d, "ada", `/stock add material:"demo rigid slow white" part:A amount:"50 g"`)
	r = told(t, d, "ada", `/plan run material:"demo rigid slow white" molds:"harbor pawn" copies:24`)
	if valued(t, r, "short_b") != 0 || valued(t, r, "short_a") <= 0 || !said(r, "part B is not in stock here") {
		t.Errorf("A alone is kept: %+v, %q", r.Facts, r.Notes)
	}
}

// TestPlanStockEnds: the demo's A and B were opened on 20 October and keep for
// four months.
func TestPlanStockEnds(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/plan run material:"demo rigid white" molds:"harbor pawn, harbor pawn 2" copies:60 start:"2027-02-20 20:00"`)
	if fact(t, r, "stock_covers").Value != false || !said(r, "#1 demo rigid white A goes past its date after 20 Feb 2027, before the run ends, with") {
		t.Errorf("over the last day: %+v, %q", r.Facts, r.Notes)
	}
	r = told(t, d, "ada", pawnRun+` start:"2027-02-21 09:00"`)
	if n := fact(t, r, "stock_pours").Value; n != 0 || !said(r, "does not give the first pour") {
		t.Errorf("after it: %v pours, %q", n, r.Notes)
	}
	told(t, d, "ada", `/stock add material:"demo rigid white" part:A amount:"900 g" opened:2026-03-01`)
	r = told(t, d, "ada", pawnRun)
	if fact(t, r, "stock_covers").Value != true || !said(r, "is past its date since 1 Jul 2026, so it is not counted on", "trial cup") {
		t.Errorf("a jug that is past: %q", r.Notes)
	}
}

// TestPlanStockUnweighed: what pours drew is not weighed, so an end that hangs
// on it is told.
func TestPlanStockUnweighed(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/pour start material:"demo rigid white" mold:"viaduct arch"`)
	run := `/plan run material:"demo rigid white" molds:"harbor pawn 2" copies:10 scrap:0`
	need := valued(t, told(t, d, "ada", run), "mass_b")
	told(t, d, "ada", fmt.Sprintf(`/stock use container:#2 amount:"%.1f g"`, left(t, d, "ada", "#2")-need-1))
	r := told(t, d, "ada", run)
	if f := fact(t, r, "stock_pours"); fact(t, r, "stock_covers").Value != true || *f.Low >= *f.High || !said(r, "just enough by the book", "weigh the jugs") {
		t.Errorf("%+v, %q", f, r.Notes)
	}
}

// TestPlanStockReplan: what the pours of a run took is gone when it is planned
// anew.
func TestPlanStockReplan(t *testing.T) {
	d := desk(t)
	line := `material:"demo rigid white" molds:"harbor pawn" copies:136`
	first := told(t, d, "ada", "/plan run "+line)
	told(t, d, "ada", `/pour start material:"demo rigid white" mold:"harbor pawn"`)
	again := told(t, d, "ada", "/plan replan "+line+` since:"2026-11-23 08:00"`)
	was, is := fact(t, first, "stock_pours").Value.(int), fact(t, again, "stock_pours").Value.(int)
	if is != was-1 || fact(t, again, "stock_covers").Value != fact(t, first, "stock_covers").Value {
		t.Errorf("lasted for %d pours, after one of them for %d", was, is)
	}
}

// TestPlanCostStock: 480 g B are 23 pours of 20.1 g into six cavities.
func TestPlanCostStock(t *testing.T) {
	d := desk(t)
	line := `/plan cost material:"demo rigid white" mold:"harbor pawn"`
	if n := fact(t, told(t, d, "ada", line), "stock_parts").Value; n != 23*6 {
		t.Errorf("makes %v parts", n)
	}
	r := told(t, d, "ada", line+" copies:400")
	if fact(t, r, "stock_covers").Value != false || fact(t, r, "packs").Value != 2 || !said(r, "gives out after 138 parts", "Buy 2 packs") {
		t.Errorf("400 parts: %+v, %q", r.Facts, r.Notes)
	}
	if r = told(t, d, "ada", line+" copies:100"); fact(t, r, "stock_covers").Value != true || hasFact(r, "packs") {
		t.Errorf("100 parts: %+v", r.Facts)
	}
	r = told(t, d, "ada", `/plan cost material:"demo rigid slow white" mold:"harbor pawn" copies:100`)
	for _, f := range r.Facts {
		if strings.HasPrefix(f.Key, "stock") || f.Key == "packs" {
			t.Errorf("nothing of it is kept, and %s is told", f.Key)
		}
	}
}
