package color

import "testing"

// BenchmarkForward looks at one mix: what a search does thousands of times.
func BenchmarkForward(b *testing.B) {
	base, err := NewBase(BaseSpec{Kind: WhiteBase, Seen: Hex(RGB{0xF2, 0xEF, 0xE6})}, nil)
	if err != nil {
		b.Fatal(err)
	}
	red, err := NewTint(TintSpec{Family: Colored, Base: base, Swatch: Hex(RGB{0xC9, 0x83, 0x7F}), Dose: 0.005}, nil)
	if err != nil {
		b.Fatal(err)
	}
	doses := []Dose{{red, 0.002}, {red, 0.001}, {red, 0.003}}
	for name, wall := range map[string]Wall{"thick": {}, "wall": {MM: 3, Backing: WhiteBacking}} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			var m stack
			for b.Loop() {
				m.fill(base, doses, wall)
				m.lab()
			}
		})
	}
}
