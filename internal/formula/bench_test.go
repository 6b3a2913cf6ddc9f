package formula_test

import (
	"math"
	"runtime"
	"strings"
	"testing"

	"github.com/google/cel-go/cel"

	"github.com/pourwright/pourwright/internal/formula"
	"github.com/pourwright/pourwright/internal/quantity"
)

// A rubber mold round a box in twenty operations, with three inputs: what it
// weighs. In lengths of mm, densities of g/mm³.
const (
	twenty = `input length = 100 mm
input width = 60 mm
input height = 40 mm
let wall = 10 mm
let outside = (length + 2 * wall) * (width + 2 * wall) * (height + 2 * wall)
let rubber = outside - length * width * height
let lost = max(2 ml, 4 % * rubber)
(rubber + lost) * 1.26 g/ml / (1 + 8 / 100)`

	twentyBare = `((length + 2.0 * 10.0) * (width + 2.0 * 10.0) * (height + 2.0 * 10.0) - length * width * height +
		(2000.0 > 0.04 * ((length + 2.0 * 10.0) * (width + 2.0 * 10.0) * (height + 2.0 * 10.0) - length * width * height) ? 2000.0 :
		0.04 * ((length + 2.0 * 10.0) * (width + 2.0 * 10.0) * (height + 2.0 * 10.0) - length * width * height))) * 0.00126 / (1.0 + 8.0 / 100.0)`
)

func plainTwenty(length, width, height float64) float64 {
	const wall = 10.0
	outside := (length + 2*wall) * (width + 2*wall) * (height + 2*wall)
	rubber := outside - length*width*height
	lost := math.Max(2000, 0.04*rubber)
	return (rubber + lost) * 0.00126 / (1 + 8.0/100)
}

// TestTwenty: the three that are timed say the same.
func TestTwenty(t *testing.T) {
	want := plainTwenty(100, 60, 40)
	out, err := run(t, twenty, "")
	if err != nil {
		t.Fatal(err)
	}
	got, err := celProgram(t).eval(100, 60, 40)
	if err != nil {
		t.Fatal(err)
	}
	if is, _ := out.Values[0].Is.(float64); math.Abs(is-want) > 1e-9*want || math.Abs(got-want) > 1e-9*want {
		t.Errorf("formula %v, cel %v, plain Go %v", is, got, want)
	}
}

type celSum struct{ cel.Program }

func (c celSum) eval(length, width, height float64) (float64, error) {
	v, _, err := c.Eval(map[string]any{"length": length, "width": width, "height": height})
	if err != nil {
		return 0, err
	}
	f, _ := v.Value().(float64)
	return f, nil
}

func celProgram(t testing.TB) celSum {
	t.Helper()
	env, err := cel.NewEnv(cel.Variable("length", cel.DoubleType), cel.Variable("width", cel.DoubleType), cel.Variable("height", cel.DoubleType))
	if err != nil {
		t.Fatal(err)
	}
	ast, issues := env.Compile(twentyBare)
	if issues.Err() != nil {
		t.Fatal(issues.Err())
	}
	p, err := env.Program(ast)
	if err != nil {
		t.Fatal(err)
	}
	return celSum{p}
}

// BenchmarkTwenty holds a formula of twenty operations, with units, named lines
// and its working noted, against the same sum in google/cel-go, which has none
// of these and so works out its middle three times over, and in plain Go.
func BenchmarkTwenty(b *testing.B) {
	cache := formula.NewCache()
	p, err := cache.Compile(twenty, quantity.Metric)
	if err != nil {
		b.Fatal(err)
	}
	s := hall(nil)
	if s.Given, _, err = p.Given("", quantity.Metric); err != nil {
		b.Fatal(err)
	}
	b.Run("formula", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := p.Run(s); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("formula with working", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			out, err := p.Run(s)
			if err != nil {
				b.Fatal(err)
			}
			out.Working()
		}
	})
	b.Run("found in the cache", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := cache.Compile(twenty, quantity.Metric); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("compile", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := formula.Compile(twenty, quantity.Metric); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("cel-go", func(b *testing.B) {
		c := celProgram(b)
		b.ReportAllocs()
		for b.Loop() {
			if _, err := c.eval(100, 60, 40); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("plain Go", func(b *testing.B) {
		length := 100.0
		for b.Loop() {
			length = 100 + plainTwenty(length, 60, 40)*1e-12
		}
	})
}

// TestProgramSize: the largest programs there can be fill a cache of 128 with
// less than 64 MB.
func TestProgramSize(t *testing.T) {
	text := strings.Repeat("1 mm+", 240) + "1 mm"
	text += strings.Repeat(" ", formula.MaxText-len(text))
	var before, after runtime.MemStats
	kept := make([]*formula.Program, 64)
	runtime.GC()
	runtime.ReadMemStats(&before)
	for i := range kept {
		p, err := formula.Compile(text, quantity.Metric)
		if err != nil {
			t.Fatal(err)
		}
		kept[i] = p
	}
	runtime.GC()
	runtime.ReadMemStats(&after)
	each := float64(after.HeapAlloc-before.HeapAlloc) / float64(len(kept))
	runtime.KeepAlive(kept)
	t.Logf("%.0f kB each", each/1e3)
	if each > 500e3 {
		t.Errorf("a program holds %.0f kB", each/1e3)
	}
}
