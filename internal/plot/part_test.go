package plot_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/mesh/meshtest"
	"github.com/pourwright/pourwright/internal/plot"
)

// partOf is the picture's input for a file, as the commands give it.
func partOf(t testing.TB, data []byte) plot.Part {
	t.Helper()
	m, err := mesh.Read(data, mesh.DeskLimits(), nil)
	if err != nil {
		t.Fatal(err)
	}
	r, err := m.Measure(nil, 1)
	if err != nil {
		t.Fatal(err)
	}
	p := plot.Part{Triangles: m.Triangles(), Corner: m.Corner}
	for k, v := range m.Size() {
		p.Sizes[k] = fmt.Sprintf("%.3g mm", v)
	}
	if th, err := r.Thickness(rand.New(rand.NewPCG(1, 2)), nil); err == nil {
		p.Thickest = plot.Ball{Center: th.Center, Diameter: th.Thickest, Text: fmt.Sprintf("%.3g mm", th.Thickest)}
		p.Thinnest = fmt.Sprintf("%.3g mm", th.Thinnest)
	}
	for _, h := range r.Holes {
		if !h.Crack {
			p.Holes = append(p.Holes, plot.Hole{Center: h.Center, Across: h.Extent, Text: fmt.Sprintf("%.3g mm", h.Extent)})
		}
	}
	return p
}

func TestLookAtParts(t *testing.T) {
	if *look == "" {
		t.Skip("-look DIR writes the pictures of the reference meshes")
	}
	files, err := filepath.Glob(filepath.Join("..", "..", "testdata", "reference", "meshes", "*.*"))
	if err != nil {
		t.Fatal(err)
	}
	draw := func(name string, data []byte) {
		p := partOf(t, data)
		png, err := p.PNG()
		if err != nil {
			t.Errorf("%s: %v", name, err)
			return
		}
		t.Log(name, len(png), p.Alt())
		show(t, name, png)
	}
	draw("knob", meshtest.CabinetKnob().STL(""))
	for _, f := range files {
		if filepath.Ext(f) == ".md" {
			continue
		}
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		draw(filepath.Base(f), data)
	}
}
