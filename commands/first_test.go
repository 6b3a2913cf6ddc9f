package commands_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

func number(t *testing.T, r *chat.Reply, key string) float64 {
	t.Helper()
	switch v := fact(t, r, key).Value.(type) {
	case float64:
		return v
	case int:
		return float64(v)
	}
	t.Fatalf("%s is no number: %v", key, fact(t, r, key).Value)
	return 0
}

// The amounts of a first pour are common practice: 20 g on a scale that shows
// 0.1 g, 50 to 60 g on one that shows 1 g, more where the ratio asks for it.
// The split is worked out by hand from the bulletin's ratio and densities.
func TestFirstAmounts(t *testing.T) {
	for _, c := range []struct {
		name, scale, material string
		a, b                  float64 // g
	}{
		// 1:1 by volume, 1.10 and 1.02 g/mL: 110 to 102 by weight.
		{"a fine scale", "0.1 g", "demo rigid white", 10.4, 9.6},
		// 60 g hold 31.1 and 28.9.
		{"a coarse scale", "1 g", "demo rigid white", 31, 29},
		{"by weight", "0.1 g", "demo casting epoxy", 13.8, 6.2},
		// 100:8: at 0.1 g and 2 % the small part weighs 2.5 g or more.
		{"a small part", "0.1 g", "demo tin silicone", 32.5, 2.6},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := desk(t)
			told(t, d, "ada", `/shop set scale_step:"`+c.scale+`"`)
			r := told(t, d, "bram", `/first material:"`+c.material+`"`)
			a, b := number(t, r, "mass_a"), number(t, r, "mass_b")
			if a != c.a || b != c.b {
				t.Errorf("A %g g and B %g g, want %g and %g", a, b, c.a, c.b)
			}
			if got := number(t, r, "mass_total"); math.Abs(got-a-b) > 1e-9 {
				t.Errorf("together %g g, want %g", got, a+b)
			}
			for _, key := range []string{"mass_a", "mass_b", "mass_total"} {
				f := fact(t, r, key)
				if f.Low == nil || f.High == nil || *f.Low >= number(t, r, key) || *f.High <= number(t, r, key) {
					t.Errorf("%s comes without its bounds: %+v", key, f)
				}
			}
			if len(r.Working) == 0 {
				t.Error("no working")
			}
		})
	}
}

func TestFirstSaysItsDefaultsAndCautions(t *testing.T) {
	d := desk(t)
	ans := ask(t, d, "bram", `/first material:"demo rigid white"`)
	golden(t, "first_pour", ans)
	if !ans.Private {
		t.Error("a first pour is public, want it for who asks")
	}
	r := ans.Reply
	if !said(r, "scale", "0.1 g") {
		t.Errorf("notes %q do not name the scale", r.Notes)
	}
	for _, id := range []string{"isocyanate", "label", "health", "children"} {
		if !strings.Contains(cautionIDs(r), id) {
			t.Errorf("cautions %s, want %s among them", cautionIDs(r), id)
		}
	}
	if joined := strings.Join(r.Steps, " "); !strings.Contains(joined, fact(t, r, "mass_a").Text) || !strings.Contains(joined, fact(t, r, "mass_b").Text) {
		t.Errorf("the steps do not say the amounts: %s", joined)
	}
}

func TestFirstWarnsOfAColdRoom(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/shop set temp:"15 C"`)
	if r := told(t, d, "bram", `/first material:"demo rigid white"`); !said(r, "15 °C", "18 °C") {
		t.Errorf("notes %q, want one on the cold room", r.Notes)
	}
}

func TestFirstClass(t *testing.T) {
	d := desk(t)
	ans := ask(t, d, "ada", `/first material:"demo rigid white" people:8`)
	golden(t, "first_class", ans)
	r := ans.Reply
	for _, part := range []string{"a", "b"} {
		if got, want := number(t, r, "class_mass_"+part), 8*number(t, r, "mass_"+part); math.Abs(got-want) > 1e-9 {
			t.Errorf("part %s for all %g g, want eight cups: %g", part, got, want)
		}
	}
	if got, want := int(number(t, r, "gloves")), caution.GlovePairs(8); got != want {
		t.Errorf("%d pairs of gloves, want %d", got, want)
	}
	joined := strings.Join(r.Steps, "\n")
	for _, c := range r.Cautions {
		full, _ := caution.Get(caution.ID(c.ID))
		if !strings.Contains(joined, "[ ] Said aloud and understood: "+full.Title) {
			t.Errorf("nothing to tick for %s", c.ID)
		}
	}
}

// Next leads through every step in turn to the last one, and Back returns.
func TestFirstStepByStep(t *testing.T) {
	d := desk(t)
	ans := ask(t, d, "bram", `/first material:"demo rigid white"`)
	all := ans.Reply.Steps
	at := press(t, d, "bram", ans, "Step by step")
	for n, step := range all {
		if at.Reply != nil && utf8.RuneCountInString(at.Reply.Title) > 256 {
			t.Errorf("step %d is too long for a title: %s", n+1, at.Reply.Title)
		}
		want := fmt.Sprintf("Step %d of %d: %s", n+1, len(all), step)
		if at.Reply == nil || at.Reply.Title != want {
			t.Fatalf("step %d: %+v, want %q", n+1, at, want)
		}
		if at.Reply.Cautions == nil {
			t.Errorf("step %d has no caution", n+1)
		}
		if n+1 == len(all) {
			break
		}
		at = press(t, d, "bram", at, "Next")
		if !at.Replace {
			t.Errorf("step %d does not take the place of the one before", n+2)
		}
	}
	if strings.Contains(strings.Join(labels(at.Reply.Actions), "|"), "Next") {
		t.Error("the last step has a next one")
	}
	if back := press(t, d, "bram", at, "Back"); !strings.HasSuffix(back.Reply.Title, all[len(all)-2]) {
		t.Errorf("back from the last: %q", back.Reply.Title)
	}
}

// The class keeps its size from step to step.
func TestFirstStepsOfAClass(t *testing.T) {
	d := desk(t)
	ans := ask(t, d, "ada", `/first material:"demo rigid white" people:8`)
	at := press(t, d, "ada", press(t, d, "ada", ans, "The pour, step by step"), "Next")
	if id := button(t, at, "Next").ID; !strings.Contains(id, "people:8") {
		t.Errorf("the second step's button is %q, want it to keep people:8", id)
	}
}

func TestFirstByVolumeWhereNothingCanBeWeighed(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/material add name:"cup resin" family:epoxy ratio:"2:1 vol" density_mixed:"1.1 g/ml" pot_life:"30 min"`)
	r := told(t, d, "ada", `/first material:"cup resin"`)
	a, b := number(t, r, "volume_a"), number(t, r, "volume_b")
	if a <= 0 || math.Abs(a/b-2) > 0.02 {
		t.Errorf("A %g mL and B %g mL, want two to one", a, b)
	}
	if !said(r, "by volume") {
		t.Errorf("notes %q do not say why nothing is weighed", r.Notes)
	}
}

// Every material of the demo shop has a first pour, and a page of cautions.
func TestFirstOfEveryDemoMaterial(t *testing.T) {
	d := desk(t)
	inv := calling("bram")
	inv.Command, inv.Raw = "first", map[string]string{"material": "demo"}
	choices, err := d.Complete(t.Context(), inv, "material")
	if err != nil || len(choices) < 5 {
		t.Fatalf("got %v, %v; want the demo's materials", choices, err)
	}
	for _, ch := range choices {
		r := told(t, d, "bram", chat.FormatLine("first", map[string]string{"material": ch.Value}, nil))
		if total := number(t, r, "mass_total"); total < 19.5 || total > 60 {
			t.Errorf("%s: a first cup of %g g, want about 20 g, to 60 g where the ratio asks for it", ch.Value, total)
		}
		told(t, d, "bram", chat.FormatLine("safety", map[string]string{"material": ch.Value}, nil))
	}
}

func TestFirstRefusals(t *testing.T) {
	d := desk(t)
	refused(t, d, "bram", "/first", fault.MissingOption, "material")
	refused(t, d, "bram", "/first material:granite", fault.UnknownMaterial, "material")
	refused(t, d, "bram", `/first material:"demo rigid white" people:0`, fault.OutOfRange, "people")
	refused(t, d, "bram", `/first material:"demo rigid white" people:61`, fault.OutOfRange, "people")
	refused(t, d, "bram", `/first material:"demo rigid white" step:40`, fault.OutOfRange, "step")
	if r := told(t, d, "bram", `/first material:"demo rigid whit"`); !said(r, "was read as") {
		t.Errorf("notes %q, want one that says how the name was read", r.Notes)
	}
}

func TestFirstByVolume(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/material add name:"bench white" family:urethane ratio:"1:1 vol" pot_life:"3 min" density_mixed:1.05`)
	r := told(t, d, "ada", `/first material:"bench white"`)
	all := strings.Join(append(r.Steps, r.Notes...), " ")
	if !strings.Contains(all, "marked cup") || strings.Contains(all, "Zero the scale") || strings.Contains(all, "shop's scale") || strings.Contains(all, "..") {
		t.Errorf("a pour that is measured by volume says %q", all)
	}
}
