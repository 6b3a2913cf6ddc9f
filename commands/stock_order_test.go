package commands_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
)

// TestStockReorderAll: what is low by its own level, by use or by date is on the
// list, and nothing else.
func TestStockReorderAll(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", "/stock reorder")
	if fact(t, r, "low").Value != 0 || len(r.Steps) != 0 || !strings.HasPrefix(r.Title, "Nothing is low of 3 materials") {
		t.Errorf("the demo's stock: %q, %q", r.Title, r.Steps)
	}
	told(t, d, "ada", `/stock add material:"demo rigid black" part:kit amount:"250 g" low:"300 g"`)
	told(t, d, "ada", `/stock add material:"demo casting epoxy" part:A amount:"500 g" use_by:2026-11-01`)
	told(t, d, "ada", `/stock add material:"demo casting epoxy" part:B amount:"500 g"`)
	r = told(t, d, "ada", "/stock reorder")
	steps := strings.Join(r.Steps, "\n")
	for _, want := range []string{"Demo casting epoxy: no part A is left, but 500 g past its date. Buy 1 pack of 1.45 kg, 39.00 GBP.",
		"Demo rigid black: 250 g of demo rigid black pack left, and you wanted to be told at 300 g. Buy 1 pack of 1.8 kg, 46.00 GBP."} {
		if !strings.Contains(steps, want) {
			t.Errorf("no %q in\n%s", want, steps)
		}
	}
	if fact(t, r, "low").Value != 2 || fact(t, r, "cost").Value != 85.0 {
		t.Errorf("%+v", r.Facts)
	}
	golden(t, "stock_reorder_all", ask(t, d, "ada", "/stock reorder"))
	// Use: 400 g of each part within the last month, of 610 and 480 g, is more
	// than a fortnight and a half leaves.
	told(t, d, "ada", `/stock use material:"demo rigid white" amount:"800 g"`)
	if r = told(t, d, "ada", "/stock reorder"); !strings.Contains(strings.Join(r.Steps, "\n"), "Demo rigid white: ") || fact(t, r, "low").Value != 3 {
		t.Errorf("after a busy month: %q", r.Steps)
	}
	if r = told(t, d, "cleo", "/stock reorder"); strings.Contains(fmt.Sprint(r.Steps), "black") {
		t.Errorf("cleo sees ada's own jug: %q", r.Steps)
	}
	refused(t, d, "ada", `/stock reorder use:"900 g"`, fault.MissingOption, "material")
	refused(t, d, "ada", `/stock reorder level:"900 g"`, fault.MissingOption, "material")
}
