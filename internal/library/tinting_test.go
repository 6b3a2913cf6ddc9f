package library

import (
	"encoding/json"
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

func ask(name string, share, of20 float64) TintAsk {
	return TintAsk{Tint: shop.Tint{TintProfile: shop.TintProfile{Name: name, WeightOf20: of20}}, Share: share}
}

// job is n equal cups of a batch.
func job(resin, side, step float64, n int, asks ...TintAsk) TintJob {
	j := TintJob{Side: material.SideB, Asks: asks, Step: step}
	for _, a := range asks {
		j.Doses = append(j.Doses, a.Share)
	}
	for range n {
		j.Cups = append(j.Cups, TintCup{Resin: resin / float64(n), Side: side / float64(n)})
	}
	return j
}

// TestReferenceTinting holds whole batches against the weighing section of
// color.json, which an independent program computed.
func TestReferenceTinting(t *testing.T) {
	dir := os.Getenv("POURWRIGHT_REFERENCE")
	if dir == "" {
		dir = filepath.Join("..", "..", "testdata", "reference")
	}
	data, err := os.ReadFile(filepath.Join(dir, "color.json"))
	if errors.Is(err, fs.ErrNotExist) {
		t.Skip("no color.json")
	}
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Weighing []struct {
			ID string
			In struct {
				Resin float64 `json:"resin_g"`
				Side  float64 `json:"part_b_g"`
				Doses []float64
				Step  float64 `json:"readability"`
				Cups  int
				Drop  float64 `json:"drop_g"`
			}
			Expect struct {
				Total float64 `json:"total_mix_g"`
				Tints []struct {
					Batch   float64 `json:"tint_g_batch"`
					AtOnce  bool    `json:"enough_if_whole_part_b_is_tinted_at_once"`
					Letdown string
				}
				Feasible bool
			}
		}
	}
	if err := json.Unmarshal(data, &file); err != nil {
		t.Fatal(err)
	}
	for _, e := range file.Weighing {
		t.Run(e.ID, func(t *testing.T) {
			var asks []TintAsk
			for _, d := range e.In.Doses {
				asks = append(asks, ask("t", d, 20*e.In.Drop))
			}
			got, err := Stir(job(e.In.Resin, e.In.Side, e.In.Step, max(e.In.Cups, 1), asks...))
			if err != nil {
				t.Fatal(err)
			}
			near(t, "total", got.Total, e.Expect.Total, 1e-6*e.Expect.Total)
			mass, parts, atOnce := 0.0, 1, true
			for _, x := range e.Expect.Tints {
				mass += x.Batch
				parts = max(parts, map[string]int{"none": 1, "1:10": 10, "1:100": 100}[x.Letdown])
				atOnce = atOnce && x.AtOnce
			}
			if got.LetdownParts() != parts || got.Feasible != e.Expect.Feasible {
				t.Errorf("letdown 1:%d, feasible %v; want 1:%d, %v", got.LetdownParts(), got.Feasible, parts, e.Expect.Feasible)
			}
			if want := atOnce && parts > 1 && e.In.Cups > 1; got.AtOnce != want {
				t.Errorf("tinted at once: %v, want %v", got.AtOnce, want)
			}
			near(t, "tint", got.Mass(), mass, float64(len(asks)*max(e.In.Cups, 1))*e.In.Step/2+1e-6*mass)
		})
	}
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g ± %g", what, got, want, tol)
	}
}

// Whatever is asked, the doses that come of it are those asked for within the
// scale's step, and the shares of the cups add up.
func TestStirKeepsTheDose(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		resin := rapid.Float64Range(20, 5000).Draw(t, "resin")
		step := rapid.SampledFrom([]float64{0.001, 0.01, 0.1, 1}).Draw(t, "step")
		cups := rapid.IntRange(1, 8).Draw(t, "cups")
		var asks []TintAsk
		for range rapid.IntRange(1, 4).Draw(t, "tints") {
			asks = append(asks, ask("t", rapid.Float64Range(1e-4, 0.02).Draw(t, "dose"), rapid.SampledFrom([]float64{0, 0.9}).Draw(t, "of20")))
		}
		got, err := Stir(job(resin, resin*0.48, step, cups, asks...))
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for _, s := range got.share {
			sum += s
		}
		if math.Abs(sum-1) > 1e-9 {
			t.Fatalf("the cups hold %v of the batch", sum)
		}
		for i, d := range got.Got() {
			slack := step * float64(cups) / 2 / got.Total
			if got.counts(i) {
				slack = Drop(asks[i].Tint) / 2 / got.Total
			}
			if math.Abs(d-asks[i].Share) > slack*(1+1e-9) {
				t.Fatalf("tint %d: dose %v for %v, off by more than %v", i, d, asks[i].Share, slack)
			}
		}
		for n := range got.Cups {
			if text := got.Cup(n, quantity.Metric); text == "" || strings.Contains(text, "NaN") {
				t.Fatalf("cup %d: %q", n, text)
			}
		}
	})
}

// Unequal cups, as whole fillings give them, have each their part.
func TestStirUnequalCups(t *testing.T) {
	j := job(300, 150, 0.01, 1, ask("red", 0.01, 0))
	j.Cups = []TintCup{{Resin: 200, Side: 100}, {Resin: 100, Side: 50}}
	got, err := Stir(j)
	if err != nil {
		t.Fatal(err)
	}
	for n, want := range []string{"100.00 g B, stir in 2.02 g red", "50.00 g B, stir in 1.01 g red"} {
		if text := got.Cup(n, quantity.Metric); !strings.HasPrefix(text, want) {
			t.Errorf("cup %d: %q, want %q", n, text, want)
		}
	}
}

// What no scale can weigh and nobody can count is not made up.
func TestStirTooLittle(t *testing.T) {
	got, err := Stir(job(20, 9.6, 0.1, 1, ask("red", 0.0005, 0.9)))
	if err != nil {
		t.Fatal(err)
	}
	if !got.TooLittle() || len(got.Warnings) == 0 || got.Hands(quantity.Metric) != nil || len(got.Before(quantity.Metric)) != 0 ||
		!strings.Contains(got.Title(quantity.Metric), "too little to weigh") {
		t.Errorf("title %q, warnings %q, hands %q", got.Title(quantity.Metric), got.Warnings, got.Hands(quantity.Metric))
	}
	least := got.Enough()
	if enough, err := Stir(job(least, least*0.48, 0.1, 1, ask("red", 0.0005, 0.9))); err != nil || enough.TooLittle() {
		t.Errorf("%v g are said to be enough and are not: %v", least, err)
	}
	if less, err := Stir(job(least*0.9, least*0.9*0.48, 0.1, 1, ask("red", 0.0005, 0.9))); err != nil || !less.TooLittle() {
		t.Errorf("%v g would be enough too: %v", least*0.9, err)
	}
}

// A letdown that takes 20 g of tint to use half a gram of it is no help where
// drops can be counted.
func TestStirCountsDropsWhereALetdownIsAWaste(t *testing.T) {
	got, err := Stir(job(60, 56, 1, 1, ask("red", 0.008, 0.9)))
	if err != nil {
		t.Fatal(err)
	}
	if text := got.Cup(0, quantity.Metric); text != "56 g B, stir in 11 drops red until no streak is left" {
		t.Errorf("the cup: %q", text)
	}
	near(t, "dose", got.Got()[0], 11*0.045/got.Total, 1e-12)
	for _, f := range got.Facts(quantity.Metric) {
		if f.Key == "letdown_parts" || f.Key == "mass_tint" && f.Text == "0 g" {
			t.Errorf("fact %s: %s", f.Key, f.Text)
		}
	}
	// Without a weighed drop there is nothing to count.
	if got, err = Stir(job(60, 56, 1, 1, ask("red", 0.008, 0))); err != nil || got.LetdownParts() != 100 {
		t.Errorf("without drops: letdown 1:%d, %v", got.LetdownParts(), err)
	}
}

func TestDosesOf(t *testing.T) {
	drops, grams := ask("a", 0, 0.9), ask("b", 0, 0)
	drops.Drops, grams.Grams = 20, 2
	doses, err := DosesOf([]TintAsk{drops, grams, ask("c", 0.01, 0)}, 97.1, "tints")
	if err != nil {
		t.Fatal(err)
	}
	// 97.1 + 0.9 + 2 are 99 % of the mix.
	total := 100 / 0.99
	for i, want := range []float64{0.9 / total, 2 / total, 0.01} {
		near(t, "dose", doses[i], want, 1e-12)
	}
	resin, err := ResinOf([]TintAsk{drops, grams, ask("c", 0.01, 0)}, total, "tint")
	if err != nil {
		t.Fatal(err)
	}
	near(t, "what is left for A and B", resin, 97.1, 1e-9)
	if _, err := DosesOf([]TintAsk{ask("c", 0.15, 0), ask("d", 0.15, 0)}, 100, "tints"); !fault.Is(err, fault.OutOfRange) {
		t.Errorf("30 %%: %v", err)
	}
}

func TestTintSide(t *testing.T) {
	for _, c := range []struct {
		family material.Family
		said   material.Side
		want   material.Side
		ok     bool
	}{
		{material.Urethane, "", "", false},
		{material.UrethaneRubber, "", "", false},
		{material.Urethane, material.SideA, material.SideA, true},
		{material.Epoxy, "", material.SideA, true},
		{material.SiliconeCondensation, "", material.SideA, true},
		{material.SiliconeAddition, "", material.SideA, true},
		{material.Epoxy, material.SideB, material.SideB, true},
		{material.Polyester, "", "", false},
	} {
		m := shop.Material{Profile: material.Profile{Name: "x", Family: c.family, TintSide: c.said}}
		side, _, err := TintSide(m, "base")
		if side != c.want || (err == nil) != c.ok {
			t.Errorf("%s, said %q: side %q, %v", c.family, c.said, side, err)
		}
		if err != nil && (fault.As(err).Option != "base" || !strings.Contains(fault.As(err).HintText(), "tint_side")) {
			t.Errorf("%s: %v", c.family, err)
		}
	}
}
