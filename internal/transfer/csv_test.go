package transfer_test

import (
	"encoding/binary"
	"fmt"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/transfer"
)

// utf16Of is a text as some spreadsheets save it.
func utf16Of(text string, order binary.AppendByteOrder, mark bool) string {
	var out []byte
	if mark {
		out = order.AppendUint16(out, 0xFEFF)
	}
	for _, u := range utf16.Encode([]rune(text)) {
		out = order.AppendUint16(out, u)
	}
	return string(out)
}

const plainSheet = "name,family,ratio,pot_life_s,density_a_g_ml,notes\nbench white,urethane,1:1 vol,180,1.1,stir\n"

// However a spreadsheet saves a table, it says the same.
func TestSpreadsheetsQuirks(t *testing.T) {
	w := emptied(t)
	w.imported(t, w.ada, []byte(plainSheet), transfer.Materials, transfer.Choice{})
	for _, c := range []struct{ name, text string }{
		{"as it is", plainSheet},
		{"a byte order mark", "\uFEFF" + plainSheet},
		{"CRLF", strings.ReplaceAll(plainSheet, "\n", "\r\n")},
		{"CR alone", strings.ReplaceAll(plainSheet, "\n", "\r")},
		{"UTF-16, little end first", utf16Of(plainSheet, binary.LittleEndian, true)},
		{"UTF-16, big end first", utf16Of(plainSheet, binary.BigEndian, true)},
		{"UTF-16 without a mark", utf16Of(plainSheet, binary.LittleEndian, false)},
		{"UTF-16 without a mark, big end first", utf16Of(plainSheet, binary.BigEndian, false)},
		{"semicolons", strings.ReplaceAll(plainSheet, ",", ";")},
		{"tabs", strings.ReplaceAll(plainSheet, ",", "\t")},
		{"semicolons and decimal commas", strings.ReplaceAll(strings.ReplaceAll(plainSheet, ",", ";"), "1.1", "1,1")},
		{"a line that names the separator", "sep=;\n" + strings.ReplaceAll(plainSheet, ",", ";")},
		{"no line break at the end", strings.TrimSuffix(plainSheet, "\n")},
		{"empty rows and columns", strings.ReplaceAll(plainSheet, "\n", ",,,\n") + ",,,,,,,,\n\n,,,,,,,,\n"},
		{"heads in capitals with spaces", "Name,FAMILY,Ratio,Pot life (s),Density A g/mL,Notes\nbench white,urethane,1:1 vol,180,1.1,stir\n"},
		{"units in the cells", "name,family,ratio,pot_life_s,density_a_g_ml,notes\nbench white,urethane,1:1 vol,3 min,1100 kg/m3,stir\n"},
		{"other units in the heads", "name,family,ratio,pot life min,density_a_kg/m3,notes\nbench white,urethane,1:1 vol,3,1100,stir\n"},
		{"no units in the heads", "name,family,ratio,pot life,density a,notes\nbench white,urethane,1:1 vol,3 min,1.1 g/ml,stir\n"},
		{"the trade's names", "name,family,ratio,pot_life_s,density_a_g_ml,notes\nbench white,polyurethane,1 : 1 by volume,180,1.1,stir\n"},
		{"other order, other case of the name", "ratio,name,family,notes,density_a_g_ml,pot_life_s\n1:1 vol,bench white,urethane,stir,1.10,180.0\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			rep := w.looked(t, w.ada, c.text, transfer.Materials)
			if rep.Rows() != 1 || rep.Count(transfer.Same) != 1 || len(rep.Left) != 0 {
				t.Errorf("%+v", rep)
			}
		})
	}
}

// A row that can't be taken is named by the line and column that a spreadsheet
// shows, with what is wrong and what to write.
func TestBadRows(t *testing.T) {
	const head = "name,family,ratio,pot_life_s,density_a_g_ml,demold_s,notes\n"
	for _, c := range []struct{ name, rows, where, message, hint string }{
		{"no name", ",urethane,1:1 vol,180,,,\n", "line 2, column A (name)", "no name", "rigid white"},
		{"no pot life", "x,urethane,1:1 vol,,,,\n", "line 2, column D (pot_life_s)", "no pot life", "3 min"},
		{"two silicones", "x,silicone,1:1 vol,180,,,\n", "line 2, column B (family)", "two kinds of silicone", "condensation"},
		{"a ratio without its basis", "x,urethane,1:1,180,,,\n", "line 2, column C (ratio)", "weight or by volume", "wt"},
		{"a thousand or one", "x,urethane,1:1 vol,\"1,000\",,,\n", "line 2, column D (pot_life_s)", "1.000 or as 1000", "write 1.000 or 1000"},
		{"a decimal comma between commas", "x,urethane,1:1 vol,180,\"1,1\",,\n", "line 2, column E (density_a_g_ml)", "fields are apart by commas", "1.1"},
		{"a word", "x,urethane,1:1 vol,soon,,,\n", "line 2, column D (pot_life_s)", "soon", "such as 45 min"},
		{"another dimension", "x,urethane,1:1 vol,180 g,,,\n", "line 2, column D (pot_life_s)", "180 g", ""},
		{"out of range", "x,urethane,1:1 vol,180,11,,\n", "line 2, column E (density_a_g_ml)", "outside", "lb/gal"},
		{"after line breaks in quotes and empty rows", "a,urethane,1:1 vol,180,,,\"one\ntwo\nthree\"\n\n\nb,urethane,1:1 vol,soon,,,\n", "line 5, column D (pot_life_s)", "soon", ""},
		{"the same name twice", "a,urethane,1:1 vol,180,,,\nA,urethane,1:1 vol,190,,,\n", "line 3, column A (name)", "the material of line 2 has that name", "name of its own"},
		{"values that do not fit", "x,urethane,1:1 vol,180,,60,\n", "line 2, column F (demold_s)", "not after", "order"},
		{"endless", "x,urethane,1:1 vol,1e999,,,\n", "line 2, column D (pot_life_s)", "1e999", ""},
		{"a novel", "x,urethane,1:1 vol,180,,," + strings.Repeat("n", 1001) + "\n", "line 2, column G (notes)", "1001 characters", "shorten"},
		{"a library", "x,urethane,1:1 vol,180,,," + strings.Repeat("n", 9000) + "\n", "line 2, column G (notes)", "9000 bytes", "shorten"},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := emptied(t)
			rep := w.looked(t, w.ada, head+c.rows, transfer.Materials)
			if rep.Count(transfer.Refused) != 1 {
				t.Fatalf("%+v", rep)
			}
			for _, e := range rep.Parts[0].Entries {
				if e.Verdict != transfer.Refused {
					continue
				}
				p := e.Problems[0]
				if p.Where != c.where || !strings.Contains(p.Message, c.message) || !strings.Contains(p.Hint, c.hint) || p.Hint == "" {
					t.Errorf("got %+v", p)
				}
			}
		})
	}
}

// Decimals with a comma are read between semicolons and tabs, and only where
// nothing in the file says otherwise.
func TestDecimalCommas(t *testing.T) {
	for _, c := range []struct {
		name, a, b string
		want       float64 // density of a; 0: refused
	}{
		{"commas", "1,1", "1,02", 1.1},
		{"three decimals, in a file of decimal commas", "1,125", "1,02", 1.125},
		{"three decimals, and nothing to tell by", "1,125", "1", 0},
		{"three decimals, and points elsewhere", "1,125", "1.02", 0},
		{"a point, in a file of decimal commas", "1.1", "1,02", 1.1},
		{"grouped digits with a point, in a file of decimal commas", "1.125", "1,02", 0},
		{"a point with three decimals", "1.125", "1", 1.125},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := emptied(t)
			rep := w.looked(t, w.ada, "name;family;ratio;pot_life_s;density_a_g_ml;density_b_g_ml\nx;urethane;1:1 vol;180;"+c.a+";"+c.b+"\n", transfer.Materials)
			e := rep.Parts[0].Entries[0]
			switch {
			case c.want == 0 && (e.Verdict != transfer.Refused || !strings.Contains(e.Problems[0].Message, "can be read as")):
				t.Errorf("got %+v, want a refusal", e)
			case c.want != 0 && e.Verdict != transfer.Fresh:
				t.Errorf("got %+v", e)
			}
			if c.want == 0 {
				return
			}
			w.imported(t, w.ada, []byte("name;family;ratio;pot_life_s;density_a_g_ml;density_b_g_ml\nx;urethane;1:1 vol;180;"+c.a+";"+c.b+"\n"), transfer.Materials, transfer.Choice{})
			if all, err := w.Materials(w.ctx, w.ada); err != nil || len(all) != 1 || all[0].DensityA != c.want {
				t.Errorf("kept %+v, %v", all, err)
			}
		})
	}
}

// A file that is none is refused with what to do about it.
func TestBadFiles(t *testing.T) {
	for _, c := range []struct {
		name, text string
		kind       transfer.Kind
		code       fault.Code
		says       string
	}{
		{"nothing", "", transfer.Materials, fault.BadFile, "empty"},
		{"blanks", " \r\n \n", transfer.Materials, fault.BadFile, "empty"},
		{"a spreadsheet's own format", "PK\x03\x04\x14\x00", transfer.Materials, fault.BadFile, "save it as CSV"},
		{"another encoding", "name,notes\nx,22 \xb0C\n", transfer.Materials, fault.BadFile, "line 2"},
		{"a picture", "\x89PNG\r\n\x1a\n\x00\x00\x00\x0dIHDR", transfer.Materials, fault.BadFile, "no UTF-8"},
		{"half of UTF-16", "\xff\xfen", transfer.Materials, fault.BadFile, "UTF"},
		{"CSV of no kind", plainSheet, "", fault.MissingOption, "kind:materials"},
		{"molds for materials", "volume_ml,cavities\n6,6\n", transfer.Materials, fault.BadFile, "names no column"},
		{"two columns of one name", "name,Name\nx,y\n", transfer.Materials, fault.BadFile, "columns A and B"},
		{"an open quotation mark", "name,notes\nx,\"y\nz,w\n", transfer.Materials, fault.BadFile, "quotation mark"},
		{"a mark in the middle", "name,notes\nx,y \"z\" w\n", transfer.Materials, fault.BadFile, "line 2"},
		{"a thousand columns", strings.Repeat("name,", 1000) + "\n", transfer.Materials, fault.HostileFile, "1001 fields"},
		{"a thousand fields", "name\n" + strings.Repeat("x,", 1000) + "\n", transfer.Materials, fault.HostileFile, "1001 fields"},
		{"too many rows", "name\n" + strings.Repeat("x\n", 20002), transfer.Materials, fault.FileTooLarge, "20000 rows"},
		{"too large", strings.Repeat(" ", transfer.MaxBytes+1), transfer.Materials, fault.FileTooLarge, "16 MB"},
		{"no JSON", "{nonsense", "", fault.BadFile, "line 1"},
		{"half a JSON", `{"schema": "pourwright/1", "materials": [`, "", fault.BadFile, "ends in the middle"},
		{"a list", `[1]`, "", fault.BadFile, "no JSON object"},
		{"no schema", `{"materials": []}`, "", fault.BadFile, "schema"},
		{"a newer schema", `{"schema": "pourwright/2", "materials": []}`, "", fault.BadFile, "pourwright/2"},
		{"a schema of numbers", `{"schema": 1}`, "", fault.BadFile, "schema"},
		{"nothing known", `{"schema": "pourwright/1", "cats": [{}]}`, "", fault.BadFile, "nothing that can be taken"},
		{"not what was asked for", `{"schema": "pourwright/1", "molds": []}`, transfer.Materials, fault.BadFile, "no materials"},
		{"an object for a list", `{"schema": "pourwright/1", "molds": {}}`, "", fault.BadFile, "no list"},
		{"a number for a row", `{"schema": "pourwright/1", "molds": [1]}`, "", fault.BadFile, "entry 1"},
		{"an object for a value", `{"schema": "pourwright/1", "molds": [{"name": {}}]}`, "", fault.BadFile, "plain value"},
		{"a list of numbers", `{"schema": "pourwright/1", "pours": [{"answers": [1]}]}`, "", fault.BadFile, "something else than texts"},
		{"a name twice", `{"schema": "pourwright/1", "molds": [{"name": "a", "name": "b"}]}`, "", fault.BadFile, "twice"},
		{"a kind twice", `{"schema": "pourwright/1", "molds": [], "molds": []}`, "", fault.BadFile, "twice"},
		{"more after the end", `{"schema": "pourwright/1", "molds": []} {}`, "", fault.BadFile, "follows"},
		{"depth", `{"schema": "pourwright/1", "x": ` + strings.Repeat("[", 100000) + `}`, "", fault.HostileFile, "nested"},
		{"depth in a row", `{"schema": "pourwright/1", "molds": [{"x": ` + strings.Repeat(`{"y":`, 100000) + `}]}`, "", fault.HostileFile, "nested"},
		{"a thousand names", `{"schema": "pourwright/1", "molds": [{` + manyNames(1000) + `}]}`, "", fault.HostileFile, "too many names"},
		{"values without end", `{"schema": "pourwright/1", "x": [` + strings.Repeat("1,", 2000) + `1]}`, "", fault.HostileFile, "not known here"},
		{"more values than a file can have", `{"schema": "pourwright/1", "molds": [` + strings.Repeat("{"+manyNames(90)+"},", 14000) + `{}]}`, "", fault.HostileFile, "2500000 values"},
		{"a list without end", `{"schema": "pourwright/1", "pours": [{"answers": [` + strings.Repeat(`"soft 1",`, 300) + `"soft 1"]}]}`, "", fault.HostileFile, "more than 200 entries"},
		{"too many rows of JSON", `{"schema": "pourwright/1", "molds": [` + strings.Repeat("{},", 20001) + `{}]}`, "", fault.FileTooLarge, "20000 rows"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := transfer.Read([]byte(c.text), c.kind)
			f := fault.As(err)
			if f == nil {
				t.Fatalf("got %v, want %s", err, c.code)
			}
			if f.Code != c.code || !strings.Contains(f.Message+" / "+f.HintText(), c.says) || f.HintText() == "" {
				t.Errorf("got %v / %s, want %s saying %q", f, f.HintText(), c.code, c.says)
			}
		})
	}
}

func manyNames(n int) string {
	var all []string
	for i := range n {
		all = append(all, fmt.Sprintf(`"n%d":1`, i))
	}
	return strings.Join(all, ",")
}

// A decimal comma between commas is two fields: the row is refused, and its
// first half is not taken for the number.
func TestTooWide(t *testing.T) {
	w := emptied(t)
	rep := w.looked(t, w.ada, "name,family,volume_ml\nA,latex,12,5\nB,latex,12.5,,\n", transfer.Molds)
	rows := rep.Parts[0].Entries
	if len(rows) != 2 || rep.Count(transfer.Refused) != 1 || rep.Count(transfer.Fresh) != 1 {
		t.Fatalf("got %+v, want A refused and B new", rows)
	}
	if where := rows[0].Problems[0].Where; where != "line 2" {
		t.Errorf("it is told at %q, want line 2", where)
	}
}

// A day that a spreadsheet wrote its own way is refused with the way to write
// it.
func TestDayIsAskedForInOneWay(t *testing.T) {
	w := emptied(t)
	rep := w.looked(t, w.ada, "name,family,volume_ml,made_on\nA,latex,12,01.03.2026\n", transfer.Molds)
	if rows := rep.Parts[0].Entries; rep.Count(transfer.Refused) != 1 || !strings.Contains(rows[0].Problems[0].Hint, "2026-03-01") {
		t.Errorf("got %+v, want a hint of 2026-03-01", rows)
	}
}

// What is not known is said, never dropped in silence.
func TestLeftOut(t *testing.T) {
	w := emptied(t)
	rep := w.looked(t, w.ada, "name,colour,family,ratio,pot_life_s,\nx,red,urethane,1:1 vol,180,5\n", transfer.Materials)
	if got := strings.Join(rep.Left, "; "); got != `column B, "colour", is not one that is known; column F has no name` {
		t.Errorf("left %q", got)
	}
	rep = w.looked(t, w.ada, `{"schema": "pourwright/1", "by": "me", "molds": [{"name": "m", "color": "red"}], "tints": []}`, transfer.Molds)
	if got := strings.Join(rep.Left, "; "); got != `"by" is not one that is known; "color" of molds is not one that is known; tints: molds alone were asked for` {
		t.Errorf("left %q", got)
	}
}
