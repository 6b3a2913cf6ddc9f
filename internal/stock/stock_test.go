package stock_test

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/stock"
)

func day(text string) time.Time {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		panic(err)
	}
	return t
}

func TestLastDay(t *testing.T) {
	a, b := day("2027-02-20"), day("2027-03-01")
	for _, c := range []struct{ sealed, opened, want time.Time }{
		{a, b, a}, {b, a, a}, {time.Time{}, b, b}, {a, time.Time{}, a}, {},
	} {
		if got := stock.LastDay(c.sealed, c.opened); !got.Equal(c.want) {
			t.Errorf("sealed %v, opened %v: %v, want %v", c.sealed, c.opened, got, c.want)
		}
	}
	if n := stock.Days(day("2026-10-20"), day("2026-11-25")); n != 36 {
		t.Errorf("36 days came out as %d", n)
	}
	if n := stock.Days(day("2026-11-25"), day("2026-10-20")); n != -36 {
		t.Errorf("36 days back came out as %d", n)
	}
	zone, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	if got := stock.Day(time.Date(2026, 6, 30, 23, 30, 0, 0, time.UTC), zone); !got.Equal(day("2026-07-01")) {
		t.Errorf("half past midnight in summer is %v", got)
	}
}

func profile() material.Profile {
	return material.Profile{Name: "white", Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume}, DensityA: 1.10, DensityB: 1.02}
}

func TestSplit(t *testing.T) {
	packed := profile()
	packed.PackA, packed.PackB = 1000, 900
	bare := material.Profile{Name: "bare", Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume}}
	grams := func(v float64) quantity.Quantity { return quantity.Quantity{Value: v, Dim: quantity.Mass} }
	ml := func(v float64) quantity.Quantity { return quantity.Quantity{Value: v, Dim: quantity.Volume} }
	for _, c := range []struct {
		name   string
		p      material.Profile
		part   stock.Part
		amount quantity.Quantity
		want   stock.Amount
		code   fault.Code
	}{
		{"A in grams", bare, stock.PartA, grams(610), stock.Amount{A: 610}, ""},
		{"B in mL", profile(), stock.PartB, ml(100), stock.Amount{B: 102}, ""},
		{"a kit by the ratio", profile(), stock.Kit, grams(212), stock.Amount{A: 110, B: 102}, ""},
		{"a kit in mL", profile(), stock.Kit, ml(200), stock.Amount{A: 110, B: 102}, ""},
		{"a kit as packed", packed, stock.Kit, grams(190), stock.Amount{A: 100, B: 90}, ""},
		{"mL without a density", bare, stock.PartA, ml(10), stock.Amount{}, fault.MissingOption},
		{"a kit without densities", bare, stock.Kit, grams(10), stock.Amount{}, fault.MissingOption},
		{"a kit in mL without densities", bare, stock.Kit, ml(10), stock.Amount{}, fault.MissingOption},
	} {
		got, err := stock.Split(c.p, c.part, c.amount)
		if c.code != "" {
			if !fault.Is(err, c.code) || fault.As(err).HintText() == "" {
				t.Errorf("%s: %v, %v; want %s", c.name, got, err, c.code)
			}
			continue
		}
		if err != nil || math.Abs(got.A-c.want.A) > 1e-9 || math.Abs(got.B-c.want.B) > 1e-9 {
			t.Errorf("%s: %+v, %v; want %+v", c.name, got, err, c.want)
		}
	}
}

func TestWeighed(t *testing.T) {
	got, err := stock.Weighed(stock.Amount{A: 610}, stock.Amount{A: 900}, 685, 85)
	if err != nil || got != (stock.Amount{A: 10}) {
		t.Errorf("a jug of 600 g where 610 were thought: %+v, %v", got, err)
	}
	if got, err = stock.Weighed(stock.Amount{}, stock.Amount{A: 60, B: 40}, 50, 0); err != nil || got != (stock.Amount{A: -30, B: -20}) {
		t.Errorf("50 g of a kit that was thought empty: %+v, %v", got, err)
	}
	if _, err = stock.Weighed(stock.Amount{A: 610}, stock.Amount{A: 900}, 80, 85); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("lighter than empty: %v", err)
	}
	if _, err = stock.Weighed(stock.Amount{}, stock.Amount{}, 80, 5); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("what never held anything: %v", err)
	}
}

func TestChoose(t *testing.T) {
	today := day("2026-11-25")
	jugs := []stock.Jug{
		{ID: 1, Left: stock.Amount{A: 100}, Last: day("2026-11-24"), Opened: true},               // past
		{ID: 2, Left: stock.Amount{A: 100, B: 90}, Last: day("2027-06-01")},                      // sealed
		{ID: 3, Left: stock.Amount{A: 100}, Last: day("2027-02-20"), Opened: true},               // ends later
		{ID: 4, Left: stock.Amount{A: 40}, Last: day("2026-12-20"), Opened: true},                // ends first
		{ID: 5, Left: stock.Amount{A: 100}, Last: day("2026-11-30"), Opened: true, Theirs: true}, // another's
		{ID: 6, Left: stock.Amount{B: 30}, Opened: true},                                         // no day known
		{ID: 7, Left: stock.Amount{}, Last: day("2026-11-26"), Opened: true},                     // empty
	}
	ids := func(c stock.Choice) (all []int64) {
		for _, x := range c.Takes {
			all = append(all, x.ID)
		}
		return all
	}
	for _, c := range []struct {
		need  stock.Amount
		want  []int64
		short stock.Amount
		past  int
	}{
		{stock.Amount{A: 40}, []int64{4}, stock.Amount{}, 0},
		{stock.Amount{A: 100, B: 20}, []int64{4, 3, 6}, stock.Amount{}, 0},
		{stock.Amount{A: 200, B: 100}, []int64{4, 3, 6, 2}, stock.Amount{}, 0},
		{stock.Amount{A: 340}, []int64{4, 3, 2, 5}, stock.Amount{}, 0},
		{stock.Amount{A: 350}, []int64{4, 3, 2, 5, 1}, stock.Amount{}, 1},
		{stock.Amount{A: 500, B: 130}, []int64{4, 3, 6, 2, 5, 1}, stock.Amount{A: 60, B: 10}, 1},
	} {
		got := stock.Choose(jugs, c.need, today)
		if !equal(ids(got), c.want) || got.Short != c.short || len(got.Past) != c.past {
			t.Errorf("%+v: %+v, want from %v, short of %+v, %d past", c.need, got, c.want, c.short, c.past)
		}
	}
	if id, ok := stock.First(jugs, today); !ok || id != 4 {
		t.Errorf("first is %d, %v", id, ok)
	}
	if _, ok := stock.First(jugs[6:], today); ok {
		t.Error("an empty jug is poured from")
	}
}

func equal(a, b []int64) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// TestChooseAddsUp: what is taken and what is short are the need, no jug gives
// more than it has, and a jug past its day gives nothing while another could.
func TestChooseAddsUp(t *testing.T) {
	today := day("2026-11-25")
	rapid.Check(t, func(t *rapid.T) {
		amount := rapid.Float64Range(0, 1000)
		n := rapid.IntRange(0, 8).Draw(t, "jugs")
		left := map[int64]stock.Jug{}
		var jugs []stock.Jug
		for i := range n {
			j := stock.Jug{ID: int64(i + 1), Left: stock.Amount{A: amount.Draw(t, "a"), B: amount.Draw(t, "b")}, Opened: rapid.Bool().Draw(t, "opened"), Theirs: rapid.Bool().Draw(t, "theirs")}
			if rapid.Bool().Draw(t, "dated") {
				j.Last = today.AddDate(0, 0, rapid.IntRange(-50, 50).Draw(t, "last"))
			}
			jugs = append(jugs, j)
			left[j.ID] = j
		}
		need := stock.Amount{A: amount.Draw(t, "need a"), B: amount.Draw(t, "need b")}
		got := stock.Choose(jugs, need, today)
		sum := got.Short
		for _, x := range got.Takes {
			j := left[x.ID]
			if x.From.A > j.Left.A || x.From.B > j.Left.B || x.From.A < 0 || x.From.B < 0 {
				t.Fatalf("%+v from %+v", x, j)
			}
			sum.A, sum.B = sum.A+x.From.A, sum.B+x.From.B
		}
		if math.Abs(sum.A-need.A) > 1e-5 || math.Abs(sum.B-need.B) > 1e-5 {
			t.Fatalf("taken and short are %+v, needed %+v", sum, need)
		}
		if len(got.Past) == 0 {
			return
		}
		for _, j := range jugs { // all that was good is used up then, of one part at least
			taken := stock.Amount{}
			for _, x := range got.Takes {
				if x.ID == j.ID {
					taken = x.From
				}
			}
			if rest := j.Left.Less(taken); !j.Past(today) && rest.A > 1e-5 && rest.B > 1e-5 {
				t.Fatalf("%+v is good and has %+v left, yet %v are past their day", j, rest, got.Past)
			}
		}
	})
}

// TestWeighedComesBack: after a weighing the book says what the scale does.
func TestWeighedComesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := rapid.Float64Range(0, 5000)
		start := stock.Amount{A: g.Draw(t, "a") + 1, B: g.Draw(t, "b")}
		left := stock.Amount{A: start.A * rapid.Float64Range(0, 1).Draw(t, "share a"), B: start.B * rapid.Float64Range(0, 1).Draw(t, "share b")}
		tare, net := g.Draw(t, "tare"), g.Draw(t, "net")
		gone, err := stock.Weighed(left, start, tare+net, tare)
		if err != nil {
			t.Fatal(err)
		}
		if now := left.A - gone.A + left.B - gone.B; math.Abs(now-net) > 1e-6*(1+net) {
			t.Fatalf("the scale shows %g, the book says %g", net, now)
		}
		if left.A-gone.A < -1e-6 || left.B-gone.B < -1e-6 {
			t.Fatalf("less than nothing is left: %+v of %+v", gone, left)
		}
	})
}

func TestOrder(t *testing.T) {
	near := func(what string, got, want, tol float64) {
		t.Helper()
		if math.Abs(got-want) > tol {
			t.Errorf("%s: %g, want %g", what, got, want)
		}
	}
	// Nahmias, Production and Operations Analysis, example 4.1.
	near("60 a week", stock.OrderSize(60*52, 12, 0.25*0.02), 3869.88, 0.1)
	near("nothing to hold", stock.OrderSize(100, 10, 0), 0, 0)
	near("the shelf decides", stock.Lot(9000, 1000, 6), 6000, 0)
	near("the order decides", stock.Lot(3000, 1000, 6), 3000, 0)
	near("no open life", stock.Lot(3000, 1000, 0), 3000, 0)
	near("no order size", stock.Lot(0, 1000, 6), 6000, 0)
	near("ten degrees", stock.ShelfAt(6, 33, stock.ShelfTemp, stock.ShelfQ10), 3, 1e-12)
	near("level", stock.Level(10, stock.Lead), 210, 1e-9)
	now := day("2026-11-25")
	rate, low, high := stock.Rate([]stock.Draw{{now.AddDate(0, 0, -100), 500}, {now.AddDate(0, 0, -50), 500}, {now.AddDate(-2, 0, 0), 9e9}, {now.AddDate(0, 0, 1), 9e9}}, now)
	near("rate", rate, 10, 1e-9)
	near("its low end", low, 10*(1-math.Sqrt(0.5)), 1e-9)
	near("its high end", high, 10*(1+math.Sqrt(0.5)), 1e-9)
	rate, _, _ = stock.Rate([]stock.Draw{{now.Add(-time.Hour), 300}}, now)
	near("one evening", rate, 10, 1e-9)
	rate, _, _ = stock.Rate(nil, now)
	near("none", rate, 0, 0)
}

// TestRateOfOrder: the order in which draws are written down does not matter.
func TestRateOfOrder(t *testing.T) {
	now := day("2026-11-25")
	rapid.Check(t, func(t *rapid.T) {
		draws := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) stock.Draw {
			return stock.Draw{At: now.AddDate(0, 0, -rapid.IntRange(0, 500).Draw(t, "days")), Grams: float64(rapid.IntRange(1, 5000).Draw(t, "g"))}
		}), 0, 20).Draw(t, "draws")
		mixed := rapid.Permutation(draws).Draw(t, "mixed")
		a, _, _ := stock.Rate(draws, now)
		if b, low, high := stock.Rate(mixed, now); a != b || low > b || b > high {
			t.Fatalf("%g and %g (%g to %g)", a, b, low, high)
		}
	})
}
