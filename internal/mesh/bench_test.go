package mesh_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/mesh/meshtest"
)

// benchFile is binary STL of about n triangles. In order is what a modeling
// program writes; shuffled is the worst case, where neighbors are never near.
func benchFile(n int, shuffled bool) []byte {
	m := meshtest.Knob(n)
	if shuffled {
		rng := rand.New(rand.NewPCG(1, 2))
		rng.Shuffle(len(m.Faces), func(i, j int) { m.Faces[i], m.Faces[j] = m.Faces[j], m.Faces[i] })
	}
	return m.STL("benchmark")
}

func eachBenchFile(b *testing.B, f func(b *testing.B, data []byte)) {
	for _, n := range []int{500_000, 2_000_000} {
		for _, order := range []string{"in order", "shuffled"} {
			data := benchFile(n, order == "shuffled")
			b.Run(fmt.Sprintf("%dk %s", n/1000, order), func(b *testing.B) { f(b, data) })
		}
	}
}

// BenchmarkMeasure reads and measures: volume, area, topology.
func BenchmarkMeasure(b *testing.B) {
	eachBenchFile(b, func(b *testing.B, data []byte) {
		b.ReportAllocs()
		b.SetBytes(int64(len(data)))
		for b.Loop() {
			readAndMeasure(b, data)
		}
	})
}

func readAndMeasure(b *testing.B, data []byte) *mesh.Report {
	b.Helper()
	m, err := mesh.Read(data, mesh.DeskLimits(), nil)
	if err != nil {
		b.Fatal(err)
	}
	r, err := m.Measure(nil, 2)
	if err != nil {
		b.Fatal(err)
	}
	return r
}

// BenchmarkAgainstAdmesh times whole processes on the same file: this test
// binary, which reads and measures it, and Debian's admesh, which reads it and
// checks its topology. It is left out where admesh is not on the path.
func BenchmarkAgainstAdmesh(b *testing.B) {
	peer, err := exec.LookPath("admesh")
	if err != nil {
		b.Skip("admesh is not installed")
	}
	self, err := os.Executable()
	if err != nil {
		b.Fatal(err)
	}
	eachBenchFile(b, func(b *testing.B, data []byte) {
		file := filepath.Join(b.TempDir(), "part.stl")
		if err := os.WriteFile(file, data, 0o600); err != nil {
			b.Fatal(err)
		}
		var ours, theirs time.Duration
		for b.Loop() {
			cmd := exec.Command(self, "-test.run=^$")
			cmd.Env = append(os.Environ(), measureFileEnv+"="+file)
			ours += run(b, cmd)
			theirs += run(b, exec.Command(peer, file))
		}
		b.ReportMetric(ours.Seconds()/float64(b.N), "s-ours")
		b.ReportMetric(theirs.Seconds()/float64(b.N), "s-admesh")
		b.ReportMetric(theirs.Seconds()/ours.Seconds(), "times")
		b.ReportMetric(0, "ns/op")
	})
}

func run(b *testing.B, cmd *exec.Cmd) time.Duration {
	b.Helper()
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	start := time.Now()
	if err := cmd.Run(); err != nil {
		b.Fatalf("%s: %v\n%s", cmd, err, out.String())
	}
	return time.Since(start)
}

// measureFileEnv names a file for the test binary to measure instead of testing.
const measureFileEnv = "MESH_TEST_MEASURE_FILE"

// TestMain lets the test binary stand in for a whole process.
func TestMain(m *testing.M) {
	file := os.Getenv(measureFileEnv)
	if file == "" {
		os.Exit(m.Run())
	}
	if err := measureFile(file); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func measureFile(file string) error {
	data, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	m, err := mesh.Read(data, mesh.DeskLimits(), nil)
	if err != nil {
		return err
	}
	r, err := m.Measure(nil, 2)
	if err != nil {
		return err
	}
	fmt.Printf("volume %.6f, area %.6f, %d open edges, %d shells\n", r.Volume, r.Area, r.Topology.OpenEdges, r.Topology.Shells)
	return nil
}

// BenchmarkThickness finds the thickest and the thinnest section on one core.
func BenchmarkThickness(b *testing.B) {
	bodies := map[string]meshtest.Mesh{
		"500k knob": meshtest.Knob(500_000), "328k sphere": meshtest.Icosphere([3]float64{}, 50, 7),
	}
	for name, body := range bodies {
		b.Run(name, func(b *testing.B) {
			r := readAndMeasure(b, body.STL(""))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := r.Thickness(rand.New(rand.NewPCG(1, 1)), nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkNestedBoxes measures boxes within boxes, all along the axes: faces in
// common planes are the worst case of some spatial trees.
func BenchmarkNestedBoxes(b *testing.B) {
	for _, n := range []int{2, 3, 100, 1000} {
		var list []meshtest.Mesh
		for i := range n {
			s := float64(n - i)
			box := meshtest.Box([3]float64{-s, -s, -s}, [3]float64{s, s, s})
			if i%2 == 1 {
				box = box.Turned()
			}
			list = append(list, box)
		}
		data := meshtest.Join(list...).STL("")
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				r := readAndMeasure(b, data)
				if n < 100 {
					if _, err := r.Thickness(rand.New(rand.NewPCG(1, 1)), nil); err != nil {
						b.Fatal(err)
					}
				}
			}
		})
	}
}

// BenchmarkFormats reads one body of 100 k triangles from each format.
func BenchmarkFormats(b *testing.B) {
	body := meshtest.Knob(100_000)
	for name, data := range map[string][]byte{
		"binary STL": body.STL(""), "text STL": body.STLText(), "OBJ": body.OBJ(), "text PLY": body.PLYText(), "3MF": body.ThreeMF("millimeter"),
	} {
		b.Run(name, func(b *testing.B) {
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := mesh.Read(data, mesh.DeskLimits(), nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
