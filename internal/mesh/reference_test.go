package mesh_test

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/mesh"
)

// referenceFolder holds meshes.json and meshes/. The values there come from
// exact integer arithmetic and from general-purpose geometry libraries; each
// entry names them, the README beside the files says where these come from.
func referenceFolder() string {
	if dir := os.Getenv("POURWRIGHT_REFERENCE"); dir != "" {
		return dir
	}
	return filepath.Join("..", "..", "testdata", "reference")
}

type fields map[string]json.RawMessage

// reference reads one section of meshes.json.
func reference(t *testing.T) map[string]json.RawMessage {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(referenceFolder(), "meshes.json"))
	if os.IsNotExist(err) {
		t.Skip("no meshes.json in the reference folder")
	}
	if err != nil {
		t.Fatal(err)
	}
	var all map[string]json.RawMessage
	if err := json.Unmarshal(data, &all); err != nil {
		t.Fatal(err)
	}
	return all
}

func decode[T any](t *testing.T, raw json.RawMessage) (out T) {
	t.Helper()
	if raw == nil {
		return out
	}
	if err := json.Unmarshal(raw, &out); err != nil {
		t.Fatalf("%s: %v", raw, err)
	}
	return out
}

// get decodes one value; ok is false if it is absent or null.
func get[T any](t *testing.T, f fields, key string) (out T, ok bool) {
	t.Helper()
	raw := f[key]
	if raw == nil || string(raw) == "null" {
		return out, false
	}
	return decode[T](t, raw), true
}

// TestReference runs every entry of meshes.json. A section of a form that is
// not known here is a failure, so that no entry can pass unseen.
func TestReference(t *testing.T) {
	sections := map[string]func(*testing.T, json.RawMessage){
		"files": testFiles, "bad": testBad, "closed_form": testClosedForms,
		"mold_box": testMoldBoxes, "unit_guess": testUnitGuesses,
		"about": nil, "tool_times": nil, // words, and times of other tools
	}
	for name, raw := range reference(t) {
		run, known := sections[name]
		switch {
		case !known:
			t.Errorf("section %q of meshes.json has no test", name)
		case run != nil:
			t.Run(name, func(t *testing.T) { run(t, raw) })
		}
	}
}

func readReference(t *testing.T, name string, f fields) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(referenceFolder(), "meshes", filepath.FromSlash(name)))
	if os.IsNotExist(err) {
		t.Skip("the file is not in the reference folder")
	}
	if err != nil {
		t.Fatal(err)
	}
	if want, ok := get[string](t, f, "sha256"); ok {
		sum := sha256.Sum256(data)
		if got := hex.EncodeToString(sum[:]); got != want {
			t.Fatalf("the file is another one: sha256 %s, want %s", got, want)
		}
	}
	return data
}

func measure(t *testing.T, data []byte) (*mesh.Mesh, *mesh.Report) {
	t.Helper()
	m, err := mesh.Read(data, mesh.ChatLimits(), nil)
	if err != nil {
		t.Fatalf("Read: %v", err)
	}
	r, err := m.Measure(nil, 2)
	if err != nil {
		t.Fatalf("Measure: %v", err)
	}
	return m, r
}

func testFiles(t *testing.T, raw json.RawMessage) {
	for name, f := range decode[map[string]fields](t, raw) {
		t.Run(name, func(t *testing.T) {
			m, r := measure(t, readReference(t, name, f))
			c := &checker{t: t, f: f, m: m, r: r}
			c.size()
			c.counts()
			c.volumes()
			c.kind()
			c.shells()
			c.thickness()
			c.pull()
		})
	}
}

// checker holds one entry against one report.
type checker struct {
	t *testing.T
	f fields
	m *mesh.Mesh
	r *mesh.Report
}

func (c *checker) number(key string, got, rel, abs float64) {
	c.t.Helper()
	if want, ok := get[float64](c.t, c.f, key); ok && !near(got, want, rel, abs) {
		c.t.Errorf("%s = %.17g, want %.17g ± %g", key, got, want, rel*math.Abs(want)+abs)
	}
}

func (c *checker) count(key string, got int) {
	c.t.Helper()
	if want, ok := get[int](c.t, c.f, key); ok && got != want {
		c.t.Errorf("%s = %d, want %d", key, got, want)
	}
}

func near(got, want, rel, abs float64) bool {
	return math.Abs(got-want) <= rel*math.Abs(want)+abs
}

func (c *checker) size() {
	diag := math.Hypot(math.Hypot(c.r.Size[0], c.r.Size[1]), c.r.Size[2])
	for key, got := range map[string][3]float64{"bbox_min": c.r.Lo, "bbox_max": c.r.Hi, "size": c.r.Size} {
		want, ok := get[[3]float64](c.t, c.f, key)
		for k := range got {
			if ok && !near(got[k], want[k], 0, 1e-6*diag) {
				c.t.Errorf("%s = %v, want %v", key, got, want)
			}
		}
	}
	area := 1e-9
	if c.m.Format == mesh.ThreeMF {
		area = 1e-6
	}
	c.number("area", c.r.Area, area, 0)
	if unit, ok := get[string](c.t, c.f, "unit_in_file"); ok && c.m.Unit.String() != unit {
		c.t.Errorf("unit = %q, want %q", c.m.Unit, unit)
	}
	kinds := map[string]mesh.Format{"stl-binary": mesh.STLBinary, "stl-ascii": mesh.STLText}
	if enc, ok := get[string](c.t, c.f, "encoding"); ok && c.m.Format != kinds[enc] {
		c.t.Errorf("format = %q, want %q", c.m.Format, enc)
	}
}

func (c *checker) counts() {
	s := &c.r.Stored
	c.count("triangles", c.r.Triangles)
	c.count("placed_meshes", c.m.Placed)
	c.count("vertices", s.Vertices)
	c.count("edges", s.Edges)
	c.count("open_edges", s.OpenEdges)
	c.count("open_loops", s.OpenLoops)
	c.count("nonmanifold_edges", s.NonManifold)
	c.count("inconsistent_edges", s.Inconsistent)
	c.count("degenerate_repeated_vertex", s.RepeatedCorner)
	c.count("degenerate_collinear", s.ZeroArea)
	c.count("duplicate_triangles", s.Duplicates)
	c.count("shells", s.Shells)
	c.count("faces_to_flip", c.r.Flipped)
	if c.r.Flipped == 0 {
		c.number("closure_defect", c.r.Defect, 1e-9, 1e-12)
	}
	if want, ok := get[bool](c.t, c.f, "watertight"); ok && c.r.Joined+c.r.Dropped == 0 && c.r.Watertight() != want {
		c.t.Errorf("watertight = %v, want %v", c.r.Watertight(), want)
	}
	if after, ok := get[fields](c.t, c.f, "after_tolerance_merge"); ok && c.r.Joined > 0 {
		a, s := &checker{c.t, after, c.m, c.r}, &c.r.Topology
		a.count("vertices_joined", c.r.Joined)
		a.count("open_edges", s.OpenEdges)
		a.count("open_loops", s.OpenLoops)
		a.count("nonmanifold_edges", s.NonManifold)
		a.count("inconsistent_edges", s.Inconsistent)
		a.count("degenerate_repeated_vertex", s.RepeatedCorner)
		a.count("duplicate_triangles", s.Duplicates)
		a.count("shells", s.Shells)
	}
}

func (c *checker) volumes() {
	tolerance, ok := get[float64](c.t, c.f, "tolerance_rel")
	if !ok {
		tolerance = 1e-9
	}
	c.number("volume_as_wound", c.r.AsWound, max(tolerance, 1e-9), 0)
	c.number("expected_volume", c.r.Volume, tolerance, 0)
	if c.r.Topology.OpenEdges > 0 {
		c.number("volume_holes_fan_capped", c.r.Volume, 1e-9, 0)
	}
	if tol, ok := get[float64](c.t, c.f, "union_tolerance_rel"); ok {
		c.number("expected_union", c.r.Low, tol, 0)
	}
	if other, ok := get[float64](c.t, c.f, "volume_if_quads_split_on_the_other_diagonal"); ok {
		if other < c.r.Low || other > c.r.High {
			c.t.Errorf("cut the other way the volume is %g, outside %g to %g", other, c.r.Low, c.r.High)
		}
	}
}

// kind holds the report against the words of expected_kind.
func (c *checker) kind() {
	words, ok := get[string](c.t, c.f, "expected_kind")
	if !ok {
		return
	}
	r := c.r
	has := func(s string) bool { return strings.Contains(words, s) }
	want := mesh.Solid
	switch {
	case has("overlap"):
		want = mesh.About
		if !r.Overlap {
			c.t.Error("overlap was not found")
		}
	case has("open: estimate"):
		want = mesh.About
		if !strings.Contains(strings.Join(r.Findings, " "), "may be wrong by about") {
			c.t.Errorf("findings do not say that the volume is about: %q", r.Findings)
		}
	case has("ambiguous"):
		if !r.SameWay {
			c.t.Error("the shell that faces the same way was not found")
		}
	case has("hollow"):
		if !(r.Hollow > 0) {
			c.t.Error("no hollow was found")
		}
	case has("hairline cracks"):
		if slices.ContainsFunc(r.Holes, func(h mesh.Hole) bool { return !h.Crack }) {
			c.t.Errorf("cracks were taken for holes: %+v", r.Holes)
		}
	case has("non-manifold"):
		want = r.Kind // solid or about, as its parts overlap or not
		if r.Topology.NonManifold == 0 {
			c.t.Error("no non-manifold edges were found")
		}
	case has("inside out"):
		if r.Turned != r.Triangles {
			c.t.Errorf("%d faces were turned, want all", r.Turned)
		}
	case has("closed"):
	default:
		c.t.Errorf("expected_kind %q has no test", words)
	}
	if r.Kind != want {
		c.t.Errorf("kind = %s, want %s for %q", r.Kind, want, words)
	}
}

func (c *checker) shells() {
	if overlap, ok := get[bool](c.t, c.f, "shells_overlap"); ok && c.r.Overlap != overlap {
		c.t.Errorf("overlap = %v, want %v", c.r.Overlap, overlap)
	}
	if c.r.Topology.OpenEdges > 0 || len(c.r.Shells) == 0 {
		return
	}
	tolerance, _ := get[float64](c.t, c.f, "tolerance_rel")
	var volumes []float64
	var depths []int
	for _, s := range c.r.Shells {
		volumes = append(volumes, math.Abs(s.Volume))
		depths = append(depths, s.Depth)
	}
	want, ok := get[[]float64](c.t, c.f, "shell_signed_volumes")
	if ok && c.r.Flipped == 0 {
		for i := range want {
			want[i] = math.Abs(want[i])
		}
		slices.Sort(want)
		slices.Sort(volumes)
		if !slices.EqualFunc(volumes, want, func(a, b float64) bool { return near(a, b, max(tolerance, 1e-6), 0) }) {
			c.t.Errorf("shells hold %v, want %v", volumes, want)
		}
	}
	if want, ok := get[[]int](c.t, c.f, "shell_depths"); ok && c.r.Nested {
		slices.Sort(want)
		slices.Sort(depths)
		if !slices.Equal(depths, want) {
			c.t.Errorf("depths %v, want %v", depths, want)
		}
	}
	nested := c.r.Volume
	if c.r.SameWay {
		nested = c.r.IfHollow
	}
	if c.r.Nested && c.r.Topology.NonManifold == 0 {
		c.number("volume_by_nesting", nested, max(tolerance, 1e-9), 0)
	}
}

func (c *checker) thickness() {
	want, ok := get[fields](c.t, c.f, "thickness")
	if !ok {
		return
	}
	got, err := c.r.Thickness(rand.New(rand.NewPCG(1, 2)), nil)
	if err != nil {
		c.t.Errorf("Thickness: %v", err)
		return
	}
	w := &checker{c.t, want, c.m, c.r}
	w.number("largest_inscribed_sphere_diameter", got.Thickest, mesh.ThickestBand, 0)
	if most, ok := get[float64](c.t, want, "upper_bound"); ok && got.Thickest > most {
		c.t.Errorf("thickest = %g is above the proven bound %g", got.Thickest, most)
	}
	walls, _ := get[map[string]float64](c.t, want, "ray_facing_wall_45deg")
	noise, _ := get[map[string]float64](c.t, want, "ray_facing_half_sample_diff")
	for key, value := range map[string]float64{"q1%": got.Thinnest, "median": got.Median} {
		if q, ok := walls[key]; ok && !near(value, q, 0.03, noise[key]) {
			c.t.Errorf("facing walls, %s = %g, want %g ± 3 %%", key, value, q)
		}
	}
	w.number("ray_facing_fraction", got.Walls, 0, 0.01)
}

func (c *checker) pull() {
	want, ok := get[map[string]fields](c.t, c.f, "pull_axis")
	if !ok {
		return
	}
	axes, _, err := c.r.PullAxes(rand.New(rand.NewPCG(1, 2)), nil)
	if err != nil {
		c.t.Errorf("PullAxes: %v", err)
		return
	}
	for k, name := range []string{"x", "y", "z"} {
		w := &checker{c.t, want[name], c.m, c.r}
		w.number("vertical_within_1deg", axes[k].Upright1, 1e-9, 1e-9)
		w.number("vertical_within_3deg", axes[k].Upright3, 1e-9, 1e-9)
		w.number("undercut_area_fraction_two_part", axes[k].Caught, 0, 0.01)
	}
}

func testBad(t *testing.T, raw json.RawMessage) {
	for name, f := range decode[map[string]fields](t, raw) {
		t.Run(name, func(t *testing.T) {
			expect, _ := get[string](t, f, "expect")
			data := readReference(t, "bad/"+name, f)
			switch expect {
			case "reject", "reject_preferred":
				_, err := mesh.Read(data, mesh.ChatLimits(), nil)
				checkRefusal(t, err)
			case "accept", "accept_without_volume":
				m, r := measure(t, data)
				c := &checker{t: t, f: f, m: m, r: r}
				c.size()
				c.counts()
				c.volumes()
				if (r.Kind == mesh.Loose) != (expect == "accept_without_volume") {
					t.Errorf("kind = %s, want %s", r.Kind, expect)
				}
			default:
				t.Errorf("expect %q has no test", expect)
			}
		})
	}
}

// checkRefusal holds a refusal against the rules for words that members read:
// one of three codes, one sentence, plain printable text.
func checkRefusal(t *testing.T, err error) {
	t.Helper()
	f := fault.As(err)
	switch {
	case f == nil:
		t.Fatalf("err = %v, want a fault", err)
	case f.Code != fault.BadFile && f.Code != fault.FileTooLarge && f.Code != fault.HostileFile:
		t.Errorf("code = %s", f.Code)
	case f.Message == "" || strings.HasSuffix(f.Message, ".") || strings.Contains(f.Message, "\n") || len(f.Message) > 200:
		t.Errorf("message is no single sentence: %q", f.Message)
	case f.HintText() == "":
		t.Error("no hint what to do instead")
	}
	for _, r := range f.Message {
		if r < ' ' || r > '~' {
			t.Errorf("message has %q: %q", r, f.Message)
		}
	}
}
