package color_test

import (
	"fmt"
	"testing"

	"github.com/pourwright/pourwright/internal/color"
)

// Goals on one core: ΔE00 0.2 µs, thick 0.5 µs, wall 3 µs, a curve 0.1 ms, three
// of twelve tints 50 ms, four tints 20 ms. #00A0FF is out of reach, so the same
// palette is searched again in a clear base for the reason.

func BenchmarkDifference(b *testing.B) {
	p, q := color.Lab{L: 50, A: 2.6772, B: -79.7751}, color.Lab{L: 52, A: 0.3, B: -82.7485}
	b.ReportAllocs()
	for b.Loop() {
		color.Difference(p, q)
	}
}

func BenchmarkPredict(b *testing.B) {
	rack := readRack(b)
	for _, c := range []struct {
		name string
		wall color.Wall
	}{{"thick", color.Wall{}}, {"wall", color.Wall{MM: 3, Backing: color.WhiteBacking}}} {
		r := color.Recipe{Base: rack.base(b, "white_warm"), Wall: c.wall, Doses: []color.Dose{{Tint: rack.tint(b, "red"), Part: 0.003}, {Tint: rack.tint(b, "yellow"), Part: 0.002}}}
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := color.Predict(r); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkReflectance(b *testing.B) {
	for _, c := range []string{"#C9837F", "#FF0000", "#00A0FF"} {
		code := hex(b, c)
		b.Run(c, func(b *testing.B) {
			var none *color.Cache
			for b.Loop() {
				none.Reflectance(code)
			}
		})
	}
	b.Run("cached", func(b *testing.B) {
		cache, code := color.NewCache(0), hex(b, "#C9837F")
		for b.Loop() {
			cache.Reflectance(code)
		}
	})
}

// palette is twelve tints in the warm white base: the rack's and invented
// swatches between them.
func palette(t testing.TB, rack rack, n int) []*color.Tint {
	base := rack.base(t, "white_warm")
	var out []*color.Tint
	for i, code := range []string{"#C9837F", "#7F9DC0", "#E6CF7E", "#8E8E8E", "#86AC8B", "#B58AB0", "#D9A06A", "#8A6242", "#6FB3B8", "#C46A8A", "#A9B85A", "#5A6A9A"}[:n] {
		tint, err := color.NewTint(color.TintSpec{Name: fmt.Sprint("tint ", i), Family: color.Colored, Base: base, Swatch: color.Hex(hex(t, code)), Dose: 0.005}, nil)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, tint)
	}
	return out
}

func BenchmarkFind(b *testing.B) {
	rack := readRack(b)
	for _, n := range []int{4, 12} {
		for _, target := range []string{"#A58468", "#7A9A6A", "#00A0FF"} {
			for _, wall := range []float64{0, 4} {
				w := color.Want{Base: rack.base(b, "white_warm"), Palette: palette(b, rack, n), Target: color.Hex(hex(b, target)), Wall: color.Wall{MM: wall}}
				b.Run(fmt.Sprintf("%d/%s/wall%v", n, target, wall), func(b *testing.B) {
					for b.Loop() {
						if _, err := color.Find(w, nil); err != nil {
							b.Fatal(err)
						}
					}
				})
			}
		}
	}
}

// BenchmarkCodeToLab is timed in the libraries too.
func BenchmarkCodeToLab(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		c, err := color.ParseHex("#C9837F")
		if err != nil {
			b.Fatal(err)
		}
		c.Lab()
	}
}
