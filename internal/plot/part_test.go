package plot_test

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
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

// plain gives a mesh to a picture without reading it from a file.
func plainPart(m meshtest.Mesh, sizes ...string) plot.Part {
	p := plot.Part{Triangles: len(m.Faces), Corner: func(t, k int) [3]float64 { return m.Points[m.Faces[t][k]] }}
	copy(p.Sizes[:], sizes)
	return p
}

var drawing = image.Rect(100, 0, 720, 480) // without the caption

func TestPartOfABox(t *testing.T) {
	p := plainPart(meshtest.Box([3]float64{10, 20, 30}, [3]float64{50, 50, 60}), "40 mm", "30 mm", "30 mm")
	p.Thickest = plot.Ball{Center: [3]float64{30, 35, 45}, Diameter: 30, Text: "30 mm"}
	p.Thinnest = "30 mm"
	pic := picture(t, "part_box", p.PNG)
	// Three faces are seen, each of one tone: the light falls from above.
	tones := map[string]int{}
	for y := 30; y < 430; y += 3 {
		for x := 150; x < 630; x += 3 {
			tones[hexAt(pic, x, y)]++
		}
	}
	faces := 0
	for hex, n := range tones {
		if n > 300 && hex != "#F3F3F3" {
			faces++
		}
	}
	if faces != 3 {
		t.Errorf("%d large areas of one tone, want the 3 faces of a box", faces)
	}
	if n := count(pic, drawing, isBlue); n < 1000 {
		t.Errorf("%d blue pixels: the ring is missing", n)
	}
	if n := count(pic, image.Rect(0, 490, 720, 540), isBlue); n < 50 {
		t.Errorf("%d blue pixels in the caption: the ring's sign is missing", n)
	}
	for _, words := range []string{"from above, front right", "40 mm in x, 30 mm in y and 30 mm in z", "thickest section, 30 mm", "thinnest wall is 30 mm"} {
		if !strings.Contains(p.Alt(), words) {
			t.Errorf("alt %q lacks %q", p.Alt(), words)
		}
	}
	if strings.Contains(p.Alt(), "hole") {
		t.Errorf("alt %q tells of holes", p.Alt())
	}
}

// What a part looks like does not depend on where it lies or on how large it is.
func TestPartMovedAndScaled(t *testing.T) {
	knob := meshtest.CabinetKnob()
	// powers of two, so that rounding is the same
	moved := knob.Map(func(p [3]float64) [3]float64 { return [3]float64{4 * p[0], 4 * p[1], 4 * p[2]} })
	a, b := picture(t, "", plainPart(knob).PNG), picture(t, "", plainPart(moved).PNG)
	if off := differing(a, b); off > 0 {
		t.Errorf("four times as large, %d pixels differ", off)
	}
	far := knob.Map(func(p [3]float64) [3]float64 { return [3]float64{p[0] + 1e6, p[1] - 2e6, p[2] + 5e5} })
	if off := differing(a, picture(t, "", plainPart(far).PNG)); off > 720*540/200 {
		t.Errorf("2 km away, %d pixels differ", off)
	}
}

func differing(a, b image.Image) int {
	n := 0
	for y := range a.Bounds().Dy() {
		for x := range a.Bounds().Dx() {
			if a.At(x, y) != b.At(x, y) {
				n++
			}
		}
	}
	return n
}

// A part with a missing side is turned so that the hole is seen, with its inner
// side striped and a mark in it.
func TestPartWithAHole(t *testing.T) {
	box := meshtest.Box([3]float64{}, [3]float64{40, 40, 20})
	for _, side := range []struct {
		name   string
		normal [3]float64
		from   string
	}{{"top", [3]float64{0, 0, 1}, "above"}, {"bottom", [3]float64{0, 0, -1}, "below"}, {"back", [3]float64{0, 1, 0}, "back"}, {"left", [3]float64{-1, 0, 0}, "left"}} {
		open := meshtest.Mesh{Points: box.Points}
		hole := plot.Hole{Across: 40, Text: "40 mm"}
		for k, n := range side.normal {
			hole.Center[k] = []float64{20, 20, 10}[k] * (1 + n)
		}
		for _, f := range box.Faces { // all but those that lie in the open side
			in := true
			for _, v := range f {
				for k, n := range side.normal {
					in = in && (n == 0 || box.Points[v][k] == hole.Center[k])
				}
			}
			if !in {
				open.Faces = append(open.Faces, f)
			}
		}
		if len(open.Faces) != 10 {
			t.Fatalf("%s: %d faces are left, want 10", side.name, len(open.Faces))
		}
		for _, inside := range []bool{false, true} {
			m := open
			if inside {
				m = open.Turned()
			}
			p := plainPart(m, "40 mm", "40 mm", "20 mm")
			p.Holes = []plot.Hole{hole}
			name := "part_no_" + side.name
			pic := picture(t, name, p.PNG)
			if n := count(pic, drawing, isOrange); n < 2000 {
				t.Errorf("%s, inside out %t: %d pixels of inner side, the hole is not seen", name, inside, n)
			}
			if !strings.Contains(p.Alt(), side.from) || !strings.Contains(p.Alt(), "A hole is marked, 40 mm across") {
				t.Errorf("%s: alt %q, want it seen from %s", name, p.Alt(), side.from)
			}
		}
	}
}

// Edges of thin parts stay on the sheet, and flat and long ones have a picture.
func TestPartOfOddForm(t *testing.T) {
	for name, size := range map[string][3]float64{"needle": {0.1, 0.1, 300}, "sheet": {200, 0, 150}, "rod": {900, 2, 2}, "line": {10, 0, 0}, "tile": {60, 60, 0.4}} {
		p := plainPart(meshtest.Box([3]float64{}, size), fmt.Sprint(size[0], " mm"), fmt.Sprint(size[1], " mm"), fmt.Sprint(size[2], " mm"))
		pic := picture(t, "part_"+name, p.PNG)
		for _, edge := range []image.Rectangle{image.Rect(0, 0, 720, 2), image.Rect(0, 538, 720, 540), image.Rect(0, 0, 2, 540), image.Rect(718, 0, 720, 540)} {
			if n := count(pic, edge, isDark); n > 0 {
				t.Errorf("%s: %d dark pixels at the edge of the sheet", name, n)
			}
		}
		if n := count(pic, drawing, isDark); n < 100 {
			t.Errorf("%s: %d dark pixels: no sizes are drawn", name, n)
		}
	}
}

func TestPartThatCannotBeDrawn(t *testing.T) {
	same := func(v float64) func(t, k int) [3]float64 {
		return func(t, k int) [3]float64 { return [3]float64{v, float64(k), float64(t)} }
	}
	for name, p := range map[string]plot.Part{
		"nothing":      {},
		"no corners":   {Triangles: 3},
		"negative":     {Triangles: -1, Corner: same(1)},
		"too many":     {Triangles: 1 << 40, Corner: same(1)},
		"NaN":          {Triangles: 2, Corner: same(math.NaN())},
		"infinite":     {Triangles: 2, Corner: same(math.Inf(-1))},
		"out of reach": {Triangles: 2, Corner: same(1e300)},
		"one point":    {Triangles: 5, Corner: func(t, k int) [3]float64 { return [3]float64{1, 2, 3} }},
	} {
		if png, err := p.PNG(); err == nil {
			t.Errorf("%s: %d bytes, want an error", name, len(png))
		}
		p.Alt() // must not panic either
	}
}

// A file can hold ten million faces that each fill the sheet.
func TestPartTooMuch(t *testing.T) {
	asked := 0
	p := plot.Part{Triangles: 5_000_000, Corner: func(t, k int) [3]float64 {
		asked++
		return [3]float64{[]float64{0, 100, 0}[k], float64(t) * 1e-6, []float64{0, 0, 100}[k]}
	}}
	if _, err := p.PNG(); err != plot.ErrTooMuch {
		t.Errorf("got %v, want ErrTooMuch", err)
	}
	if asked > 16_000_000 { // once for the box, then it gives up soon
		t.Errorf("%d corners were asked for", asked)
	}
}

func FuzzPart(f *testing.F) {
	f.Add(1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 0.5, "3 mm", 2)
	f.Add(0.0, 0.0, 0.0, 1e11, -1e11, 0.0, 1e200, "\x00", 0)
	f.Add(1e-300, 0.0, 1e9, 0.0, math.NaN(), 1.0, math.Inf(1), strings.Repeat("9", 400), 30)
	f.Fuzz(func(t *testing.T, a, b, c, d, e, g, across float64, text string, holes int) {
		list := []float64{a, b, c, d, e, g}
		p := plot.Part{Triangles: 4, Corner: func(t, k int) [3]float64 {
			return [3]float64{list[(t+k)%6], list[(2*t+k+1)%6], list[(3*t+2*k+2)%6]}
		}}
		p.Sizes = [3]string{text, text, text}
		p.Thinnest = text
		p.Thickest = plot.Ball{Center: [3]float64{a, c, e}, Diameter: across, Text: text}
		for i := range min(max(holes, 0), 40) {
			p.Holes = append(p.Holes, plot.Hole{Center: [3]float64{b, d, float64(i)}, Across: across, Text: text})
		}
		data, err := p.PNG()
		if err != nil {
			return
		}
		if size, err := png.DecodeConfig(bytes.NewReader(data)); err != nil || size.Width != 720 || size.Height != 540 {
			t.Errorf("%v: %v", size, err)
		}
		p.Alt()
	})
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
