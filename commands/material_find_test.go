package commands_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

// hits are the materials that a search found, in order.
func hits(r *chat.Reply) []string {
	var names []string
	for _, f := range r.Facts {
		if f.Key == "material" {
			names = append(names, strings.TrimPrefix(f.Label, "demo "))
		}
	}
	return names
}

func TestMaterialFind(t *testing.T) {
	d := desk(t)
	for _, c := range []struct {
		line string
		want []string
		note string
	}{
		{`words:silicone`, []string{"addition silicone", "tin silicone"}, "the best fit first"},
		{`words:"WHITE rigid"`, []string{"rigid slow white", "rigid white"}, ""},
		{`words:clear`, []string{"rigid clear", "casting epoxy"}, ""}, // the epoxy by what it cures to
		{`words:"74 d"`, []string{"rigid slow white", "rigid white"}, "read as the hardness 74 D"},
		{`words:"rigd whiet"`, []string{"rigid slow white", "rigid white"}, "No name holds"},
		{`words:"whiet rigd"`, []string{"rigid slow white", "rigid white"}, "No name holds"},
		{`words:zebra`, nil, "/material list"},
		{`family:silicone`, []string{"addition silicone", "tin silicone"}, ""},
		{`family:"tin cure"`, []string{"tin silicone"}, ""},
		{`hardness:"74 D"`, []string{"rigid slow white", "rigid white"}, "Shore D count"},
		{`hardness:"20 to 30 A"`, []string{"addition silicone", "tin silicone"}, "Shore A count"},
		{`hardness:"50 A to 74 D"`, []string{"flexible amber", "rigid slow white", "rigid white"}, "Shore A from 50 A; Shore D up to 74 D"},
		{`hardness:"30 00 to 25 A"`, []string{"addition silicone"}, "Shore 00 from 30 00"},
		{`hardness:"at least 76 D"`, []string{"rigid clear", "casting epoxy"}, ""},
		{`pot_life:"10 min to 30 min"`, []string{"rigid clear", "flexible amber"}, "sorted by pot life"},
		{`pot_life:"10-30 min"`, []string{"rigid clear", "flexible amber"}, ""},
		{`pot_life:"up to 3 min"`, []string{"rigid black", "rigid white"}, ""},
		{`pot_life:8`, []string{"rigid slow white"}, "8 min"},
		{`demold:"15 h or more" family:silicone`, []string{"tin silicone"}, ""},
		{`cost:"under 24"`, []string{"rigid white"}, "sorted by cost"},
		{`words:rigid pot_life:"5 min to 1 h" hardness:"70 D to 80 D" cost:"up to 30"`, []string{"rigid slow white"}, "sorted by hardness"},
	} {
		t.Run(c.line, func(t *testing.T) {
			r := told(t, d, "cleo", "/material find "+c.line)
			if diff := cmp.Diff(c.want, hits(r)); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
			if c.note != "" && !said(r, c.note) {
				t.Errorf("no note says %q: %q", c.note, r.Notes)
			}
			if n := fact(t, r, "found").Value; n != len(c.want) {
				t.Errorf("found says %v", n)
			}
		})
	}
	golden(t, "material_find", ask(t, d, "cleo", `/material find pot_life:"10 min to 1 h" hardness:"20 A to 80 D"`))
}

func TestMaterialFindRefuses(t *testing.T) {
	d := desk(t)
	for _, c := range []struct {
		line   string
		code   fault.Code
		option string
	}{
		{``, fault.MissingOption, "words"},
		{`family:jelly`, fault.NotFound, "family"},
		{`hardness:"60 D to 80 A"`, fault.OutOfRange, "hardness"},
		{`hardness:"80 A to 60 A"`, fault.OutOfRange, "hardness"},
		{`hardness:74`, fault.BadQuantity, "hardness"},
		{`hardness:"20 A to 300 A"`, fault.OutOfRange, "hardness"},
		{`pot_life:"30 min to 10 min"`, fault.OutOfRange, "pot_life"},
		{`pot_life:"10 g to 30 g"`, fault.BadQuantity, "pot_life"},
		{`demold:soon`, fault.BadQuantity, "demold"},
		{`demold:""`, fault.MissingOption, "demold"},
		{`hardness:""`, fault.MissingOption, "hardness"},
		{`words:"a b c d e f g h i"`, fault.LimitReached, "words"},
	} {
		t.Run(c.line, func(t *testing.T) { refused(t, d, "ada", "/material find "+c.line, c.code, c.option) })
	}
}

// A list of very many says how many there are and names the first.
func TestMaterialListOfMany(t *testing.T) {
	d := desk(t)
	for i := range 95 {
		told(t, d, "bram", fmt.Sprintf(`/material add name:"jug %d" family:epoxy ratio:"2:1 vol" pot_life:"30 min"`, i))
	}
	r := told(t, d, "bram", "/material list")
	if len(hits(r)) != 100 || r.Title != "103 materials on your shelf" || !said(r, "The first 100 are listed") {
		t.Errorf("%q lists %d: %q", r.Title, len(hits(r)), r.Notes)
	}
	if r := told(t, d, "bram", "/material find family:epoxy"); len(hits(r)) != 20 || r.Title != "96 materials: epoxy" || !said(r, "76 more fit") {
		t.Errorf("%q finds %d: %q", r.Title, len(hits(r)), r.Notes)
	}
}

// What is not said is counted, and what is out of sight is not.
func TestMaterialFindSight(t *testing.T) {
	d := desk(t)
	told(t, d, "bram", `/material add name:"quiet resin" family:urethane ratio:"1:1 vol" pot_life:"3 min"`)
	if r := told(t, d, "bram", `/material find words:resin hardness:"1 D to 90 D"`); len(hits(r)) != 0 || !said(r, "not saying their hardness", "1 material") {
		t.Errorf("found %q, said %q", hits(r), r.Notes)
	}
	if r := told(t, d, "cleo", `/material find words:resin hardness:"1 D to 90 D"`); said(r, "not saying") {
		t.Errorf("cleo is told of what bram keeps for himself: %q", r.Notes)
	}
	if r := told(t, d, "cleo", `/material find words:"quiet resn"`); len(hits(r)) != 0 {
		t.Errorf("near to what is out of sight: %q", hits(r))
	}
	told(t, d, "bram", `/material share material:"quiet resin"`)
	if r := told(t, d, "cleo", `/material find words:"quiet resn"`); len(hits(r)) != 1 {
		t.Errorf("shared, cleo finds %q", hits(r))
	}
	told(t, d, "ada", `/material pin material:"quiet resin"`)
	if r := told(t, d, "cleo", "/material find family:urethane"); hits(r)[0] != "quiet resin" {
		t.Errorf("pinned, cleo finds %q", hits(r))
	}
	told(t, d, "ada", `/material hide material:"quiet resin"`)
	for who, want := range map[string]int{"cleo": 0, "bram": 1, "ada": 1} {
		for _, words := range []string{"quiet resin", "quiet resn"} {
			if r := told(t, d, who, fmt.Sprintf("/material find words:%q", words)); len(hits(r)) != want {
				t.Errorf("hidden, %s finds %q", who, hits(r))
			}
		}
	}
}

func TestMaterialCompare(t *testing.T) {
	d := desk(t)
	r := told(t, d, "cleo", `/material compare material:"demo rigid white, demo rigid clear" second:"demo tin silicone" mold:"harbor pawn"`)
	if diff := cmp.Diff([]string{"demo rigid white", "demo rigid clear", "demo tin silicone"}, r.Table.Things); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	near(t, r, "pot_life_1", 180, 1e-9)
	near(t, r, "demold_2", 9000, 1e-9)
	// 68.00 a pack of 1.8 kg; 37.2 mL of a mix of 180/(100/1.08 + 80/1.04) g/mL.
	near(t, r, "cost_kg_2", 68/1.8, 1e-9)
	near(t, r, "cost_fill_2", 68/1800.0*37.2*180/(100/1.08+80/1.04), 1e-9)
	if f := fact(t, r, "cost_kg_3"); f.Unit != "GBP" {
		t.Errorf("cost in %q", f.Unit)
	}
	rows := map[string]chat.TableRow{}
	for i, row := range r.Table.Rows {
		rows[row.Label] = row
		if i > 0 && row.Differs && !r.Table.Rows[i-1].Differs {
			t.Errorf("%s differs and stands behind what does not", row.Label)
		}
	}
	if row := rows["Coldest room"]; row.Differs || row.Says() != "the same" {
		t.Errorf("coldest room: %+v", row)
	}
	if row := rows["Hardness"]; !row.Differs || row.Cells[2] != "28 A" {
		t.Errorf("hardness: %+v", row)
	}
	if !said(r, "same Shore scale") || !said(r, "same thickness") {
		t.Errorf("what can't be compared is not said: %q", r.Notes)
	}
	golden(t, "material_compare", ask(t, d, "cleo", `/material compare material:"demo rigid white" second:"demo rigid clear"`))

	// Its buttons mean the versions that were compared.
	before := ask(t, d, "cleo", `/material compare material:"demo rigid white, demo rigid clear"`)
	told(t, d, "ada", `/material edit material:"demo rigid white" pot_life:"4 min"`)
	posted := press(t, d, "cleo", before, "Post here")
	near(t, posted.Reply, "pot_life_1", 180, 1e-9)

	// A search leads here.
	found := ask(t, d, "cleo", "/material find words:rigid")
	if r := press(t, d, "cleo", found, "Compare the first 4"); r.Reply == nil || len(r.Reply.Table.Things) != 4 {
		t.Errorf("%+v", r.Fault)
	}
}

func TestMaterialCompareRefuses(t *testing.T) {
	d := desk(t)
	for _, c := range []struct {
		line   string
		code   fault.Code
		option string
	}{
		{`material:"demo rigid white"`, fault.MissingOption, "second"},
		{`material:"demo rigid white, demo rigid white"`, fault.TooManyOptions, "material"},
		{`material:"demo rigid white" second:"Demo Rigid White"`, fault.TooManyOptions, "second"},
		{`material:"demo rigid white, demo rigid clear, demo rigid black, demo casting epoxy, demo tin silicone"`, fault.TooManyOptions, "material"},
		{`material:"demo rigid white" second:zebra`, fault.UnknownMaterial, "second"},
		{`material:"demo rigid white, demo rigid clear" mold:"harbor pawn" volume:"10 ml"`, fault.TooManyOptions, "volume"},
	} {
		t.Run(c.line, func(t *testing.T) { refused(t, d, "ada", "/material compare "+c.line, c.code, c.option) })
	}
}

// FuzzMaterialFind: whatever is typed for a search or a comparison is answered
// or refused in words.
func FuzzMaterialFind(f *testing.F) {
	for _, seed := range []string{"", "\u202e", "10 min to 30 min", "60 A to 80 D", "00-30", "up to", "to", " to ", "1e9 to -1", "≥ 5 min", "5 min or less or more", "100 00", "to 3 min to", "a, b, #1, #1@99", "\u202e1 min", "1 min..", "between 1 and 2 min", "9999999999999999999 A"} {
		f.Add(seed)
	}
	d := desk(f)
	f.Fuzz(func(t *testing.T, typed string) {
		for _, option := range []string{"words", "family", "hardness", "pot_life", "demold", "cost"} {
			answeredOrRefused(t, d, chat.FormatLine("material find", map[string]string{option: typed}, nil))
		}
		answeredOrRefused(t, d, chat.FormatLine("material compare", map[string]string{"material": typed, "second": "demo rigid white"}, nil))
	})
}

func answeredOrRefused(t *testing.T, d *chat.Dispatcher, line string) {
	t.Helper()
	switch ans := ask(t, d, "cleo", line); {
	case ans.Fault == nil:
	case ans.Fault.Code == fault.Internal:
		t.Errorf("%s: %v: %v", line, ans.Fault, ans.Fault.Unwrap())
	case ans.Fault.HintText() == "":
		t.Errorf("%s: refused without a hint: %v", line, ans.Fault)
	}
}
