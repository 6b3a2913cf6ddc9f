// Package reference holds the published and derived check values against the
// packages that compute them. It is test only.
//
// Each file of values lies in the folder named by POURWRIGHT_REFERENCE, or in
// testdata/reference of the repository. An entry is known by its form: further
// values of a known form run without a change, a form that no test knows fails.
// A value or a whole file that is absent is no failure.
package reference

import (
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
)

// folder is where the reference files lie.
func folder() string {
	if dir := os.Getenv("POURWRIGHT_REFERENCE"); dir != "" {
		return dir
	}
	return filepath.Join("..", "..", "testdata", "reference")
}

// load reads one file into v and reports whether it is there.
func load(t *testing.T, name string, v any) bool {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(folder(), name))
	if errors.Is(err, fs.ErrNotExist) {
		t.Logf("%s is not there", name)
		return false
	}
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, v); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return true
}

// entry is one value of trade.json.
type entry struct {
	ID     string         `json:"id"`
	Topic  string         `json:"topic"`
	Input  map[string]any `json:"input"`
	Expect expectation    `json:"expect"`
	Source string         `json:"source"`
	Kind   string         `json:"kind"`
}

// expectation is a value with its tolerance, or the bounds of one, or a text.
type expectation struct {
	Value     any      `json:"value"`
	Unit      string   `json:"unit"`
	Tolerance float64  `json:"tolerance"`
	Min       *float64 `json:"min"`
	Max       *float64 `json:"max"`
}

// form is the topic with the sorted names of the inputs.
func (e entry) form() string {
	return e.Topic + ": " + strings.Join(slices.Sorted(maps.Keys(e.Input)), " ")
}

// num gives a number of the input; a missing or other one is a panic, which
// the driver reports.
func (e entry) num(name string) float64 {
	v, ok := e.Input[name].(float64)
	if !ok {
		panic(fmt.Sprintf("input %s is no number: %v", name, e.Input[name]))
	}
	return v
}

// text gives a text of the input.
func (e entry) text(name string) string {
	v, ok := e.Input[name].(string)
	if !ok {
		panic(fmt.Sprintf("input %s is no text: %v", name, e.Input[name]))
	}
	return v
}

// list gives a list of numbers of the input.
func (e entry) list(name string) []float64 { return numbers(e.Input[name]) }

func numbers(v any) []float64 {
	var out []float64
	for _, x := range v.([]any) {
		out = append(out, x.(float64))
	}
	return out
}

// pick chooses by the expected unit among what a form can give.
func (e entry) pick(by map[string]float64) (any, error) {
	v, ok := by[e.Expect.Unit]
	if !ok {
		return nil, fmt.Errorf("no result in %q; known are %v", e.Expect.Unit, slices.Sorted(maps.Keys(by)))
	}
	return v, nil
}

// band is a usual range of ours, which must lie within the expected one.
type band struct{ low, high float64 }

// errUnsaid skips an entry of a known form about which the program says
// nothing, such as one more country's limit.
var errUnsaid = errors.New("nothing in the program states this")

// check compares what was computed with what is expected.
func (e entry) check(got any) error {
	x := e.Expect
	switch got := got.(type) {
	case string:
		if got != x.Value {
			return fmt.Errorf("got %q, want %q", got, x.Value)
		}
		return nil
	case band:
		if x.Min == nil || x.Max == nil || got.low < *x.Min || got.high > *x.Max || got.low > got.high {
			return fmt.Errorf("got %v to %v, want it within %s", got.low, got.high, x)
		}
		return nil
	case float64:
		return e.checkNumber(got)
	}
	return fmt.Errorf("a %T cannot be compared", got)
}

func (e entry) checkNumber(got float64) error {
	x := e.Expect
	if x.Min != nil && !(got >= *x.Min) || x.Max != nil && !(got <= *x.Max) {
		return fmt.Errorf("got %v, want %s", got, x)
	}
	if x.Value == nil {
		if x.Min == nil && x.Max == nil {
			return errors.New("the entry expects nothing")
		}
		return nil
	}
	want, ok := x.Value.(float64)
	if !ok {
		return fmt.Errorf("got %v, want %s", got, x)
	}
	// A tolerance of zero still lets the last bits of a float go.
	if math.Abs(got-want) > x.Tolerance+1e-12*math.Abs(want) || math.IsNaN(got) {
		return fmt.Errorf("got %v, want %s", got, x)
	}
	return nil
}

func (x expectation) String() string {
	s := fmt.Sprintf("%v ± %v %s", x.Value, x.Tolerance, x.Unit)
	if x.Min != nil && x.Max != nil {
		s = fmt.Sprintf("%v to %v %s", *x.Min, *x.Max, x.Unit)
	}
	return s
}
