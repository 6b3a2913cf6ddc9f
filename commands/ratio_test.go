package commands_test

import (
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
)

func TestRatioConvert(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/ratio convert ratio:"1:1 vol" density_a:1.21 density_b:1.04`)
	near(t, r, "ratio_weight", 0.8595041, 1e-6)
	near(t, r, "ratio_volume", 1, 1e-12)
	r = told(t, d, "ada", `/ratio convert ratio:"100:90 wt" density_a:1.12 density_b:1.05`)
	near(t, r, "ratio_volume", 0.96, 1e-9)
	// A ratio by weight is asked for by volume: its weights were typed.
	if want := "100:90 by weight is A 100 g + B 90 g, or A 100 mL + B 96 mL"; r.Title != want {
		t.Errorf("title %q, want %q", r.Title, want)
	}
	golden(t, "ratio_convert", ask(t, d, "ada", `/ratio convert ratio:"1:1 vol" density_a:1.10 density_b:1.02`))
	ans := refused(t, d, "ada", `/ratio convert ratio:"1:1" density_a:1.10 density_b:1.02`, fault.AmbiguousUnit, "ratio")
	for _, grams := range []string{"100 g + B 100 g", "100 g + B 92.7 g"} {
		if !strings.Contains(ans.Fault.HintText(), grams) {
			t.Errorf("hint %q does not show %q", ans.Fault.HintText(), grams)
		}
	}
}

func TestRatioCheck(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/ratio check material:"demo rigid clear" a:"100 g" b:"88.9 g"`)
	near(t, r, "off_ratio", 0.11125, 1e-9)
	if !strings.Contains(r.Title, "don't pour it") {
		t.Errorf("title %q of a mix that is 11 %% off", r.Title)
	}
	// Weighing a 1:1 volume ratio as 1:1 by weight is the commonest mistake.
	r = told(t, d, "ada", `/ratio check material:"demo rigid white" a:"100 g" b:"100 g"`)
	near(t, r, "off_ratio", 1.10/1.02-1, 1e-9)
	if !said(r, "wrong basis") {
		t.Errorf("notes %q do not tell of the wrong basis", r.Notes)
	}
	r = told(t, d, "ada", `/ratio check material:"demo rigid white" a:"100 ml" b:"100 ml"`)
	near(t, r, "off_ratio", 0, 1e-9)
}

func TestRatioRescue(t *testing.T) {
	d := desk(t)
	ans := ask(t, d, "ada", `/ratio check material:"demo rigid clear" a:"150 g" b:"105 g"`)
	next := press(t, d, "ada", ans, "Rescue it")
	if next.Fault != nil {
		t.Fatal(next.Fault)
	}
	near(t, next.Reply, "add_b", 15, 1e-9)
	near(t, next.Reply, "add_a", 0, 0)
	near(t, next.Reply, "off_ratio_after", 0, 1e-9)
	golden(t, "ratio_rescue", next)
	for _, c := range []struct {
		line   string
		code   fault.Code
		option string
	}{
		{`/ratio rescue material:"demo rigid clear" a:"150 g" b:"105 g" since:"8 min"`, fault.TooLate, "since"},
		{`/ratio rescue material:"demo rigid white" a:"110 g" b:"92 g" since:"20 s"`, fault.TooLate, "since"},
		{`/ratio rescue material:"demo rigid clear" a:"150 g" b:"90 g" scale_step:"200 g"`, fault.OutOfRange, "scale_step"},
		{`/ratio rescue material:"demo rigid clear" a:"0 g" b:"2 g"`, fault.OutOfRange, "a"},
	} {
		refused(t, d, "ada", c.line, c.code, c.option)
	}
	late := refused(t, d, "ada", `/ratio rescue material:"demo rigid clear" a:"150 g" b:"105 g" since:"8 min"`, fault.TooLate, "since")
	if !strings.Contains(late.Fault.Message, "Too late. Don't pour it into the mold.") {
		t.Errorf("message %q", late.Fault.Message)
	}
	if r := told(t, d, "ada", `/ratio rescue material:"demo rigid white" a:"110 g" b:"92 g" since:0s`); !strings.Contains(r.Title, "of B") {
		t.Errorf("an unstirred cup is not rescued: %q", r.Title)
	}
}

func TestRatioSplit(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/ratio split material:"demo rigid white" a_left:"610 g" b_left:"480 g"`)
	near(t, r, "left_b", 0, 0.3)
	near(t, r, "mass_total", 480/1.02*2.12, 0.6)
	golden(t, "ratio_split", ask(t, d, "ada", `/ratio split material:"demo rigid white" a_left:"610 g" b_left:"480 g"`))
	refused(t, d, "ada", `/ratio split material:"demo rigid white" a_left:"610 g" b_left:"0 g"`, fault.OutOfRange, "a_left")
}
