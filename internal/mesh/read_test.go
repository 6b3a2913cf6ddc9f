package mesh_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/mesh/meshtest"
)

const core = `xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02"`

// tetra is the inside of an object: a corner of a cube of the given side.
func tetra(side float64) string {
	return fmt.Sprintf(`<mesh><vertices><vertex x="0" y="0" z="0"/><vertex x="%v" y="0" z="0"/><vertex x="0" y="%v" z="0"/><vertex x="0" y="0" z="%v"/></vertices>`+
		`<triangles><triangle v1="0" v2="2" v3="1"/><triangle v1="0" v2="1" v3="3"/><triangle v1="0" v2="3" v3="2"/><triangle v1="1" v2="2" v3="3"/></triangles></mesh>`, side, side, side)
}

func model(attrs, resources, build string) []byte {
	return meshtest.Zip(map[string]string{"_rels/.rels": meshtest.Rels, "3D/3dmodel.model": `<?xml version="1.0"?>` +
		`<model ` + core + ` ` + attrs + `><resources>` + resources + `</resources><build>` + build + `</build></model>`})
}

func TestThreeMF(t *testing.T) {
	object := func(id int, kind string) string {
		return fmt.Sprintf(`<object id="%d" type="%s">%s</object>`, id, kind, tetra(6))
	}
	const v = 36.0 // 6³/6
	tests := []struct {
		name   string
		data   []byte
		volume float64
		placed int
	}{
		{"millimeter by default", model("", object(1, "model"), `<item objectid="1"/>`), v, 1},
		{"foot", model(`unit="foot"`, object(1, "model"), `<item objectid="1"/>`), v * 304.8 * 304.8 * 304.8, 1},
		{"micron", model(`unit="micron"`, object(1, "model"), `<item objectid="1"/>`), v * 1e-9, 1},
		{"mirror keeps the sign", model("", object(1, "model"), `<item objectid="1" transform="-2 0 0 0 1 0 0 0 1 5 6 7"/>`), 2 * v, 1},
		{"support has no volume", model("", object(1, "model")+object(2, "support"), `<item objectid="1"/><item objectid="2"/>`), v, 1},
		{"component, then item", model("", object(1, "model")+`<object id="2"><components><component objectid="1" transform="1 0 0 0 1 0 0 0 1 100 0 0"/><component objectid="1"/></components></object>`,
			`<item objectid="2" transform="2 0 0 0 2 0 0 0 2 0 0 0"/>`), 16 * v, 2},
		{"other namespaces are passed over", model(`xmlns:s="http://example.test/slice"`, `<s:stack><s:vertices><s:vertex x="9"/></s:vertices><s:object id="1"/></s:stack>`+object(1, "model"), `<item objectid="1"/>`), v, 1},
		{"comment, CDATA, entity, single quotes", model(``, `<!-- <object> --><![CDATA[ <mesh> ]]>`+strings.ReplaceAll(object(1, "model"), `x="6"`, `x='&#54;'`), `<item objectid="1"/>`), v, 1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			m, r := measure(t, tt.data)
			if !near(r.Volume, tt.volume, 1e-12, 0) || m.Placed != tt.placed {
				t.Errorf("volume %g in %d meshes, want %g in %d", r.Volume, m.Placed, tt.volume, tt.placed)
			}
		})
	}
}

func TestRefusals(t *testing.T) {
	one := `<object id="1">` + tetra(1) + `</object>`
	item := `<item objectid="1"/>`
	deep := strings.Repeat("<a>", 70) + strings.Repeat("</a>", 70)
	chain := one
	for i := 2; i < 40; i++ {
		chain += fmt.Sprintf(`<object id="%d"><components><component objectid="%d"/></components></object>`, i, i-1)
	}
	tests := []struct {
		name string
		data string
		code fault.Code
		say  string
	}{
		{"not text, not binary", "\x01\x02\x03", fault.BadFile, "not a mesh"},
		{"PDF", "%PDF-1.4", fault.BadFile, "PDF"},
		{"text STL, wrong word", "solid x\nfacets\n", fault.BadFile, "line 2 has 'facets'"},
		{"text STL, comma", "solid\nfacet normal 0 0 0\nouter loop\nvertex 1,5 0 0\n", fault.BadFile, "line 4 has '1,5'"},
		{"text STL, not a number", "solid\nfacet\nouter loop\nvertex nan 0 0\n", fault.BadFile, "line 4 has a coordinate that is not a finite number"},
		{"text STL, hexadecimal", "solid\nfacet\nouter loop\nvertex 0x1p3 0 0\n", fault.BadFile, "line 4"},
		{"text STL, beyond the limit", "solid\nfacet\nouter loop\nvertex 1e8 0 0\n", fault.BadFile, "beyond"},
		{"OBJ, two corners", "v 0 0 0\nv 1 0 0\nf 1 2\n", fault.BadFile, "line 3: a face with 2 corners"},
		{"OBJ, zero", "v 0 0 0\nf 0 1 1\n", fault.BadFile, "line 2: a face points to '0'"},
		{"OBJ, short point", "v 0 0\n", fault.BadFile, "line 1: a point needs"},
		{"OBJ, markup in the name", "v 0 0 0\nf <b>@everyone 1 1\n", fault.BadFile, "'?b??everyone'"},
		{"OBJ, long line", "v 0 0 0\nf " + strings.Repeat("1 ", 40_000) + "\n", fault.HostileFile, "longer than 64 kB"},
		{"OBJ, long joined line", "v 0 0 0\nf " + strings.Repeat("1 \\\n", 40_000) + "\n", fault.HostileFile, "longer than 64 kB"},
		{"PLY, no end of header", "ply\nformat ascii 1.0\n", fault.BadFile, "end_header"},
		{"PLY, strange format", "ply\nformat ebcdic 1.0\nend_header\n", fault.BadFile, "'ebcdic'"},
		{"PLY, strange type", "ply\nformat ascii 1.0\nelement vertex 1\nproperty quad x\nend_header\n", fault.BadFile, "line 4"},
		{"PLY, missing y", "ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nend_header\n1\n", fault.BadFile, "x, y and z"},
		{"3MF, deep XML", string(model("", deep+one, item)), fault.HostileFile, "nested more than 64"},
		{"3MF, deep components", string(model("", chain, `<item objectid="39"/>`)), fault.HostileFile, "nested more than 32"},
		{"3MF, huge tag", string(model("", `<metadata name="`+strings.Repeat("x", 70_000)+`"/>`+one, item)), fault.HostileFile, "more than 64 kB"},
		{"3MF, many attributes", string(model("", `<metadata `+attributes(70)+`/>`+one, item)), fault.HostileFile, "attributes"},
		{"3MF, unknown entity", string(model("", `<metadata name="&x;"/>`+one, item)), fault.BadFile, "entity"},
		{"3MF, wrong closing tag", string(model("", `<a></b>`+one, item)), fault.BadFile, "closing tag 'b'"},
		{"3MF, needs what is not known", string(model(`xmlns:q="http://example.test/q" requiredextensions="q"`, one, item)), fault.BadFile, "extension 'q'"},
		{"3MF, object twice", string(model("", one+one, item)), fault.BadFile, "twice"},
		{"3MF, part that is not there", string(model(`xmlns:p="http://schemas.microsoft.com/3dmanufacturing/production/2015/06"`, one, `<item objectid="1" p:path="/3D/none.model"/>`)), fault.BadFile, "no part '3d/none.model'"},
		{"zip, no 3MF", string(meshtest.Zip(map[string]string{"part.stl": "solid"})), fault.BadFile, "no 3MF"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := mesh.Read([]byte(tt.data), mesh.ChatLimits(), nil)
			if !fault.Is(err, tt.code) || !strings.Contains(err.Error(), tt.say) {
				t.Fatalf("err = %v, want %s with %q", err, tt.code, tt.say)
			}
			checkRefusal(t, err)
		})
	}
}

func attributes(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, `a%d="" `, i)
	}
	return b.String()
}

func TestLimits(t *testing.T) {
	ball := meshtest.Icosphere([3]float64{}, 10, 2) // 320 triangles
	for name, data := range map[string][]byte{
		"STL": ball.STL(""), "text STL": ball.STLText(), "OBJ": ball.OBJ(), "PLY": ball.PLYText(), "3MF": ball.ThreeMF("inch"),
	} {
		for _, tt := range []struct {
			what string
			set  func(*mesh.Limits)
		}{
			{"bytes", func(l *mesh.Limits) { l.Bytes = int64(len(data)) - 1 }},
			{"triangles", func(l *mesh.Limits) { l.Triangles = 319 }},
		} {
			lim := mesh.ChatLimits()
			tt.set(&lim)
			if _, err := mesh.Read(data, lim, nil); !fault.Is(err, fault.FileTooLarge) {
				t.Errorf("%s, %s: %v, want file_too_large", name, tt.what, err)
			}
		}
		lim := mesh.ChatLimits()
		lim.Bytes, lim.Triangles = int64(len(data)), 320
		if _, err := mesh.Read(data, lim, nil); err != nil {
			t.Errorf("%s at its limits: %v", name, err)
		}
	}
}

func TestOddButReadable(t *testing.T) {
	tests := []struct {
		name, data string
		triangles  int
		note       string
	}{
		{"text STL in capitals, two solids, CRLF", strings.ToUpper(strings.ReplaceAll(oneFacet+oneFacet, "\n", "\r\n")), 2, ""},
		{"text STL on one line", strings.ReplaceAll(strings.Replace(oneFacet, "solid a\n", "", 1), "\n", " "), 0, ""},
		{"text STL without endsolid", strings.Replace(oneFacet, "endsolid\n", "", 1), 1, "'endsolid' is missing"},
		{"OBJ, negative, slashes, colors, joined lines", "\xef\xbb\xbf# hi\nv 0 0 0 1 1 1\nv 1 0 0\nv 0 1 0\nvn 0 0 1\nf -3//1 \\\n 2/1/1 3 # end\n", 1, ""},
		{"OBJ, five corners", "v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nv -1 0.5 0\nf 1 2 3 4 5\n", 3, ""},
		{"PLY, faces first, other columns", "ply\nformat ascii 1.0\ncomment made by hand\nelement face 1\nproperty uchar flag\nproperty list uchar int vertex_index\nelement vertex 3\nproperty float z\nproperty list uchar float w\nproperty float y\nproperty float x\nend_header\n7 3 0 1 2\n0 2 9 9 0 0\n0 0 0 1\n0 0 1 0\n", 1, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			m, err := mesh.Read([]byte(tt.data), mesh.ChatLimits(), nil)
			if tt.triangles == 0 {
				if err == nil {
					t.Error("read, though it does not begin with solid")
				}
				return
			}
			if err != nil || m.Triangles() != tt.triangles || !strings.Contains(strings.Join(m.Notes, " "), tt.note) {
				t.Fatalf("%v, %+v", err, m)
			}
		})
	}
}

const oneFacet = "solid a\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1e0 0\nendloop\nendfacet\nendsolid\n"

func TestGuessUnit(t *testing.T) {
	tests := []struct {
		name   string
		size   [3]float64
		header string
		unit   mesh.Unit
		ask    bool
		note   string
	}{
		{"a game piece", [3]float64{23.4, 23.4, 40.1}, "", mesh.Millimeter, false, ""},
		{"drawn in inches", [3]float64{5, 2.5, 1.375}, "", mesh.Inch, true, "sixteenths"},
		{"inches in millimeters", [3]float64{203.2, 304.8, 12.7}, "", mesh.Millimeter, false, "made from inch (8 x 12 x 0.5)"},
		{"whole millimeters that inches fit too", [3]float64{254, 127, 254}, "", mesh.Millimeter, false, ""},
		{"header agrees", [3]float64{23.4, 23.4, 40.1}, "PART UNITS=mm", mesh.Millimeter, false, "header"},
		{"header disagrees", [3]float64{23.4, 23.4, 40.1}, "units: inches;", mesh.Inch, true, "header"},
		{"a building", [3]float64{9000, 1, 1}, "", mesh.Millimeter, true, "too large"},
		{"a point", [3]float64{}, "", mesh.Meter, true, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			g := mesh.GuessUnit(tt.size, tt.header)
			if g.Unit != tt.unit || g.Ask != tt.ask || !strings.Contains(g.Note, tt.note) || tt.note == "" && g.Note != "" {
				t.Errorf("%+v", g)
			}
			if g.Candidates[0].Unit != g.Unit || g.Candidates[0].Size[0] != tt.size[0]*g.Unit.MM() {
				t.Errorf("candidates %+v", g.Candidates)
			}
		})
	}
}

func TestParseUnitRoundTrip(t *testing.T) {
	for u := mesh.Micron; u <= mesh.Meter; u++ {
		if got, err := mesh.ParseUnit(strings.ToUpper(u.String())); got != u || err != nil {
			t.Errorf("ParseUnit(%q) = %v, %v", u, got, err)
		}
	}
	if _, err := mesh.ParseUnit("furlong"); !fault.Is(err, fault.BadQuantity) {
		t.Errorf("furlong: %v", err)
	}
	// 25.4 mm exactly: international yard and pound agreement, 1959
	if mesh.Inch.MM() != 25.4 || mesh.Foot.MM() != 12*25.4 || math.Abs(mesh.Micron.MM()*1000-1) > 0 {
		t.Error("a unit has a wrong length")
	}
}
