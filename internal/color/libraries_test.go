package color_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/pourwright/pourwright/internal/color"
)

// libraries is where the general-purpose color libraries of package.json are
// installed: npm ci --prefix internal/color/testdata/libraries.
var libraries = filepath.Join("testdata", "libraries")

// runNode runs a script beside the libraries, or skips where node or they are
// missing.
func runNode(t testing.TB, script string, in any) []byte {
	t.Helper()
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is not installed, so the libraries are not compared with")
	}
	for _, name := range []string{"culori", "colorjs.io"} {
		if _, err := os.Stat(filepath.Join(libraries, "node_modules", name)); err != nil {
			t.Skipf("%s is not installed: run npm ci in internal/color/%s", name, libraries)
		}
	}
	text, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(node, script)
	cmd.Dir, cmd.Stdin = libraries, bytes.NewReader(text)
	var problems bytes.Buffer
	cmd.Stderr = &problems
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v\n%s", script, err, problems.String())
	}
	return out
}

// TestLibrariesAgree: two independent libraries read codes alike and measure the
// same differences. They round the white point to x 0.3127, y 0.3290, which
// moves XYZ by 0.02 of 100 and Lab by 0.011 at most.
func TestLibrariesAgree(t *testing.T) {
	const seed = 11
	rng := rand.New(rand.NewPCG(seed, seed))
	var in struct {
		Codes []string        `json:"codes"`
		Pairs [][2][3]float64 `json:"pairs"`
	}
	var codes []color.RGB
	for range 500 {
		c := color.RGB{R: uint8(rng.IntN(256)), G: uint8(rng.IntN(256)), B: uint8(rng.IntN(256))}
		codes, in.Codes = append(codes, c), append(in.Codes, c.String())
	}
	draw := func() [3]float64 {
		return [3]float64{100 * rng.Float64(), 200*rng.Float64() - 100, 200*rng.Float64() - 100}
	}
	for range 1000 {
		p := draw()
		q := [3]float64{p[0] + 5*rng.NormFloat64(), p[1] + 5*rng.NormFloat64(), p[2] + 5*rng.NormFloat64()}
		if rng.IntN(4) == 0 {
			q = draw()
		}
		in.Pairs = append(in.Pairs, [2][3]float64{p, q})
	}
	var out map[string]struct {
		Linear, XYZ, Lab [][3]float64
		Difference       []float64
	}
	if err := json.Unmarshal(runNode(t, "values.mjs", in), &out); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"culori", "colorjs.io"} {
		theirs, ok := out[name]
		if !ok || len(theirs.Lab) != len(codes) || len(theirs.Difference) != len(in.Pairs) {
			t.Fatalf("%s gave %d colors and %d differences", name, len(theirs.Lab), len(theirs.Difference))
		}
		for i, c := range codes {
			what := fmt.Sprintf("seed %d, %s, %s", seed, name, c)
			for k := range 3 {
				near(t, what+" linear", c.Linear()[k], theirs.Linear[i][k], 1e-9)
				near(t, what+" XYZ", c.XYZ()[k], 100*theirs.XYZ[i][k], 0.03)
			}
			nearLab(t, what, c.Lab(), theirs.Lab[i][:], 0.011)
		}
		for i, pair := range in.Pairs {
			got := color.Difference(labOf(pair[0][:]), labOf(pair[1][:]))
			near(t, fmt.Sprintf("seed %d, %s, ΔE00 of %v", seed, name, pair), got, theirs.Difference[i], 1e-9)
		}
	}
}

// BenchmarkLibraries reports the same work there, by node's own clock: the
// nanoseconds are measured in speed.mjs, so there is no loop here.
func BenchmarkLibraries(b *testing.B) {
	var speed map[string]float64
	if err := json.Unmarshal(runNode(b, "speed.mjs", nil), &speed); err != nil {
		b.Fatal(err)
	}
	for _, name := range []string{"culori/difference", "colorjs.io/difference", "culori/code-to-lab", "colorjs.io/code-to-lab"} {
		b.Run(name, func(b *testing.B) {
			b.ReportMetric(speed[name], "ns-there/op")
			b.ReportMetric(0, "ns/op") // leave out our own time
		})
	}
}
