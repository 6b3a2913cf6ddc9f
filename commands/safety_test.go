package commands_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

func cautionIDs(r *chat.Reply) string {
	ids := make([]string, len(r.Cautions))
	for i, c := range r.Cautions {
		ids[i] = c.ID
	}
	return strings.Join(ids, " ")
}

func TestSafety(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/material add name:"attic resin" family:other ratio:"1:1 wt" pot_life:"10 min"`)
	for _, c := range []struct{ name, line, want string }{
		{"a urethane", `/safety material:"demo rigid white"`, "isocyanate"},
		{"a urethane rubber", `/safety material:"demo flexible amber"`, "isocyanate amine"},
		{"an epoxy", `/safety material:"demo casting epoxy"`, "amine"},
		{"a condensation silicone", `/safety material:"demo tin silicone"`, "tin"},
		{"an addition silicone", `/safety material:"demo addition silicone"`, ""},
		{"cast urethane is sanded", `/safety material:"demo rigid white" step:sand`, "isocyanate dust"},
		{"cast epoxy is sanded", `/safety material:"demo casting epoxy" step:sand`, "dust"},
		{"a mold of tin silicone", `/safety material:"demo tin silicone" step:mold`, "tin aerosol"},
		{"a jug is opened", `/safety material:"demo rigid white" step:store`, "mercury contamination label"},
		{"a jug is done", `/safety material:"demo casting epoxy" step:waste`, "waste"},
		{"under vacuum, whatever it is", "/safety step:degas", "vacuum"},
		{"in a pot, said in words", `/safety step:"casting under pressure"`, "pressure"},
		{"a first pour", `/safety material:"demo casting epoxy" step:first`, "amine health children label"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := cautionIDs(told(t, d, "ada", c.line)); got != c.want {
				t.Errorf("%s: got %q, want %q", c.line, got, c.want)
			}
		})
	}
}

// Every text of the page ends with who has the last word, and so does a page
// without any.
func TestSafetyDefers(t *testing.T) {
	d := desk(t)
	for _, line := range []string{`/safety material:"demo rigid white"`, "/safety step:waste", "/safety step:first"} {
		for _, c := range told(t, d, "bram", line).Cautions {
			if !strings.HasSuffix(c.Text, caution.Deferral) {
				t.Errorf("%s: %s ends %q", line, c.ID, c.Text[max(0, len(c.Text)-60):])
			}
		}
	}
	for _, line := range []string{"/safety", `/safety material:"demo addition silicone"`} {
		if !said(told(t, d, "bram", line), caution.Deferral) {
			t.Errorf("%s does not say who has the last word", line)
		}
	}
}

func TestSafetyOfEverything(t *testing.T) {
	d := desk(t)
	ans := ask(t, d, "bram", "/safety")
	if ans.Private {
		t.Error("safety is private, want it for the channel to read")
	}
	if got, want := len(ans.Reply.Cautions), len(caution.All()); got != want {
		t.Errorf("%d cautions, want all %d", got, want)
	}
	full := press(t, d, "bram", ans, "Cautions in full")
	for i, c := range caution.All() {
		if full.Reply.Cautions[i].Text != c.Full {
			t.Errorf("%s is not shown in full", c.ID)
		}
	}
}

// Of an unknown chemistry nothing may be left out.
func TestSafetyOfAnUnknownFamily(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/material add name:"attic resin" family:other ratio:"1:1 wt" pot_life:"10 min"`)
	r := told(t, d, "ada", `/safety material:"attic resin"`)
	if len(r.Cautions) != len(caution.All()) || !said(r, "attic resin", "nothing can be left out") {
		t.Errorf("%d cautions and notes %q", len(r.Cautions), r.Notes)
	}
}

func TestSafetyNameIsTakenNearly(t *testing.T) {
	d := desk(t)
	if r := told(t, d, "bram", `/safety material:"demo rigid whiet"`); !said(r, `"demo rigid whiet"`, `"demo rigid white"`) {
		t.Errorf("notes %q, want one that says how the name was read", r.Notes)
	}
	refused(t, d, "bram", "/safety material:granite", fault.UnknownMaterial, "material")
	ans := refused(t, d, "bram", "/safety step:polish", fault.NotFound, "step")
	for _, step := range caution.Steps() {
		if !strings.Contains(ans.Fault.HintText(), string(step)) {
			t.Errorf("the hint %q leaves out %s", ans.Fault.HintText(), step)
		}
	}
}

// A page of a material and a step fits one message of a chat service, which
// holds 4096 characters: a caution that is cut off is no caution.
func TestSafetyFitsAMessage(t *testing.T) {
	d := desk(t)
	for _, m := range []string{"demo rigid white", "demo flexible amber", "demo casting epoxy", "demo tin silicone"} {
		for _, step := range append(caution.Steps(), "") {
			raw := map[string]string{"material": m}
			if step != "" {
				raw["step"] = string(step)
			}
			n := 0
			for _, c := range told(t, d, "bram", chat.FormatLine("safety", raw, nil)).Cautions {
				n += len(c.Text) + 4
			}
			if n > 4000 {
				t.Errorf("%s, step %q: %d characters", m, step, n)
			}
		}
	}
}

func TestSafetyButtonsLeadOn(t *testing.T) {
	d := desk(t)
	ans := ask(t, d, "bram", `/safety material:"demo rigid white"`)
	got := press(t, d, "bram", ans, "For sanding and drilling")
	if got.Reply == nil || !slices.Equal(strings.Fields(cautionIDs(got.Reply)), []string{"isocyanate", "dust"}) {
		t.Errorf("pressed: %+v", got)
	}
}
