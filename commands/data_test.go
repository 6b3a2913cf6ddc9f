package commands_test

import (
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

// sent is a line with a file beside it.
func sent(t testing.TB, d *chat.Dispatcher, as, line, file string) chat.Answer {
	t.Helper()
	inv := calling(as)
	inv.Line, inv.Files = line, map[string]chat.File{"": {Name: "sheet.csv", Data: []byte(file)}}
	return d.Do(t.Context(), inv)
}

// brought is sent where a reply is wanted.
func brought(t testing.TB, d *chat.Dispatcher, as, line, file string) *chat.Reply {
	t.Helper()
	ans := sent(t, d, as, line, file)
	if ans.Reply == nil {
		t.Fatalf("%s: got %v, want a reply", line, ans.Fault)
	}
	return ans.Reply
}

const sheet = "Name;Family;Ratio;Pot life (min);Density A g/mL;price;shade\n" +
	"bench white;urethane;1:1 vol;3;1,10;42,5;bright\n" +
	"demo rigid white;urethane;1:1 vol;3;1,10;50;\n" +
	"bad one;silicone;1:1;soon;;;\n"

func TestDataImport(t *testing.T) {
	d := desk(t)
	golden(t, "data_import_look", sent(t, d, "ada", "/data import kind:materials", sheet))
	refused(t, d, "ada", `/material show material:"bench white" show:no`, fault.UnknownMaterial, "material")
	for _, c := range []struct {
		line, option string
		code         fault.Code
	}{
		{"/data import kind:materials sure:yes", "file", fault.BadFile},
		{"/data import kind:materials sure:yes skip_bad:yes", "on_clash", fault.MissingOption},
		{"/data import kind:all", "kind", fault.MissingOption},
	} {
		ans := sent(t, d, "ada", c.line, sheet)
		if ans.Fault == nil || ans.Fault.Code != c.code || ans.Fault.Option != c.option || ans.Fault.HintText() == "" {
			t.Errorf("%s: %v", c.line, ans.Fault)
		}
	}
	if r := brought(t, d, "ada", "/data import kind:molds", sheet); fact(t, r, "refused").Value != 3 {
		t.Errorf("materials taken for molds: %+v", r.Facts)
	}
	done := sent(t, d, "ada", "/data import kind:materials sure:yes skip_bad:yes on_clash:replace", sheet)
	golden(t, "data_import", done)
	if got := fact(t, told(t, d, "ada", `/material show material:"bench white"`), "pot_life").Value; got != 180.0 {
		t.Errorf("pot life %v, want 180 s", got)
	}
	if f := fact(t, told(t, d, "ada", `/material show material:"demo rigid white"`), "price"); f.Value != 50.0 {
		t.Errorf("price %v", f.Value)
	}
	// bram has his own shelf: ada's shared one is not his to change, so it is new to him.
	r := brought(t, d, "bram", "/material import", sheet)
	if fact(t, r, "new").Value != 2 || fact(t, r, "changed").Value != 0 {
		t.Errorf("bram: %+v", r.Facts)
	}
}

// What one member exports another brings in, and what is bad is told of a mold
// by its own checks too.
func TestDataExport(t *testing.T) {
	d := desk(t)
	golden(t, "data_export", ask(t, d, "ada", "/data export kind:all"))
	r := told(t, d, "ada", "/data export kind:molds")
	if len(r.Files) != 1 || r.Files[0].Name != "molds.csv" || !strings.Contains(string(r.Files[0].Data), "harbor pawn 2,condensation,6.2,6,") || strings.Contains(string(r.Files[0].Data), "shell knob") {
		t.Errorf("files %+v", r.Files)
	}
	done := brought(t, d, "cleo", "/data import kind:molds sure:yes", string(r.Files[0].Data))
	if fact(t, done, "added").Value != 3 {
		t.Errorf("facts %+v", done.Facts)
	}
	all := told(t, d, "ada", "/data export kind:all")
	whole := brought(t, d, "dora", "/data import kind:all sure:yes", string(all.Files[0].Data))
	sum := 0
	for _, kind := range []string{"materials", "molds", "tints", "formulas", "pulls", "pours", "containers"} {
		sum += fact(t, all, kind).Value.(int)
	}
	if fact(t, whole, "added").Value != sum {
		t.Errorf("facts %+v, want %d added", whole.Facts, sum)
	}
	if got := told(t, d, "dora", "/data export kind:all"); string(got.Files[0].Data) != string(all.Files[0].Data) {
		t.Error("what came in does not go out as it was")
	}
	if n := len(told(t, d, "ada", "/data export kind:all format:csv").Files); n != 7 {
		t.Errorf("%d files, want one a kind", n)
	}
	empty := told(t, d, "dora", "/data export kind:pulls")
	if !strings.Contains(empty.Title, "names of the columns") {
		t.Errorf("title %q", empty.Title)
	}
}

func TestMaterialExport(t *testing.T) {
	d := desk(t)
	r := told(t, d, "bram", `/material export material:"demo rigid white" format:json`)
	if !strings.Contains(string(r.Files[0].Data), `"name": "demo rigid white"`) || strings.Count(string(r.Files[0].Data), `"name"`) != 1 {
		t.Errorf("%s", r.Files[0].Data)
	}
	if done := brought(t, d, "bram", "/material import sure:yes", string(r.Files[0].Data)); fact(t, done, "added").Value != 1 {
		t.Errorf("facts %+v", done.Facts)
	}
	refused(t, d, "bram", `/material export material:"no such thing"`, fault.UnknownMaterial, "material")
}

// A tint and a formula are judged as they are when they are typed.
func TestDataChecks(t *testing.T) {
	d := desk(t)
	r := brought(t, d, "ada", "/data import kind:formulas", "name,text\nsum,1 + 1\nbad,\"1 +\"\nloop,\"map(1..3, # * 2)\"\n")
	if fact(t, r, "new").Value != 1 || fact(t, r, "refused").Value != 2 {
		t.Errorf("formulas: %+v", r.Facts)
	}
	r = brought(t, d, "ada", "/data import kind:tints", "name,family,base,base_color,dose_fraction,swatch,quality\nred,colored,demo rigid white,#F2EFE6,0.5 %,#C9837F,careful\ncode,colored,demo rigid white,#F2EFE6,0.5 %,#C9,careful\nnone,colored,demo rigid white,#F2EFE6,,#C9837F,careful\n")
	if fact(t, r, "new").Value != 1 || fact(t, r, "refused").Value != 2 {
		t.Errorf("tints: %+v", r.Facts)
	}
}

// A button can't bring a file along, so nothing offers one that would.
func TestDataImportNeedsTheFile(t *testing.T) {
	d := desk(t)
	refused(t, d, "ada", "/data import kind:materials", fault.MissingOption, "file")
	refused(t, d, "ada", "/data import kind:materials file:#1234", fault.BadFile, "file")
}
