package moldcare_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/moldcare"
)

func estimate(t interface{ Fatal(...any) }, f moldcare.Family, lives []moldcare.Life) moldcare.Posterior {
	p, err := moldcare.Estimate(moldcare.PriorOf(f), lives, nil)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func within(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %v, want %v ± %v", what, got, want, tolerance)
	}
}

// nist is the data of the worked example of the NIST/SEMATECH e-Handbook of
// Statistical Methods, 8.4.1.3: ten failures, ten survivors of 500.
func nist() []moldcare.Life {
	var lives []moldcare.Life
	for _, t := range []float64{54, 187, 216, 240, 244, 335, 361, 373, 375, 386} {
		lives = append(lives, moldcare.Life{End: t, Failed: true}, moldcare.Life{End: 500})
	}
	return lives
}

func TestFitOfHandbook(t *testing.T) {
	w, err := moldcare.Fit(nist())
	if err != nil {
		t.Fatal(err)
	}
	within(t, "scale", w.Scale, 606.5280, 0.001)
	within(t, "shape", w.Shape, 1.7208, 0.0001)
	within(t, "log likelihood", w.LogLikelihood(nist()), -75.135, 0.001)
	within(t, "mean", w.Mean(), 540.737, 0.01)
	within(t, "standard deviation", w.SD(), 323.806, 0.01)
}

func TestFitRefuses(t *testing.T) {
	for name, lives := range map[string][]moldcare.Life{
		"nothing":       nil,
		"no failure":    {{End: 5}, {End: 9}},
		"one failure":   {{End: 5, Failed: true}, {End: 9}},
		"equal times":   {{End: 5, Failed: true}, {End: 5, Failed: true}},
		"a life of 0":   {{End: 0}, {End: 5, Failed: true}, {End: 6, Failed: true}},
		"endless":       {{End: math.Inf(1)}, {End: 5, Failed: true}, {End: 6, Failed: true}},
		"not a number":  {{End: math.NaN()}, {End: 5, Failed: true}, {End: 6, Failed: true}},
		"below nothing": {{End: -1}, {End: 5, Failed: true}, {End: 6, Failed: true}},
	} {
		if w, err := moldcare.Fit(lives); err == nil {
			t.Errorf("%s: fitted %+v", name, w)
		}
	}
}

// A fit is a greatest likelihood: no neighbor is likelier.
func TestFitIsLikeliest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lives := []moldcare.Life{{End: 3, Failed: true}, {End: 8, Failed: true}}
		for range rapid.IntRange(0, 20).Draw(t, "more") {
			lives = append(lives, moldcare.Life{End: float64(rapid.IntRange(1, 200).Draw(t, "end")), Failed: rapid.Bool().Draw(t, "failed")})
		}
		w, err := moldcare.Fit(lives)
		if err != nil {
			t.Fatal(err)
		}
		best := w.LogLikelihood(lives)
		for _, by := range []float64{0.98, 1.02} {
			for _, other := range []moldcare.Weibull{{Scale: w.Scale * by, Shape: w.Shape}, {Scale: w.Scale, Shape: w.Shape * by}} {
				if l := other.LogLikelihood(lives); l > best+1e-9*math.Abs(best) {
					t.Fatalf("%+v has %v, the fit %+v only %v", other, l, w, best)
				}
			}
		}
	})
}

// Without lives the posterior is the prior: its middle and its 10 to 90 % range
// are those of the log-normal.
func TestPriorComesBack(t *testing.T) {
	const z80 = 1.2815515655446004 // 90 % point of the normal distribution, tables
	for _, f := range moldcare.Families() {
		p := moldcare.PriorOf(f)
		sd := math.Log(p.MedianHigh/p.MedianLow) / (2 * 1.6448536269514722)
		got := estimate(t, f, nil).Median()
		within(t, string(f)+" median", got.Mid, p.Median, 0.002*p.Median)
		within(t, string(f)+" low", got.Low, p.Median*math.Exp(-z80*sd), 0.005*p.Median)
		within(t, string(f)+" high", got.High, p.Median*math.Exp(z80*sd), 0.02*p.Median)
	}
}

func draw(t *rapid.T, failed bool) moldcare.Life {
	end := rapid.IntRange(1, 300).Draw(t, "end")
	return moldcare.Life{
		Entry: float64(rapid.IntRange(0, end).Draw(t, "entry")), End: float64(end), Failed: failed,
		Shared: rapid.Bool().Draw(t, "shared"),
	}
}

// Molds that are all still whole can only speak for a longer life.
func TestCensoredMovesUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var lives []moldcare.Life
		before := estimate(t, moldcare.Condensation, lives).Median()
		for range rapid.IntRange(1, 6).Draw(t, "molds") {
			lives = append(lives, draw(t, false))
			now := estimate(t, moldcare.Condensation, lives).Median()
			if now.Mid < before.Mid*(1-1e-3) {
				t.Fatalf("the median falls from %v to %v with %+v", before, now, lives[len(lives)-1])
			}
			before = now
		}
	})
}

// A mold that failed in its first pulls speaks for a shorter life.
func TestEarlyFailureMovesDown(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var lives []moldcare.Life
		for range rapid.IntRange(0, 5).Draw(t, "molds") {
			lives = append(lives, draw(t, rapid.Bool().Draw(t, "failed")))
		}
		before := estimate(t, moldcare.Addition, lives).Median()
		early := math.Floor(before.Low/8) + 1
		now := estimate(t, moldcare.Addition, append(lives, moldcare.Life{End: early, Failed: true})).Median()
		if now.Mid >= before.Mid {
			t.Fatalf("the median goes from %v to %v with a failure at %v", before, now, early)
		}
	})
}

func TestSharedCountsHalf(t *testing.T) {
	one := estimate(t, moldcare.Condensation, []moldcare.Life{{End: 90, Failed: true}})
	two := estimate(t, moldcare.Condensation, []moldcare.Life{{End: 90, Failed: true, Shared: true}, {End: 90, Failed: true, Shared: true}})
	within(t, "two halves", two.Median().Mid, one.Median().Mid, 1e-9)
	if two.Own != 0 || two.Failures != 2 || one.Own != 1 {
		t.Errorf("counted %+v and %+v", one, two)
	}
}

// A mold that was added late tells nothing of the pulls before.
func TestEntryIsLeftOut(t *testing.T) {
	prior := estimate(t, moldcare.Condensation, nil).Median().Mid
	within(t, "a mold seen for no pull", estimate(t, moldcare.Condensation, []moldcare.Life{{Entry: 40, End: 40}}).Median().Mid, prior, 1e-9)
	whole := estimate(t, moldcare.Condensation, []moldcare.Life{{End: 60}}).Median().Mid
	late := estimate(t, moldcare.Condensation, []moldcare.Life{{Entry: 40, End: 60}}).Median().Mid
	if !(prior < late && late < whole) {
		t.Errorf("medians %v, %v seen from 40, %v seen from new", prior, late, whole)
	}
	at := estimate(t, moldcare.Condensation, []moldcare.Life{{Entry: 41, End: 41, Failed: true}}).Median().Mid
	from := estimate(t, moldcare.Condensation, []moldcare.Life{{Entry: 40, End: 41, Failed: true}}).Median().Mid
	within(t, "failed as it was added", at, from, 1e-9)
}

// The answers of one posterior agree with each other.
func TestOutlookAgrees(t *testing.T) {
	p := estimate(t, moldcare.Condensation, []moldcare.Life{{End: 25, Failed: true}, {End: 17}, {End: 60, Failed: true, Shared: true}})
	for _, age := range []float64{0, 17, 40.5} {
		whole := 1.0
		expected := 0.0
		for j := 1.0; j < 20000 && whole > 1e-9; j++ {
			whole = 1 - p.Risk(age, j)
			expected += whole
		}
		left, mean := p.Left(age)
		within(t, "expected pulls", mean, expected, 0.005*expected+0.01)
		for q, n := range map[float64]float64{0.9: left.Low, 0.5: left.Mid, 0.1: left.High} {
			if stay := 1 - p.Risk(age, n); stay < q-1e-3 && n > 0 {
				t.Errorf("at %v, %v more pulls are survived by %v, want %v", age, n, stay, q)
			}
			if stay := 1 - p.Risk(age, n+1); stay > q+1e-3 {
				t.Errorf("at %v, %v more pulls are survived by %v, more than %v", age, n+1, stay, q)
			}
		}
	}
	if a, b := p.Risk(17, 1), p.Risk(17, 2); !(0 < a && a < b && b < 1) {
		t.Errorf("risks %v and %v", a, b)
	}
	if r := p.RiskRange(17, 1); r.Mid != p.Risk(17, 1) || !(0 < r.Low && r.Low < r.Mid && r.Mid < r.High && r.High < 1) {
		t.Errorf("risk %v", r)
	}
	m := p.Median()
	curve := p.Curve([]float64{0, m.Mid, 1e5})
	if curve[0].Low != 1 || math.Abs(curve[1].Mid-0.5) > 0.05 || curve[2].High > 1e-6 {
		t.Errorf("curve %v", curve)
	}
}

func TestStops(t *testing.T) {
	done := make(chan struct{})
	close(done)
	if _, err := moldcare.Estimate(moldcare.PriorOf(moldcare.Latex), nil, done); !errors.Is(err, moldcare.ErrStopped) {
		t.Errorf("got %v", err)
	}
}

// What is far from the prior, or very much, is still found.
func TestStrongData(t *testing.T) {
	var many []moldcare.Life
	w := moldcare.Weibull{Scale: 4000, Shape: 3}
	for i := range 400 {
		u := (float64(i) + 0.5) / 400
		many = append(many, moldcare.Life{End: math.Ceil(w.Scale * math.Pow(-math.Log(u), 1/w.Shape)), Failed: true})
	}
	m := estimate(t, moldcare.Condensation, many).Median()
	within(t, "median", m.Mid, w.Median(), 0.03*w.Median())
	if wide := m.High/m.Low - 1; !(wide > 0.02 && wide < 0.1) {
		t.Errorf("range %v", m)
	}
	for _, lives := range [][]moldcare.Life{{{End: 1e5}}, {{End: 0, Failed: true}}, {{End: 1, Failed: true}, {End: 1e5, Failed: true}}, {{Entry: 9, End: 3}}} {
		if m := estimate(t, moldcare.Condensation, lives).Median(); !(m.Low > 0 && m.Low <= m.Mid && m.Mid <= m.High && !math.IsInf(m.High, 0)) {
			t.Errorf("%v: %v", lives, m)
		}
	}
}

func TestCare(t *testing.T) {
	for _, c := range []struct {
		name       string
		care       moldcare.Care
		since, due int
		late       bool
	}{
		{"new", moldcare.Care{Every: 5}, 0, 5, false},
		{"two since", moldcare.Care{Pulls: 17, LastCoat: 15, Every: 5}, 2, 3, false},
		{"the last under this coat", moldcare.Care{Pulls: 29, LastCoat: 25, Every: 5}, 4, 1, false},
		{"due", moldcare.Care{Pulls: 30, LastCoat: 25, Every: 5}, 5, 0, true},
		{"overdue", moldcare.Care{Pulls: 37, LastCoat: 25, Every: 5}, 12, 0, true},
		{"nobody said how often", moldcare.Care{Pulls: 4}, 4, 1, false},
		{"a coat from the future", moldcare.Care{Pulls: 4, LastCoat: 6, Every: 5}, 0, 5, false},
	} {
		if c.care.Since() != c.since || c.care.Due() != c.due || c.care.Late() != c.late {
			t.Errorf("%s: %d since, due in %d, late %v", c.name, c.care.Since(), c.care.Due(), c.care.Late())
		}
	}
	for pulls, want := range map[int]int{0: 0, 4: 0, 17: 15, 29: 25, 30: 30, 41: 40} {
		if got := moldcare.CoatBefore(pulls, 5); got != want {
			t.Errorf("added with %d pulls: last coat at %d, want %d", pulls, got, want)
		}
	}
	within(t, "wear", moldcare.Wear(20, 4, moldcare.LateWear), 22, 0)
	within(t, "wear that counts less than one", moldcare.Wear(20, 4, 0.5), 20, 0)
}

func TestInhibition(t *testing.T) {
	for _, m := range []moldcare.Master{moldcare.PrintedUV, moldcare.SulfurClay, moldcare.LatexMaster, moldcare.CondensationMaster, moldcare.AmineEpoxy} {
		if c := moldcare.Meets(moldcare.Addition, m); c.Risk != moldcare.RiskHigh || !c.Patch() || c.Why == "" {
			t.Errorf("addition cure on %s: %+v", m, c)
		}
	}
	for _, m := range []moldcare.Master{moldcare.SulfurClay, moldcare.LatexMaster, moldcare.Metal} {
		if c := moldcare.Meets(moldcare.Condensation, m); c.Patch() {
			t.Errorf("condensation cure on %s: %+v", m, c)
		}
	}
	if !moldcare.Meets(moldcare.Addition, "").Patch() || moldcare.Meets(moldcare.Addition, moldcare.Metal).Patch() {
		t.Error("an unknown master needs a patch test, metal none")
	}
}

func TestRubberTimes(t *testing.T) {
	const h = 3600.0
	tin := moldcare.Rubber{Family: moldcare.Condensation, Demold: 16 * h, FullCure: 7 * 24 * h, Room: 23}.Times()
	within(t, "demold", tin.Demold.Mid, 16*h, 1e-6)
	within(t, "first cast", tin.FirstCast.Mid, (16+72)*h, 1e-6)
	within(t, "first cast, warm", tin.FirstCast.Low, 20*h, 1e-6)
	cold := moldcare.Rubber{Family: moldcare.Condensation, Demold: 16 * h, Room: 13}.Times()
	within(t, "demold ten degrees colder", cold.Demold.Mid, 32*h, 1e-6)
	unsaid := moldcare.Rubber{Family: moldcare.Addition, Room: 21}.Times()
	if unsaid.Stated || unsaid.Demold.Low != 16*h || unsaid.Demold.High != 24*h {
		t.Errorf("without a bulletin: %+v", unsaid)
	}
	if r := (moldcare.Rubber{Family: moldcare.Latex, Room: 21}).Times(); r.Known {
		t.Errorf("latex without a figure: %+v", r)
	}
	rapid.Check(t, func(t *rapid.T) {
		r := moldcare.Rubber{
			Family: rapid.SampledFrom(moldcare.Families()).Draw(t, "family"), Demold: rapid.Float64Range(0, 1e6).Draw(t, "demold"),
			FullCure: rapid.Float64Range(0, 1e6).Draw(t, "full"), Room: rapid.Float64Range(-10, 40).Draw(t, "room"),
		}.Times()
		for _, x := range []struct{ low, mid, high float64 }{{r.Demold.Low, r.Demold.Mid, r.Demold.High}, {r.FirstCast.Low, r.FirstCast.Mid, r.FirstCast.High}} {
			if r.Known && !(0 < x.low && x.low <= x.mid && x.mid <= x.high) {
				t.Fatalf("%+v is not ordered", r)
			}
		}
		if r.Known && (r.FirstCast.Low < r.Demold.Low || r.FirstCast.High < r.Demold.High) {
			t.Fatalf("first cast before demold: %+v", r)
		}
	})
}

func TestParseFamily(t *testing.T) {
	for text, want := range map[string]moldcare.Family{
		"condensation": moldcare.Condensation, "Tin cure": moldcare.Condensation, "platinum": moldcare.Addition, "silicone addition": moldcare.Addition,
		"urethane": moldcare.Urethane, "urethane rubber": moldcare.Urethane, "latex": moldcare.Latex, "plaster": moldcare.Plaster, "other": moldcare.Other,
	} {
		if got, err := moldcare.ParseFamily(text); err != nil || got != want {
			t.Errorf("%q: %q, %v", text, got, err)
		}
	}
	for text, code := range map[string]fault.Code{"": fault.MissingOption, "silicone": fault.AmbiguousName, "resin": fault.NotFound, "epoxy": fault.NotFound, "cheese": fault.NotFound} {
		_, err := moldcare.ParseFamily(text)
		if f := fault.As(err); f == nil || f.Code != code || f.HintText() == "" || f.Option != "family" {
			t.Errorf("%q: %v, want %s", text, err, code)
		}
	}
	for _, f := range moldcare.Families() {
		if back, ok := moldcare.OfRubber(f.Material()); ok && back != f || !ok && f.Material() != material.Other {
			t.Errorf("%s is made of %s, of which %s is made", f, f.Material(), back)
		}
	}
}
