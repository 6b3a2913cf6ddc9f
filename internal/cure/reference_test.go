package cure

import (
	"encoding/json"
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"testing"
)

// The reference values lie in the folder named by POURWRIGHT_REFERENCE, or in
// the repository. A value or a file that is not there is no failure.
func referenceFolder() string {
	if dir := os.Getenv("POURWRIGHT_REFERENCE"); dir != "" {
		return dir
	}
	return filepath.Join("..", "..", "testdata", "reference")
}

// refCheck is one entry: values and a tolerance for each.
type refCheck struct {
	ID     string          `json:"id"`
	Kind   string          `json:"kind"`
	Gate   string          `json:"gate"`
	Inputs json.RawMessage `json:"inputs"`
	Expect map[string]any  `json:"expect"`
	Tol    map[string]any  `json:"tol"`
	Source string          `json:"source"`
}

// tol is the tolerance of a value, abs, rel or exact; nil without one.
func (c refCheck) tol(name string) map[string]any {
	tol, _ := c.Tol[name].(map[string]any)
	return tol
}

// refFile is cure.json or measured.json.
type refFile struct {
	Meta struct {
		Resins map[string]refResin `json:"resins"`
	} `json:"meta"`
	Checks []refCheck `json:"checks"`
}

func loadReference(t *testing.T, name string) *refFile {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(referenceFolder(), name))
	if errors.Is(err, fs.ErrNotExist) {
		t.Skipf("%s is not there", name)
	}
	if err != nil {
		t.Fatal(err)
	}
	var f refFile
	if err := json.Unmarshal(data, &f); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return &f
}

// in reads the inputs of an entry.
func in[T any](t *testing.T, c refCheck) T {
	t.Helper()
	var v T
	if err := json.Unmarshal(c.Inputs, &v); err != nil {
		t.Fatalf("inputs: %v", err)
	}
	return v
}

// compare holds what was computed against every expected value of an entry. A
// value that was not computed fails, and so does one without a tolerance.
func compare(t *testing.T, c refCheck, got map[string]any) {
	t.Helper()
	for name, want := range c.Expect {
		g, ok := got[name]
		if !ok {
			t.Errorf("nothing computes %q", name)
			continue
		}
		compareOne(t, c, name, g, want)
	}
}

func compareOne(t *testing.T, c refCheck, name string, got, want any) {
	t.Helper()
	tol := c.tol(name)
	if exact, _ := tol["exact"].(bool); exact {
		g, _ := json.Marshal(got)
		w, _ := json.Marshal(want)
		if string(g) != string(w) {
			t.Errorf("%s = %s, want exactly %s (source: %s)", name, g, w, c.Source)
		}
		return
	}
	if list, ok := want.([]any); ok {
		g := got.([]float64)
		if len(g) != len(list) {
			t.Errorf("%s has %d values, want %d", name, len(g), len(list))
			return
		}
		for i := range g {
			within(t, c, name, g[i], list[i].(float64), tol)
		}
		return
	}
	within(t, c, name, got.(float64), want.(float64), tol)
}

func within(t *testing.T, c refCheck, name string, got, want float64, tol map[string]any) {
	t.Helper()
	allowed := math.NaN()
	if abs, ok := tol["abs"].(float64); ok {
		allowed = abs
	} else if rel, ok := tol["rel"].(float64); ok {
		allowed = rel * math.Abs(want)
	}
	if !(math.Abs(got-want) <= allowed) {
		t.Errorf("%s = %.8g, want %.8g ± %.3g (source: %s)", name, got, want, allowed, c.Source)
	}
}

// TestCompare makes sure that a wrong value is noticed: every reference test
// rests on it.
func TestCompare(t *testing.T) {
	tol := func(kind string, v any) map[string]any {
		return map[string]any{"x": map[string]any{kind: v}}
	}
	for _, tc := range []struct {
		name      string
		want, got any
		tol       map[string]any
		ok        bool
	}{
		{"inside", 10.0, 10.09, tol("rel", 0.01), true},
		{"outside", 10.0, 10.11, tol("rel", 0.01), false},
		{"not a number", 10.0, math.NaN(), tol("abs", 1.0), false},
		{"no tolerance", 10.0, 10.0, nil, false},
		{"other truth", true, false, tol("exact", true), false},
		{"same truth", true, true, tol("exact", true), true},
		{"list", []any{1.0, 2.0}, []float64{1, 2.2}, tol("abs", 0.1), false},
		{"list good", []any{1.0, 2.0}, []float64{1, 2.05}, tol("abs", 0.1), true},
	} {
		var probe testing.T
		compareOne(&probe, refCheck{Tol: tc.tol}, "x", tc.got, tc.want)
		if probe.Failed() == tc.ok {
			t.Errorf("%s: %v against %v passed = %v", tc.name, tc.got, tc.want, !probe.Failed())
		}
	}
}

// refKinds is every kind of cure.json. An entry of another kind fails.
var refKinds = map[string]func(*testing.T, *refFile, refCheck){
	"isothermal_G":     refIsothermalG,
	"k10":              refK10,
	"full_cure":        refFullCure,
	"adiabatic_rise":   refAdiabaticRise,
	"adiabatic_time":   refAdiabaticTime,
	"shape_factor":     refShapeFactor,
	"cup_geometry":     refCupGeometry,
	"transient_root":   refTransientRoot,
	"transient_series": refTransientSeries,
	"composite_decay":  refCompositeDecay,
	"fk_critical":      refFKCritical,
	"energy_balance":   refEnergyBalance,
	"golden":           refGolden,
	"sim_k10":          refSimK10,
	"calibration":      refCalibration,
	"lhs":              refHypercube,
	"ensemble":         refEnsemble,
	"learning":         refLearning,
}

func TestReferenceCure(t *testing.T) {
	f := loadReference(t, "cure.json")
	for _, c := range f.Checks {
		t.Run(c.ID, func(t *testing.T) {
			check, ok := refKinds[c.Kind]
			if !ok {
				t.Fatalf("no test knows the kind %q", c.Kind)
			}
			check(t, f, c)
		})
	}
}
