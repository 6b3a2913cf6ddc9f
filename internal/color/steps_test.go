package color_test

import (
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/color"
	"github.com/pourwright/pourwright/internal/working"
)

// TestStepsCanBeFollowed: every step has a source, and the numbers of the answer
// stand in it.
func TestStepsCanBeFollowed(t *testing.T) {
	base := whiteBase(t)
	red := tintOf(t, color.Colored, base, "#C9837F", 0.005)
	recipe := color.Recipe{Base: base, Doses: []color.Dose{{Tint: red, Part: 0.002}}, Wall: color.Wall{MM: 4, Backing: color.BlackBacking}}
	p := predict(t, recipe)
	want := color.Want{Base: base, Palette: []*color.Tint{red}, Target: color.Hex(hex(t, "#E4AFB3"))}
	m, err := color.Find(want, nil)
	if err != nil {
		t.Fatal(err)
	}
	batch := color.WeighWant{Resin: 60, Side: 30, Doses: []float64{0.002}, Step: 0.1}
	w, err := color.Weigh(batch)
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		steps []working.Step
		words []string
	}{
		"predict": {p.Steps(recipe), []string{p.Code.String(), "tint 0.2 %", "550 nm", "4 mm over black"}},
		"match":   {m.Steps(want), []string{"#E4AFB3", m.Best.Text(), string(m.Verdict)}},
		"weigh":   {w.Steps(batch), []string{"60.12 g", "2 g", "12.024 g", "18.096 g"}},
	} {
		var all strings.Builder
		for _, s := range c.steps {
			if s.What == "" || s.Formula == "" || s.Value == "" || s.Source == "" {
				t.Errorf("%s: a step lacks something: %+v", name, s)
			}
			all.WriteString(s.Formula + " " + s.Value + "\n")
		}
		for _, word := range c.words {
			if !strings.Contains(all.String(), word) {
				t.Errorf("%s: %q is not in\n%s", name, word, all.String())
			}
		}
	}
	rounded := w.Rounded([]color.Dose{{Tint: red, Part: 0.002}})
	if got := rounded[0].Part * w.Total; len(rounded) != 1 || got < 0.119 || got > 0.121 {
		t.Errorf("the scale gives %v g", got)
	}
}
