package mesh_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/mesh/meshtest"
)

// testClosedForms makes the bodies of the section and measures them.
func testClosedForms(t *testing.T, raw json.RawMessage) {
	for key, value := range decode[map[string]json.RawMessage](t, raw) {
		t.Run(key, func(t *testing.T) {
			var ring, tube, n, m int
			switch {
			case key == "icosphere_unit_radius":
				testIcospheres(t, value)
			case key == "prism_n_gon":
				testPrisms(t, value)
			case key == "tetrahedron_0_3_2_1":
				testBody(t, meshtest.Mesh{
					Points: [][3]float64{{0, 0, 0}, {3, 0, 0}, {0, 2, 0}, {0, 0, 1}},
					Faces:  [][3]int{{0, 2, 1}, {0, 1, 3}, {0, 3, 2}, {1, 2, 3}},
				}, decode[fields](t, value))
			case key == "box":
				testBoxes(t)
			case scan(key, "torus_R%d_r%d_grid_%dx%d", &ring, &tube, &n, &m):
				testBody(t, meshtest.Torus(float64(ring), float64(tube), n, m), decode[fields](t, value))
			default:
				t.Errorf("closed form %q has no test", key)
			}
		})
	}
}

func scan(s, format string, args ...any) bool {
	n, err := fmt.Sscanf(s, format, args...)
	return err == nil && n == len(args)
}

// testBody writes every digit, so that only the sums can err.
func testBody(t *testing.T, body meshtest.Mesh, f fields) *mesh.Report {
	t.Helper()
	m, r := measure(t, body.OBJ())
	c := &checker{t: t, f: f, m: m, r: r}
	c.count("triangles", r.Triangles)
	c.number("volume", r.Volume, 1e-12, 0)
	c.number("area", r.Area, 1e-12, 0)
	if r.Kind != mesh.Solid || !r.Watertight() {
		t.Errorf("kind %s, watertight %v", r.Kind, r.Watertight())
	}
	return r
}

func testIcospheres(t *testing.T, raw json.RawMessage) {
	for level, value := range decode[map[string]json.RawMessage](t, raw) {
		splits := 0
		if !scan(level, "%d", &splits) {
			continue // words on how they are made
		}
		f := decode[fields](t, value)
		r := testBody(t, meshtest.Icosphere([3]float64{}, 1, splits), f)
		th, err := r.Thickness(rand.New(rand.NewPCG(3, 4)), nil)
		if err != nil {
			t.Fatalf("level %s: %v", level, err)
		}
		want, ok := get[float64](t, f, "largest_inscribed_sphere_diameter")
		if ok && (!near(th.Thickest, want, mesh.ThickestBand, 0) || th.Thickest > want*(1+1e-9)) {
			t.Errorf("level %s: thickest = %.9g, want %.9g from below", level, th.Thickest, want)
		}
	}
}

func testPrisms(t *testing.T, raw json.RawMessage) {
	for key, value := range decode[map[string]json.RawMessage](t, raw) {
		var n int
		var r, h float64
		if scan(key, "n=%d,R=%f,h=%f", &n, &r, &h) {
			testBody(t, meshtest.Prism(n, r, h), decode[fields](t, value))
		}
	}
}

// testBoxes: V = abc and A = 2(ab+bc+ca), also a kilometer from the origin.
func testBoxes(t *testing.T) {
	for _, side := range [][3]float64{{1, 1, 1}, {25, 50, 75}, {0.5, 100, 3}} {
		for _, offset := range []float64{0, 1e6} {
			lo := [3]float64{offset, -offset, offset}
			hi := [3]float64{lo[0] + side[0], lo[1] + side[1], lo[2] + side[2]}
			box := meshtest.Box(lo, hi)
			for name, data := range map[string][]byte{"OBJ": box.OBJ(), "STL": box.STL("box")} {
				_, r := measure(t, data)
				v := side[0] * side[1] * side[2]
				a := 2 * (side[0]*side[1] + side[1]*side[2] + side[2]*side[0])
				if !near(r.Volume, v, 1e-9, 0) || !near(r.Area, a, 1e-9, 0) || r.Size != side {
					t.Errorf("%s %v at %g: volume %.12g, area %.12g, size %v", name, side, offset, r.Volume, r.Area, r.Size)
				}
			}
		}
	}
}

func testMoldBoxes(t *testing.T, raw json.RawMessage) {
	for name, f := range decode[map[string]fields](t, raw) {
		t.Run(name, func(t *testing.T) {
			m, r := measure(t, readReference(t, name, nil))
			side, _ := get[float64](t, f, "side_margin")
			above, _ := get[float64](t, f, "above")
			below, _ := get[float64](t, f, "below")
			box, err := r.MoldBox(side, below, above)
			if err != nil {
				t.Fatal(err)
			}
			c := &checker{t: t, f: f, m: m, r: r}
			inner, ok := get[[3]float64](t, f, "box_inner")
			for k := range inner {
				if ok && !near(box.Inner[k], inner[k], 1e-9, 0) {
					t.Errorf("inner sides %v, want %v", box.Inner, inner)
				}
			}
			c.number("box_volume", box.Volume, 1e-9, 0)
			c.number("outer_volume", r.Outer, 1e-9, 0)
			c.number("rubber_volume", box.Rubber, 1e-9, 0)
		})
	}
}

func testUnitGuesses(t *testing.T, raw json.RawMessage) {
	first := map[string]mesh.Unit{"inch first": mesh.Inch, "meter first": mesh.Meter, "too large for mm": mesh.Millimeter}
	for i, f := range decode[[]fields](t, raw) {
		name, fromFile := get[string](t, f, "file")
		if !fromFile {
			name = fmt.Sprint(i)
		}
		t.Run(name, func(t *testing.T) {
			size, _ := get[[3]float64](t, f, "size")
			header := ""
			if fromFile {
				m, err := mesh.Read(readReference(t, name, nil), mesh.ChatLimits(), nil)
				if err != nil {
					t.Fatal(err)
				}
				size, header = m.Size(), m.Header
			}
			g := mesh.GuessUnit(size, header)
			expect, _ := get[string](t, f, "expect")
			switch word, rest, _ := strings.Cut(expect, ", "); {
			case word == "mm":
				note, want := strings.CutPrefix(rest, "note: ")
				if g.Ask || g.Unit != mesh.Millimeter || want && note != g.Note {
					t.Errorf("guess %+v, want %s", g, expect)
				}
			case word == "ask" && first[rest] != mesh.Unit0:
				if !g.Ask || g.Unit != first[rest] || g.Candidates[0].Unit != g.Unit {
					t.Errorf("guess %+v, want %s", g, expect)
				}
			default:
				t.Errorf("expect %q has no test", expect)
			}
		})
	}
}
