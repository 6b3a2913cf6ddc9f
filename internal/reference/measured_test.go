package reference

import (
	"maps"
	"slices"
	"testing"

	"github.com/pourwright/pourwright/internal/shape"
)

// measurement is one entry of measured.json: what others measured.
type measurement struct {
	ID     string             `json:"id"`
	Kind   string             `json:"kind"`
	Gate   string             `json:"gate"`
	Expect map[string]float64 `json:"expect"`
	Source string             `json:"source"`
}

// measuredKinds are the kinds of measured.json that are checked here; cure and
// color check theirs.
var measuredKinds = map[string]func(*testing.T, measurement){
	"bulk_volume": bulkVolume,
}

// TestReferenceMeasured holds what is promised of a reading against readings
// that others took.
func TestReferenceMeasured(t *testing.T) {
	var file struct {
		Checks []struct {
			measurement
			Expect map[string]any `json:"expect"` // of other kinds it is no map of numbers
		} `json:"checks"`
	}
	if !load(t, "measured.json", &file) {
		t.Skip("no measured.json")
	}
	for _, c := range file.Checks {
		check, ok := measuredKinds[c.Kind]
		if !ok {
			continue
		}
		t.Run(c.ID, func(t *testing.T) {
			m := c.measurement
			m.Expect = map[string]float64{}
			for name, v := range c.Expect {
				n, ok := v.(float64)
				if !ok {
					t.Fatalf("%s is %v, want a number", name, v)
				}
				m.Expect[name] = n
			}
			check(t, m)
		})
	}
}

// bulkVolume holds the range of a fill of grain against how far one lot spread
// when it was measured in several ways, highest over lowest. None of them was
// the grain that is filled with here, so half the spread of the middle one must
// be within the range, and the others are printed beside it; a "must" entry
// wants it of each.
func bulkVolume(t *testing.T, m measurement) {
	if m.Gate != "must" && m.Gate != "report" || len(m.Expect) == 0 {
		t.Fatalf("no test knows the gate %q with %d grains", m.Gate, len(m.Expect))
	}
	for _, with := range []string{"rice", "sand"} {
		f, err := shape.FillWant{With: with, Volume: 100}.Measure()
		if err != nil {
			t.Fatal(err)
		}
		shown := (f.Volume.High - f.Volume.Low) / 2 / f.Volume.Mid
		spreads := slices.Sorted(maps.Values(m.Expect))
		for grain, spread := range m.Expect {
			t.Logf("%s: half the spread %.3g %%, shown for %s ±%.3g %%", grain, 50*(spread-1), with, 100*shown)
			must := m.Gate == "must" || spread <= spreads[len(spreads)/2]
			if must && shown < (spread-1)/2 {
				t.Errorf("%s is said to be good to %.3g %%; %s spread by %.3g (source: %s)", with, 100*shown, grain, spread, m.Source)
			}
		}
	}
}
