package commands_test

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
)

// tintReference is the part of color.json that can be typed: bases and tints
// that are known by a code, mixes of them and colors to match. It comes from an
// independent program.
type tintReference struct {
	Demo struct {
		Bases map[string]struct {
			Hex, Cures string
			MM         float64 `json:"t_mm"`
		}
		Tints map[string]struct {
			In, Kind, Hex string
			Dose          float64
			MM            float64 `json:"t_mm"`
		}
	}
	Forward []struct {
		ID, Base string
		Doses    map[string]float64
		MM       float64 `json:"t_mm"`
		Backing  string
		Expect   struct{ Hex string }
	}
	Inverse []struct {
		ID, Base, Target string
		Tints            []string
		MM               float64 `json:"t_mm"`
		Backing          string
		Load             float64 `json:"max_load"`
		Expect           struct {
			Difference float64 `json:"dE00"`
			Verdict    string
		}
	}
}

// typed adds every base and tint that a member could type, and tells which.
func (ref *tintReference) typed(t *testing.T, d *chat.Dispatcher) (known map[string]bool) {
	t.Helper()
	known = map[string]bool{}
	for name, b := range ref.Demo.Bases {
		cures := b.Hex
		if b.Cures == "clear" && b.Hex == "" {
			cures = "clear"
		}
		if cures == "" || b.MM > 0 { // the wall of a base can't be typed
			continue
		}
		told(t, d, "ada", fmt.Sprintf(`/material add name:%q family:other ratio:"1:1 wt" pot_life:"3 min" tint_side:B cured_color:%q`, name, cures))
		known[name] = true
	}
	for name, x := range ref.Demo.Tints {
		if x.Hex == "" && x.Kind != "white" || !known[x.In] {
			continue
		}
		line := fmt.Sprintf(`/tint add name:%q family:%s base:%q`, name, cmp.Or(x.Kind, "colored"), x.In)
		if x.Hex != "" {
			line += fmt.Sprintf(` swatch:%q quality:careful`, x.Hex)
		}
		if x.Dose > 0 {
			line += fmt.Sprintf(` dose:%g%%`, 100*x.Dose)
		}
		told(t, d, "ada", line+wall(x.MM, ""))
		known[name] = true
	}
	return known
}

// wall is the option where there is one.
func wall(mm float64, backing string) string {
	if mm == 0 {
		return ""
	}
	if backing != "" {
		backing = " backing:" + backing
	}
	return fmt.Sprintf(` wall:"%g mm"`, mm) + backing
}

func TestReferenceTintAnswers(t *testing.T) {
	dir := os.Getenv("POURWRIGHT_REFERENCE")
	if dir == "" {
		dir = filepath.Join("..", "testdata", "reference")
	}
	data, err := os.ReadFile(filepath.Join(dir, "color.json"))
	if errors.Is(err, fs.ErrNotExist) {
		t.Skip("no color.json")
	}
	if err != nil {
		t.Fatal(err)
	}
	var ref tintReference
	if err := json.Unmarshal(data, &ref); err != nil {
		t.Fatal(err)
	}
	d := desk(t)
	known := ref.typed(t, d)
	looked, matched := 0, 0
	for _, f := range ref.Forward {
		text, ok := "", known[f.Base] && len(f.Doses) > 0
		load := 0.0
		for name, dose := range f.Doses {
			ok = ok && known[name] && dose > 0
			text += fmt.Sprintf("%s %g%%, ", name, 100*dose)
			load += dose
		}
		if !ok || load > 0.2 {
			continue
		}
		looked++
		t.Run(f.ID, func(t *testing.T) {
			r := told(t, d, "ada", fmt.Sprintf(`/tint look base:%q tints:%q`, f.Base, text)+wall(f.MM, f.Backing))
			if got := fact(t, r, "predicted_hex").Value.(string); apart(t, got, f.Expect.Hex) > 1 {
				t.Errorf("%s in %s: predicted %s, want %s", text, f.Base, got, f.Expect.Hex)
			}
		})
	}
	for _, f := range ref.Inverse {
		palette, ok := "", known[f.Base]
		for _, name := range f.Tints {
			ok = ok && known[name]
			palette += name + ", "
		}
		if !ok {
			continue
		}
		matched++
		t.Run(f.ID, func(t *testing.T) {
			r := told(t, d, "ada", fmt.Sprintf(`/tint match base:%q target:%q palette:%q max_load:%g%%`, f.Base, f.Target, palette, 100*f.Load)+wall(f.MM, f.Backing))
			// Fewer tints are offered where that costs 0.3 at most.
			if got := valued(t, r, "delta_e"); got > f.Expect.Difference+0.35 {
				t.Errorf("ΔE %.3f, want %.3f", got, f.Expect.Difference)
			}
			if got := fact(t, r, "reachable").Value; got != (f.Expect.Verdict != "not reachable") {
				t.Errorf("reachable %v at a verdict of %q", got, f.Expect.Verdict)
			}
			if got := valued(t, r, "load"); got > f.Load*(1+1e-6) {
				t.Errorf("a load of %v is over %v", got, f.Load)
			}
		})
	}
	t.Logf("%d mixes and %d matches could be typed", looked, matched)
}
