package meshtest_test

import (
	"bytes"
	"flag"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/mesh/meshtest"
)

var update = flag.Bool("update", false, "rewrite testdata/parts")

// A turned profile of straight pieces is a stack of frustums over regular
// polygons: (n/2)·sin(2π/n)·h·(R² + Rr + r²)/3 each.
func TestRevolveIsAStackOfFrustums(t *testing.T) {
	const n = 96
	profile := [][2]float64{{0, 0}, {9, 0}, {6, 9}, {16, 20}, {0, 30}}
	want := 0.0
	for i := range profile[1:] {
		r, R, h := profile[i][0], profile[i+1][0], profile[i+1][1]-profile[i][1]
		want += n / 2 * math.Sin(2*math.Pi/n) * h * (R*R + R*r + r*r) / 3
	}
	m, err := mesh.Read(meshtest.Revolve(profile, n).OBJ(), mesh.DeskLimits(), nil)
	if err != nil {
		t.Fatal(err)
	}
	r, err := m.Measure(nil, 1)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(r.Volume-want) > 1e-9*want || !r.Watertight() {
		t.Errorf("volume %v, want %v; open edges %d", r.Volume, want, r.Topology.OpenEdges)
	}
}

func TestSampleParts(t *testing.T) {
	path := filepath.Join("..", "..", "..", "testdata", "parts", "cabinet_knob.stl")
	want := meshtest.CabinetKnob().STL("a cabinet knob, in mm")
	if *update {
		if err := os.WriteFile(path, want, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s is not what its generator makes; go test ./internal/mesh/meshtest -update rewrites it", path)
	}
}
