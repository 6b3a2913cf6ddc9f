package shape_test

import (
	"math"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shape"
	"pgregory.net/rapid"
)

func near(got, want, tolerance float64) bool { return math.Abs(got-want) <= tolerance }

// Densities of air-free water, Tanaka et al. 2001, Metrologia 38:301, table at
// its end (from memory), in kg/m³.
func TestWaterDensity(t *testing.T) {
	for temp, want := range map[float64]float64{0: 999.843, 4: 999.975, 10: 999.703, 15: 999.103, 20: 998.207, 25: 997.048, 30: 995.650, 40: 992.215} {
		got, err := shape.WaterDensity(temp)
		if err != nil || !near(1000*got, want, 0.003) {
			t.Errorf("%v °C: %v kg/m³, want %v (%v)", temp, 1000*got, want, err)
		}
	}
	for _, temp := range []float64{-0.1, 40.1, math.NaN(), math.Inf(1)} {
		if _, err := shape.WaterDensity(temp); !fault.Is(err, fault.OutOfRange) || fault.As(err).Option != "temp" {
			t.Errorf("%v °C: %v", temp, err)
		}
	}
	// Water is densest near 4 °C and falls off on both sides.
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(4, 39).Draw(t, "a")
		lo, _ := shape.WaterDensity(a)
		hi, _ := shape.WaterDensity(a + 1)
		if hi >= lo {
			t.Fatalf("water at %v °C is denser than at %v", a+1, a)
		}
	})
}

func TestFill(t *testing.T) {
	for _, c := range []struct {
		name     string
		want     shape.FillWant
		mid      float64
		percent  float64 // half the range
		mentions string
	}{
		{"water weighed", shape.FillWant{Mass: 153.2, Temp: 20}, 153.4752, 0.5, "one drop of water left behind foams urethane"},
		{"water by name", shape.FillWant{With: "Water", Mass: 153.2, Temp: 20}, 153.4752, 0.5, "plaster"},
		{"water poured out", shape.FillWant{Volume: 100, Temp: 20}, 100, 2, "Dry the mold"},
		{"rice", shape.FillWant{With: "rice", Volume: 240}, 240, 6, "good to 6 %"},
		{"sand", shape.FillWant{With: "sand", Volume: 240}, 240, 6, "Sand heaps"},
		{"rice weighed with its density", shape.FillWant{With: "rice", Mass: 85, Density: 0.85}, 100, 5, "as good as the density"},
		{"a liquid", shape.FillWant{With: "other", Volume: 50}, 50, 2, ""},
		{"a liquid weighed", shape.FillWant{With: "other", Mass: 46, Density: 0.92}, 50, 5, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := c.want.Measure()
			if err != nil {
				t.Fatal(err)
			}
			v := got.Volume
			if !near(v.Mid, c.mid, 1e-3) || !near(v.Low, v.Mid*(1-c.percent/100), 1e-9) || !near(v.High, v.Mid*(1+c.percent/100), 1e-9) {
				t.Errorf("got %+v, want %v ± %v %%", v, c.mid, c.percent)
			}
			if !strings.Contains(strings.Join(got.Notes, " "), c.mentions) || len(got.Steps) == 0 {
				t.Errorf("notes %q and %d steps; want %q", got.Notes, len(got.Steps), c.mentions)
			}
		})
	}
}

func TestFillRefuses(t *testing.T) {
	for _, c := range []struct {
		name   string
		want   shape.FillWant
		code   fault.Code
		option string
	}{
		{"nothing", shape.FillWant{}, fault.MissingOption, "mass"},
		{"both", shape.FillWant{Mass: 1, Volume: 1}, fault.TooManyOptions, "volume"},
		{"less than nothing", shape.FillWant{Mass: -1}, fault.OutOfRange, "mass"},
		{"no number", shape.FillWant{Volume: math.NaN()}, fault.OutOfRange, "volume"},
		{"steam", shape.FillWant{Mass: 100, Temp: 101}, fault.OutOfRange, "temp"},
		{"water with a density", shape.FillWant{Mass: 100, Temp: 20, Density: 1}, fault.TooManyOptions, "density"},
		{"rice by weight alone", shape.FillWant{With: "rice", Mass: 100}, fault.MissingOption, "volume"},
		{"other by weight alone", shape.FillWant{With: "other", Mass: 100}, fault.MissingOption, "density"},
		{"denser than any metal", shape.FillWant{With: "other", Mass: 100, Density: 30}, fault.OutOfRange, "density"},
		{"lentils", shape.FillWant{With: "lentils", Volume: 100}, fault.NotFound, "with"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := c.want.Measure()
			wantFault(t, err, c.code, c.option)
		})
	}
}

func wantFault(t *testing.T, err error, code fault.Code, option string) {
	t.Helper()
	f := fault.As(err)
	if f == nil || f.Code != code || f.Option != option || f.HintText() == "" {
		t.Errorf("got %v, want %s in %q with a hint", err, code, option)
	}
}

func TestWeighed(t *testing.T) {
	if got := shape.Part(86.4, 1.08); !near(got, 80, 1e-9) {
		t.Errorf("a part of 86.4 g at 1.08 g/mL: %v mL", got)
	}
	if got := shape.Swap(52, 1.24, 1.05); !near(got, 44.032258, 1e-6) {
		t.Errorf("a master swapped: %v g", got)
	}
	v, rho, err := shape.Immersed(118.4, 6.9, 20)
	if err != nil || !near(v, 111.7, 0.01) || !near(rho, 1.05997, 1e-4) {
		t.Errorf("under water: %v mL, %v g/mL, %v", v, rho, err)
	}
	_, _, err = shape.Immersed(10, 10, 20)
	wantFault(t, err, fault.OutOfRange, "mass")
	_, _, err = shape.Immersed(10, 1, 50)
	wantFault(t, err, fault.OutOfRange, "temp")
}
