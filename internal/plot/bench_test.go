package plot_test

import (
	"fmt"
	"testing"

	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/mesh/meshtest"
	"github.com/pourwright/pourwright/internal/plot"
)

func BenchmarkPart(b *testing.B) {
	for _, n := range []int{5_000, 500_000, 2_500_000} {
		m, err := mesh.Read(meshtest.Knob(n).STL(""), mesh.DeskLimits(), nil)
		if err != nil {
			b.Fatal(err)
		}
		p := plot.Part{Triangles: m.Triangles(), Corner: m.Corner, Sizes: [3]string{"1 mm", "1 mm", "1 mm"}, Holes: []plot.Hole{{Text: "1 mm"}}}
		b.Run(fmt.Sprint(m.Triangles()), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := p.PNG(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkCurves(b *testing.B) {
	c := cureLike(45)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := c.PNG(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSwatches(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ladder.PNG(); err != nil {
			b.Fatal(err)
		}
	}
}

// The most that a stranger's file can cost: it is refused after mostWork.
func BenchmarkPartTooMuch(b *testing.B) {
	p := plot.Part{Triangles: 2_500_000, Corner: func(t, k int) [3]float64 {
		return [3]float64{[]float64{0, 100, 0}[k], float64(t) * 1e-6, []float64{0, 0, 100}[k]}
	}}
	for b.Loop() {
		if _, err := p.PNG(); err != plot.ErrTooMuch {
			b.Fatal(err)
		}
	}
}
