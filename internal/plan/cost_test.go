package plan_test

import (
	"math"
	"testing"

	"golang.org/x/text/currency"
	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/plan"
	"github.com/pourwright/pourwright/internal/quantity"
)

func TestMoney(t *testing.T) {
	for _, c := range []struct {
		amount   float64
		currency string
		want     string
	}{
		{12.5, "GBP", "12.50 GBP"}, {0.005, "GBP", "0.01 GBP"}, {0.004, "GBP", "0.00 GBP"}, {1250.4, "JPY", "1250 JPY"},
		{1.2345, "KWD", "1.235 KWD"}, {0.07, "KWD", "0.070 KWD"}, {-3.5, "EUR", "-3.50 EUR"}, {2, "CLF", "2.0000 CLF"}, {1e12, "USD", "1000000000000.00 USD"},
	} {
		m := plan.InMoney(c.amount, c.currency)
		if m.String() != c.want {
			t.Errorf("%v %s: got %s, want %s", c.amount, c.currency, m, c.want)
		}
		if d := math.Abs(m.Amount() - c.amount); d > 0.5*math.Pow10(-plan.Decimals(c.currency))+1e-9 {
			t.Errorf("%v %s became %v", c.amount, c.currency, m.Amount())
		}
	}
}

// A second opinion on decimals: golang.org/x/text, which follows the Unicode
// CLDR. That writes some inflated currencies with fewer than ISO 4217 gives
// them, and none with more.
func TestDecimalsAgainstCLDR(t *testing.T) {
	differ := 0
	for it := currency.Query(); it.Next(); {
		code := it.Unit().String()
		scale, _ := currency.Standard.Rounding(it.Unit())
		switch ours := plan.Decimals(code); {
		case ours < scale:
			t.Errorf("%s: %d decimals, in CLDR %d", code, ours, scale)
		case ours > scale:
			differ++
			t.Logf("%s: %d decimals, in CLDR %d", code, ours, scale)
		}
	}
	if differ > 30 {
		t.Errorf("%d currencies differ", differ)
	}
}

func TestCost(t *testing.T) {
	// trade.json, cost-per-part and cost-per-good-part: c = V·p + M/n + k, c/g.
	c := plan.Costs{Currency: "GBP", Material: 52 * 0.0132, Mold: 38, Pulls: quantity.Range{Low: 20, Mid: 40, High: 80}, Cavities: 1, Consumables: 0.1, Scrap: 0.15}
	got := c.Of()
	if math.Abs(got.Each.Mid-2.04282) > 1e-4 || got.Cast.String() != "1.74 GBP" || got.Good.String() != "2.04 GBP" {
		t.Errorf("got %+v", got)
	}
	if !(got.Each.Low < got.Each.Mid && got.Each.Mid < got.Each.High) {
		t.Errorf("range %v", got.Each)
	}
	if bare := (plan.Costs{Currency: "JPY"}).Of(); bare.Good.String() != "0 JPY" || len(bare.Lines) != 0 {
		t.Errorf("nothing costs %+v", bare)
	}
}

// What is shown adds up to what is shown as the sum.
func TestLinesAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		some := rapid.Float64Range(0, 50)
		c := plan.Costs{Currency: rapid.SampledFrom([]string{"GBP", "JPY", "KWD", "CLF"}).Draw(t, "currency"),
			Material: some.Draw(t, "material"), Tint: some.Draw(t, "tint"), Mold: some.Draw(t, "mold"), Pulls: quantity.Range{Low: 5, Mid: 20, High: 60},
			Cavities: rapid.IntRange(1, 8).Draw(t, "cavities"), Consumables: some.Draw(t, "consumables"), Labor: some.Draw(t, "labor"), Scrap: rapid.Float64Range(0, 0.5).Draw(t, "scrap")}
		out := c.Of()
		sum := int64(0)
		for _, l := range out.Lines {
			sum += l.Money.Minor
			if math.Abs(l.Money.Amount()-l.Exact) > math.Pow10(-plan.Decimals(c.Currency))*(1+1e-9) {
				t.Fatalf("%s: %v shown as %s", l.What, l.Exact, l.Money)
			}
		}
		if sum != out.Cast.Minor {
			t.Fatalf("lines add up to %d, the sum is %d: %+v", sum, out.Cast.Minor, out.Lines)
		}
		if out.Good.Minor < out.Cast.Minor-1 {
			t.Fatalf("a good part costs %s, a cast one %s", out.Good, out.Cast)
		}
	})
}
