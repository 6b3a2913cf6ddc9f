package quantity_test

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/quantity"
)

// referenceEntry is one value of trade.json with its published source.
type referenceEntry struct {
	ID     string         `json:"id"`
	Topic  string         `json:"topic"`
	Input  map[string]any `json:"input"`
	Source string         `json:"source"`
	Expect struct {
		Value     any     `json:"value"` // a number in the topics of this package
		Unit      string  `json:"unit"`
		Tolerance float64 `json:"tolerance"`
	} `json:"expect"`
}

// form is the topic with its input names, which choose the check.
func (e referenceEntry) form() string {
	return e.Topic + ": " + strings.Join(slices.Sorted(maps.Keys(e.Input)), " ")
}

func (e referenceEntry) number(name string) float64 { v, _ := e.Input[name].(float64); return v }
func (e referenceEntry) text(name string) string    { v, _ := e.Input[name].(string); return v }

// referenceForms compute an entry in base units through the reader that members
// use, unless the expected unit says that the entry is about a difference.
var referenceForms = map[string]func(*testing.T, referenceEntry) float64{
	"unit conversion: unit value": func(t *testing.T, e referenceEntry) float64 {
		if interval, ok := strings.CutSuffix(e.text("unit"), " interval"); ok {
			return e.number("value") * unitNamed(t, interval).Span(1)
		}
		return readValue(t, e.number("value"), e.text("unit"))
	},
	"unit conversion: text": func(t *testing.T, e referenceEntry) float64 {
		return parseAny(t, e.text("text"))
	},
	"unit conversion: density_g_ml volume_us_fl_oz": func(t *testing.T, e referenceEntry) float64 {
		return readValue(t, e.number("volume_us_fl_oz"), "US fl oz") * readValue(t, e.number("density_g_ml"), "g/mL")
	},
	"specific volume: density_g_ml": func(t *testing.T, e referenceEntry) float64 {
		return readValue(t, e.number("density_g_ml"), "g/mL")
	},
	"specific volume: in3_per_lb": func(t *testing.T, e referenceEntry) float64 {
		return readValue(t, e.number("in3_per_lb"), "in3/lb")
	},
	"specific volume: cavity_in3 in3_per_lb": func(t *testing.T, e referenceEntry) float64 {
		return readValue(t, e.number("cavity_in3"), "in3") * readValue(t, e.number("in3_per_lb"), "in3/lb")
	},
}

func TestReferenceUnits(t *testing.T) {
	for _, e := range readReference(t) {
		if e.Topic != "unit conversion" && e.Topic != "specific volume" {
			continue
		}
		t.Run(e.ID, func(t *testing.T) {
			compute := referenceForms[e.form()]
			if compute == nil {
				t.Fatalf("no check knows the form %q: add one to referenceForms", e.form())
			}
			want, ok := e.Expect.Value.(float64)
			if !ok {
				t.Fatalf("expected value %v is no number", e.Expect.Value)
			}
			base, got := compute(t, e), 0.0
			if interval, ok := strings.CutSuffix(e.Expect.Unit, " interval"); ok {
				got = unitNamed(t, interval).Span(base)
			} else {
				got = unitNamed(t, e.Expect.Unit).From(base)
			}
			if !(math.Abs(got-want) <= e.Expect.Tolerance) {
				t.Errorf("%v = %.12g %s, want %.12g ± %g (%s)", e.Input, got, e.Expect.Unit, want, e.Expect.Tolerance, e.Source)
			}
		})
	}
}

// readReference reads trade.json from the folder that POURWRIGHT_REFERENCE
// names. A file that is not there is no failure.
func readReference(t *testing.T) []referenceEntry {
	t.Helper()
	dir := cmp.Or(os.Getenv("POURWRIGHT_REFERENCE"), filepath.Join("..", "..", "testdata", "reference"))
	data, err := os.ReadFile(filepath.Join(dir, "trade.json"))
	if errors.Is(err, fs.ErrNotExist) {
		t.Skipf("no trade.json in %s", dir)
	}
	if err != nil {
		t.Fatal(err)
	}
	var entries []referenceEntry
	if err := json.Unmarshal(data, &entries); err != nil {
		t.Fatal(err)
	}
	return entries
}

// readValue reads a value the way a member would type it. A mil is no unit for
// members, since a "mil" is a milliliter to some: it is typed in inches.
func readValue(t *testing.T, v float64, unit string) float64 {
	t.Helper()
	unit, _, _ = strings.Cut(unit, " (") // "inHg (conventional)"
	if unit == "mil" {
		v, unit = v/1000, "in"
	}
	return parseAny(t, fmt.Sprintf("%g %s", v, unit))
}

func parseAny(t *testing.T, text string) float64 {
	t.Helper()
	q, _, err := quantity.Parse(text, quantity.Want{Zero: true, Negative: true})
	if err != nil {
		t.Fatal(err)
	}
	return q.Value
}

func unitNamed(t *testing.T, name string) quantity.Unit {
	t.Helper()
	u, ok := quantity.UnitNamed(name, quantity.Metric)
	if !ok {
		t.Fatalf("unit %q is not known", name)
	}
	return u
}
