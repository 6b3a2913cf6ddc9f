package formula_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/formula"
	"github.com/pourwright/pourwright/internal/quantity"
)

// slowest is what any text may take to be refused or worked out; it is far above
// what they take, for slow machines and the race detector.
const slowest = time.Second

// TestHostile: every program in testdata/hostile is refused in words, at its
// place, at once.
func TestHostile(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("testdata", "hostile", "*.txt"))
	if err != nil || len(files) < 80 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		began := time.Now()
		_, err = run(t, string(text), "")
		took := time.Since(began)
		f := fault.As(err)
		switch {
		case f == nil:
			t.Errorf("%s: %v, want it refused", file, err)
		case f.Code != fault.FormulaError && f.Code != fault.FormulaLimit:
			t.Errorf("%s: got %v, want formula_error or formula_limit", file, f)
		case f.Option != "text" || !strings.HasPrefix(f.Message, "line ") || f.HintText() == "":
			t.Errorf("%s: %q, hint %q, want the place and what to type", file, f.Message, f.HintText())
		case len(f.Message)+len(f.HintText()) > 400:
			t.Errorf("%s: the refusal is %d bytes long", file, len(f.Message)+len(f.HintText()))
		case took > slowest:
			t.Errorf("%s took %v", file, took)
		}
	}
}

// FuzzFormula: whatever is typed is refused in words or gives a result that can
// be told, without a panic, in bounded time.
func FuzzFormula(f *testing.F) {
	files, err := filepath.Glob(filepath.Join("testdata", "hostile", "*.txt"))
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text), "")
	}
	for _, text := range []string{
		"input width = 100 mm (10 mm to 1 m): inside; count = 4; box(width, 5 cm, 2 in) * count",
		`let b = batch(250 ml, "demo rigid white", 5 %)` + "\nmass_a(b) / mass_b(b)",
		`pot_life("a", 200 g) / 2 + mold_life("b") * 1 s`, "72 F - 20 C + 9 dF", "1 lb 4 oz + 2 3/8 kg", "temp < 18 C and not true ? 1 : 2",
		"42 GBP/kg * 1.8 kg", "round(131.96 g, 0.1 g) ^ 2 / 5 mm", `batch(100 g, "100:45 wt", 1.15 g/ml, 0.98 g/ml)`,
	} {
		f.Add(text, "width 12 cm to 15 cm")
	}
	f.Fuzz(func(t *testing.T, text, inputs string) {
		began := time.Now()
		defer func() {
			if took := time.Since(began); took > slowest {
				t.Errorf("%q with %q took %v", text, inputs, took)
			}
		}()
		formula.Complete(text)
		p, err := formula.Compile(text, quantity.Metric)
		if err != nil {
			refusedWell(t, text, err)
			return
		}
		s := hall(p.Things())
		if s.Given, _, err = p.Given(inputs, quantity.Metric); err != nil {
			refusedWell(t, text, err)
			if s.Given, _, err = p.Given("", quantity.Metric); err != nil {
				refusedWell(t, text, err)
				return
			}
		}
		out, err := p.Run(s)
		if err != nil {
			refusedWell(t, text, err)
			return
		}
		for _, v := range out.Values {
			x, isNumber := v.Is.(float64)
			if v.Text == "" || isNumber && (x != x || x-x != 0) || v.Unsure && !(v.Low <= x && x <= v.High) {
				t.Errorf("%q gives %+v", text, v)
			}
		}
		if len(out.Working()) > 300 {
			t.Errorf("%q has %d steps of working", text, len(out.Working()))
		}
	})
}

func refusedWell(t *testing.T, text string, err error) {
	t.Helper()
	f := fault.As(err)
	if f == nil {
		t.Fatalf("%q: %v is no refusal", text, err)
	}
	if f.HintText() == "" || f.Option == "" || !utf8.ValidString(f.Message) && utf8.ValidString(text) {
		t.Errorf("%q: %q (option %q), hint %q", text, f.Message, f.Option, f.HintText())
	}
}
