package stock_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/stock"
)

// The expected figures are sums by hand.
func TestAhead(t *testing.T) {
	pour := func(date string) stock.Need { return stock.Need{Amount: stock.Amount{A: 20, B: 10}, Day: day(date)} }
	three := []stock.Need{pour("2026-12-01"), pour("2026-12-01"), pour("2026-12-03")}
	for _, c := range []struct {
		name string
		jugs []stock.Jug
		want stock.Outlook
	}{
		{"enough of both", []stock.Jug{{ID: 1, Left: stock.Amount{A: 60}}, {ID: 2, Left: stock.Amount{B: 31}}}, stock.Outlook{Lasts: 3}},
		{"B gives out in the second", []stock.Jug{{ID: 1, Left: stock.Amount{A: 60}}, {ID: 2, Left: stock.Amount{B: 12}}},
			stock.Outlook{Lasts: 1, Short: stock.Amount{B: 18}}},
		{"A ends between the days", []stock.Jug{{ID: 1, Left: stock.Amount{A: 70}, Last: day("2026-12-02")}, {ID: 2, Left: stock.Amount{B: 30}}},
			stock.Outlook{Lasts: 2, Short: stock.Amount{A: 20}, Ends: []stock.End{{ID: 1, Left: stock.Amount{A: 30}}}}},
		{"what ends is poured first, so nothing is lost", []stock.Jug{{ID: 1, Left: stock.Amount{A: 20, B: 10}},
			{ID: 2, Left: stock.Amount{A: 40, B: 20}, Last: day("2026-12-02")}}, stock.Outlook{Lasts: 3}},
		{"past before it begins", []stock.Jug{{ID: 1, Left: stock.Amount{A: 99, B: 99}, Last: day("2026-11-30")}},
			stock.Outlook{Short: stock.Amount{A: 60, B: 30}, Ends: []stock.End{{ID: 1, Left: stock.Amount{A: 99, B: 99}}}}},
		{"good on its last day", []stock.Jug{{ID: 1, Left: stock.Amount{A: 60, B: 30}, Last: day("2026-12-03")}}, stock.Outlook{Lasts: 3}},
		{"nothing at all", nil, stock.Outlook{Short: stock.Amount{A: 60, B: 30}}},
	} {
		if got := stock.Ahead(c.jugs, three); fmt.Sprint(got) != fmt.Sprint(c.want) {
			t.Errorf("%s: %+v, want %+v", c.name, got, c.want)
		}
	}
	if got := stock.Ahead([]stock.Jug{{ID: 1, Last: day("2026-01-01"), Left: stock.Amount{A: 1}}}, nil); got.Lasts != 0 || got.Ends != nil {
		t.Errorf("no pours: %+v", got)
	}
}

// TestAheadAddsUp: jugs without a date last for as long as their sums do, and
// one more never makes it less.
func TestAheadAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := rapid.Float64Range(0, 500)
		var jugs []stock.Jug
		var have stock.Amount
		for i := range rapid.IntRange(0, 4).Draw(t, "jugs") {
			j := stock.Jug{ID: int64(i + 1), Left: stock.Amount{A: g.Draw(t, "a"), B: g.Draw(t, "b")}, Opened: rapid.Bool().Draw(t, "opened")}
			have.A, have.B = have.A+j.Left.A, have.B+j.Left.B
			jugs = append(jugs, j)
		}
		var needs []stock.Need
		var all stock.Amount
		lasts, ends := 0, false
		for range rapid.IntRange(0, 12).Draw(t, "pours") {
			n := stock.Need{Amount: stock.Amount{A: g.Draw(t, "need a"), B: g.Draw(t, "need b")}, Day: day("2026-12-01")}
			all.A, all.B = all.A+n.A, all.B+n.B
			if ends = ends || all.A > have.A+stock.Slack || all.B > have.B+stock.Slack; !ends {
				lasts++
			}
			needs = append(needs, n)
		}
		got := stock.Ahead(jugs, needs)
		short := all.Less(have)
		if got.Lasts != lasts || math.Abs(got.Short.A-short.A) > 1e-4 || math.Abs(got.Short.B-short.B) > 1e-4 {
			t.Fatalf("%+v of %+v for %+v: want %d pours, short %+v", got, jugs, needs, lasts, short)
		}
		more := append(jugs[:len(jugs):len(jugs)], stock.Jug{ID: 99, Left: stock.Amount{A: g.Draw(t, "more a"), B: g.Draw(t, "more b")}, Last: day("2026-12-02")})
		if with := stock.Ahead(more, needs); with.Lasts < got.Lasts {
			t.Fatalf("with one more %d pours, without %d", with.Lasts, got.Lasts)
		}
	})
}

func TestBuy(t *testing.T) {
	pack := stock.Amount{A: 934, B: 866}
	for _, c := range []struct {
		short stock.Amount
		pack  stock.Amount
		want  int
	}{
		{stock.Amount{}, pack, 0}, {stock.Amount{A: 1}, pack, 1}, {stock.Amount{A: 934, B: 866}, pack, 1}, {stock.Amount{A: 935}, pack, 2},
		{stock.Amount{A: 100, B: 1800}, pack, 3}, {stock.Amount{A: 5}, stock.Amount{B: 9}, 0},
	} {
		if got := stock.Buy(c.short, c.pack); got != c.want {
			t.Errorf("short of %+v: %d packs, want %d", c.short, got, c.want)
		}
	}
}

// TestUnsure: only what was not weighed is unsure, by the share of LeftRange,
// and A and B keep their proportion.
func TestUnsure(t *testing.T) {
	jugs := []stock.Jug{{ID: 1, Left: stock.Amount{A: 100, B: 50}}, {ID: 2, Left: stock.Amount{A: 30}}, {ID: 3}}
	least, most := stock.Unsure(jugs, func(id int64) float64 { return map[int64]float64{1: 300}[id] })
	if least[0].Left != (stock.Amount{A: 90, B: 45}) || most[0].Left != (stock.Amount{A: 110, B: 55}) {
		t.Errorf("%+v to %+v", least[0].Left, most[0].Left)
	}
	if least[1].Left != jugs[1].Left || most[1].Left != jugs[1].Left || most[2].Left != (stock.Amount{}) {
		t.Errorf("weighed: %+v to %+v, empty: %+v", least[1].Left, most[1].Left, most[2].Left)
	}
}
