package mesh_test

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/mesh/meshtest"
)

// seed gives the corpus files with one of the endings.
func seed(f *testing.F, endings ...string) {
	f.Helper()
	for _, dir := range []string{"", "bad"} {
		files, err := filepath.Glob(filepath.Join("..", "..", "testdata", "reference", "meshes", dir, "*.*"))
		if err != nil {
			f.Fatal(err)
		}
		for _, name := range files {
			for _, e := range endings {
				info, err := os.Stat(name)
				if err == nil && strings.HasSuffix(name, e) && info.Size() < 70_000 {
					data, err := os.ReadFile(name)
					if err != nil {
						f.Fatal(err)
					}
					f.Add(data)
				}
			}
		}
	}
}

// judge reads, measures and probes any bytes within tight limits and holds the
// outcome against what must be true of every mesh.
func judge(t *testing.T, data []byte) {
	lim := mesh.ChatLimits()
	lim.Bytes, lim.Triangles, lim.Placed, lim.Inflated = 1<<20, 20_000, 100, 4<<20
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	m, err := mesh.Read(data, lim, nil)
	runtime.ReadMemStats(&after)
	if used := after.TotalAlloc - before.TotalAlloc; used > 48<<20 {
		t.Fatalf("%d bytes of file took %d MiB", len(data), used>>20)
	}
	if err != nil {
		if fault.As(err) == nil {
			t.Fatalf("err = %v, want a fault", err)
		}
		checkRefusal(t, err)
		return
	}
	r, err := m.Measure(nil, 2)
	if err != nil {
		t.Fatal(err)
	}
	if m.Triangles() == 0 || m.Triangles() > lim.Triangles || m.Placed > lim.Placed {
		t.Fatalf("%d triangles in %d meshes", m.Triangles(), m.Placed)
	}
	for _, x := range []float64{r.Volume, r.Low, r.High, r.Outer, r.Hollow, r.Area, r.Defect, r.Size[0], r.Size[1], r.Size[2]} {
		if math.IsNaN(x) || math.IsInf(x, 0) || x < 0 {
			t.Fatalf("not a measure: %+v", r)
		}
	}
	if slack := 1e-9 * r.High; r.Kind != mesh.Loose && (r.Low > r.Volume+slack || r.Volume > r.High+slack || r.Volume == 0) {
		t.Fatalf("%s: %g is not in %g to %g", r.Kind, r.Volume, r.Low, r.High)
	}
	if r.Topology.Shells > m.Triangles() || r.Topology.Edges > 3*m.Triangles() || r.Topology.OpenEdges > r.Stored.OpenEdges {
		t.Fatalf("counts: %+v then %+v", r.Stored, r.Topology)
	}
	for _, s := range append(r.Findings, m.Header) {
		for _, c := range s {
			if c < ' ' || c == '\u007f' {
				t.Fatalf("control character in %q", s)
			}
		}
	}
	rng := rand.New(rand.NewPCG(1, 1))
	if len(data)%32 == 5 { // it spreads a hundred thousand points, which is slow here
		if th, err := r.Thickness(rng, nil); err == nil && !(th.Thickest >= 0 && th.Thinnest >= 0) {
			t.Fatalf("thickness %+v", th)
		}
	}
}

func FuzzSTL(f *testing.F) {
	seed(f, ".stl")
	f.Add(meshtest.Icosphere([3]float64{}, 1, 0).STL("solid"))
	f.Fuzz(judge)
}

func FuzzOBJ(f *testing.F) {
	seed(f, ".obj")
	f.Add([]byte("v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 \\\n2/1 -1//3"))
	f.Fuzz(judge)
}

func FuzzPLY(f *testing.F) {
	seed(f, ".ply")
	f.Add(meshtest.Icosphere([3]float64{}, 1, 0).PLY(binary.BigEndian))
	f.Fuzz(judge)
}

func Fuzz3MF(f *testing.F) {
	seed(f, ".3mf")
	f.Fuzz(judge)
}

// Fuzz3MFModel mutates the XML inside an archive, which mutation of packed bytes
// hardly reaches.
func Fuzz3MFModel(f *testing.F) {
	f.Add(`<model ` + core + `><resources><object id="1">` + tetra(1) + `</object></resources><build><item objectid="1" transform="1 0 0 0 -1 0 0 0 1 5 5 5"/></build></model>`)
	f.Add(`<model unit="inch"><!-- x --><resources><object id='1'><components><component objectid="1"/></components></object></resources><build/></model>`)
	f.Fuzz(func(t *testing.T, text string) {
		judge(t, meshtest.Zip(map[string]string{"_rels/.rels": meshtest.Rels, "3D/3dmodel.model": text}))
	})
}
