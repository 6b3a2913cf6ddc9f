package commands_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
)

const bench = `/material add name:"bench white" family:urethane ratio:"1:1 vol" density_a:"1.10, 1.02" pot_life:"3 min, 100 g, 23 C" demold:"12 min, 6 mm"`

func TestMaterialAdd(t *testing.T) {
	d := desk(t)
	ans := ask(t, d, "bram", bench)
	if ans.Fault != nil {
		t.Fatal(ans.Fault)
	}
	golden(t, "material_add", ans)
	r := told(t, d, "bram", `/material show material:"bench white"`)
	for key, want := range map[string]float64{
		"pot_life": 180, "pot_life_mass": 100, "pot_life_temp": 23, "density_a": 1.10, "density_b": 1.02, "demold": 720, "demold_section": 6,
	} {
		near(t, r, key, want, 1e-9)
	}
	// It is bram's alone until he shares it.
	refused(t, d, "cleo", `/material show material:"bench white"`, fault.UnknownMaterial, "material")
	refused(t, d, "bram", bench, fault.NameTaken, "name")
}

func TestMaterialForms(t *testing.T) {
	d := desk(t)
	inv := calling("bram")
	inv.Command, inv.Sub, inv.Forms = "material", "add", true
	open := d.Do(t.Context(), inv)
	if open.Form == nil || len(open.Form.Fields) != 5 {
		t.Fatalf("a bare /material add opens %+v, want a form of five fields", open)
	}
	saved := send(t, d, "bram", open.Form, map[string]string{
		"name": "bench white, urethane", "ratio": "1:1 vol", "density_a": "1.10, 1.02", "pot_life": "3 min, 100 g, 23 C", "demold": "12 min, 6 mm",
	})
	if saved.Fault != nil {
		t.Fatal(saved.Fault)
	}
	look := press(t, d, "bram", saved, "Add color and hardness")
	if look.Form == nil {
		t.Fatalf("no form: %+v", look.Fault)
	}
	after := send(t, d, "bram", look.Form, map[string]string{"full_cure": "24 h", "hardness": "74 D", "cured_color": "#F2EFE6", "tint_side": "B", "max_tint": "2%"})
	if after.Fault != nil {
		t.Fatal(after.Fault)
	}
	if got := fact(t, after.Reply, "hardness").Text; got != "74 D" {
		t.Errorf("hardness %q", got)
	}
	// The next form shows what is there.
	again := press(t, d, "bram", after, "Add color and hardness")
	for _, f := range again.Form.Fields {
		if f.Name == "max_tint" && f.Value != "2 %" || f.Name == "full_cure" && f.Value != "24 h" && f.Value != "1 d" {
			t.Errorf("field %s shows %q", f.Name, f.Value)
		}
	}
}

func TestMaterialEdit(t *testing.T) {
	d := desk(t)
	told(t, d, "bram", bench)
	r := told(t, d, "bram", `/material edit material:"bench white" pot_life:"4 min" notes:"stir B first"`)
	if !strings.Contains(r.Title, "version 2") || !strings.Contains(strings.Join(r.Steps, "\n"), "3 min") {
		t.Errorf("title %q, changes %q", r.Title, r.Steps)
	}
	told(t, d, "bram", `/material edit material:"bench white" clear:notes`)
	if r = told(t, d, "bram", `/material show material:"bench white"`); strings.Contains(strings.Join(r.Notes, " "), "stir B first") {
		t.Error("a cleared note is still there")
	}
	hist := ask(t, d, "bram", `/material history material:"bench white"`)
	old := press(t, d, "bram", hist, "Show version 1")
	near(t, old.Reply, "pot_life", 180, 1e-9)
	refused(t, d, "bram", `/material edit material:"bench white" clear:name`, fault.UnknownOption, "clear")
	refused(t, d, "bram", `/material edit material:"bench whit" pot_life:"4 min"`, fault.UnknownMaterial, "material")
	refused(t, d, "cleo", `/material edit material:"demo rigid white" pot_life:"4 min"`, fault.NotAllowed, "material")
}

func TestMaterialChecks(t *testing.T) {
	d := desk(t)
	for _, c := range []struct {
		line   string
		code   fault.Code
		option string
	}{
		{`/material add name:x family:urethane ratio:"1:1 vol" pot_life:"30 min" demold:"12 min"`, fault.OutOfRange, "demold"},
		{`/material add name:x family:urethane ratio:"1:1 vol" pot_life:"3 min" demold:"12 min" full_cure:"5 min"`, fault.OutOfRange, "full_cure"},
		{`/material add name:x family:jelly ratio:"1:1 vol" pot_life:"3 min"`, fault.NotFound, "family"},
		{`/material add name:x family:silicone ratio:"1:1 vol" pot_life:"3 min"`, fault.AmbiguousName, "family"},
		{`/material add name:x family:urethane ratio:"1:1" pot_life:"3 min"`, fault.AmbiguousUnit, "ratio"},
		{`/material add name:x family:urethane ratio:"1:1 vol"`, fault.MissingOption, "pot_life"},
		{`/material add name:x family:urethane ratio:"1:1 vol" pot_life:"3 min" density_a:"19 g/ml"`, fault.OutOfRange, "density_a"},
		{`/material add name:x family:urethane ratio:"1:1 vol" pot_life:"3 min" hardness:"74"`, fault.BadQuantity, "hardness"},
		{`/material add name:x family:urethane ratio:"1:1 vol" pot_life:"3 min" shelf_opened:"4"`, fault.BadTime, "shelf_opened"},
		{`/material add name:x family:urethane ratio:"1:1 vol" pot_life:"3 min" link:"ask ada"`, fault.BadQuantity, "link"},
		{`/material add name:x family:urethane ratio:"1:1 vol" pot_life:"3 min, 100 g, 23 C, 5 mm"`, fault.BadQuantity, "pot_life"},
	} {
		t.Run(c.line, func(t *testing.T) { refused(t, d, "ada", c.line, c.code, c.option) })
	}
	if r := told(t, d, "cleo", "/material list"); strings.Contains(strings.Join(r.Steps, " "), `"x"`) {
		t.Error("a refused material was stored")
	}
}

func TestMaterialShelf(t *testing.T) {
	d := desk(t)
	golden(t, "material_list", ask(t, d, "cleo", "/material list"))
	golden(t, "material_show", ask(t, d, "cleo", `/material show material:"demo rigid white"`))
	if r := told(t, d, "cleo", "/material find words:silicone"); len(hits(r)) != 2 {
		t.Errorf("silicones: %+v", r.Facts)
	}
	if r := told(t, d, "cleo", `/material find words:"74 d"`); len(hits(r)) != 2 {
		t.Errorf("74 D: %+v", r.Facts)
	}
	if r := told(t, d, "cleo", `/material show material:"rigid slow"`); !said(r, "was read as") {
		t.Errorf("a near name is used without saying so: %q", r.Notes)
	}
}

func TestMaterialRemove(t *testing.T) {
	d := desk(t)
	told(t, d, "bram", bench)
	ans := ask(t, d, "bram", `/material remove material:"bench white"`)
	told(t, d, "bram", `/material show material:"bench white"`)
	if gone := press(t, d, "bram", ans, "Remove it"); gone.Fault != nil || !gone.Replace {
		t.Fatalf("%+v", gone.Fault)
	}
	refused(t, d, "bram", `/material show material:"bench white"`, fault.UnknownMaterial, "material")
	refused(t, d, "cleo", `/material remove material:"demo rigid white" sure:yes`, fault.NotAllowed, "material")
}

func TestMaterialColorCode(t *testing.T) {
	d := desk(t)
	line := `/material add name:"bench %s" family:urethane ratio:"1:1 vol" pot_life:"3 min" cured_color:%s`
	refused(t, d, "ada", fmt.Sprintf(line, "one", "#GG"), fault.BadColor, "cured_color")
	for name, color := range map[string]string{"two": "#F2EFE6", "three": "#fff", "four": "sand"} {
		told(t, d, "ada", fmt.Sprintf(line, name, color))
	}
}

// Nobody is asked whether to remove what they may not.
func TestRemoveIsRefusedAtOnce(t *testing.T) {
	d := desk(t)
	for line, option := range map[string]string{
		`/material remove material:"demo rigid white"`: "material",
		`/mold remove mold:"harbor pawn"`:              "mold",
		`/tint remove tint:"brick red"`:                "tint",
		`/formula remove formula:"block mold rubber"`:  "formula",
		`/stock remove container:#1`:                   "container",
	} {
		refused(t, d, "bram", line, fault.NotAllowed, option)
		if r := told(t, d, "ada", line); !strings.HasPrefix(r.Title, "Remove ") {
			t.Errorf("%s: %q", line, r.Title)
		}
	}
}
