package color_test

import (
	"encoding/json"
	"errors"
	"io/fs"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"github.com/pourwright/pourwright/internal/color"
)

// The values of color.json come from an independent program and from the
// publications that the file names under about.sources. Each section is a
// function below; a section that none knows fails, one that is absent is
// skipped.
var sections = map[string]func(*testing.T, json.RawMessage){
	"constants":                referenceConstants,
	"cie":                      referenceCIE,
	"srgb_lab":                 referenceSRGB,
	"ciede2000":                referenceDifference,
	"chart24":                  referenceChart,
	"reflectance_from_hex":     referenceSmooth,
	"km_closed_form":           referenceOpaque,
	"saunderson":               referenceSurface,
	"finite_layer":             referenceLayer,
	"demo":                     referenceDemo,
	"forward":                  referenceForward,
	"inverse":                  referenceInverse,
	"weighing":                 referenceWeighing,
	"library_comparison":       referenceLibraries,
	"self_checks_of_reference": referenceSelf,
}

// readReference reads a file of POURWRIGHT_REFERENCE, or of testdata.
func readReference(t testing.TB, name string, v any) bool {
	t.Helper()
	dir := os.Getenv("POURWRIGHT_REFERENCE")
	if dir == "" {
		dir = filepath.Join("..", "..", "testdata", "reference")
	}
	data, err := os.ReadFile(filepath.Join(dir, name))
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

func TestReferenceColor(t *testing.T) {
	var file map[string]json.RawMessage
	if !readReference(t, "color.json", &file) {
		t.Skip("no color.json")
	}
	delete(file, "about")
	delete(file, "license_notice")
	for _, name := range slices.Sorted(maps.Keys(file)) {
		t.Run(name, func(t *testing.T) {
			check, ok := sections[name]
			if !ok {
				t.Fatalf("no test knows the section %q", name)
			}
			check(t, file[name])
		})
	}
}

// into decodes a section, whose shape is the test's to know.
func into[T any](t testing.TB, raw json.RawMessage) (v T) {
	t.Helper()
	if err := json.Unmarshal(raw, &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// rows runs a subtest per row of a list, named by its index or id.
func rows[T any](t *testing.T, raw json.RawMessage, check func(*testing.T, T)) {
	for i, item := range into[[]json.RawMessage](t, raw) {
		name := strconv.Itoa(i)
		if id := into[struct{ ID, Hex string }](t, item); id.ID != "" || id.Hex != "" {
			name = id.ID + id.Hex
		}
		t.Run(name, func(t *testing.T) { check(t, into[T](t, item)) })
	}
}

// near fails where got is further than tol from want.
func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.12g, want %.12g ± %g", what, got, want, tol)
	}
}

// nearRel does so with a tolerance relative to want.
func nearRel(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	near(t, what, got, want, tol*math.Abs(want)+1e-12)
}

func hex(t testing.TB, text string) color.RGB {
	t.Helper()
	c, err := color.ParseHex(text)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func labOf(v []float64) color.Lab { return color.Lab{L: v[0], A: v[1], B: v[2]} }

func nearLab(t testing.TB, what string, got color.Lab, want []float64, tol float64) {
	t.Helper()
	near(t, what+" L", got.L, want[0], tol)
	near(t, what+" a", got.A, want[1], tol)
	near(t, what+" b", got.B, want[2], tol)
}

// nearHex allows one step a channel, which rounding at a half may take.
func nearHex(t testing.TB, what string, got color.RGB, want string) {
	t.Helper()
	w := hex(t, want)
	for _, c := range [][2]uint8{{got.R, w.R}, {got.G, w.G}, {got.B, w.B}} {
		if d := int(c[0]) - int(c[1]); d < -1 || d > 1 {
			t.Errorf("%s = %s, want %s", what, got, want)
			return
		}
	}
}
