package plot_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/plot"
)

var (
	three = plot.Swatches{List: []plot.Swatch{
		{Label: "base", R: 0xF2, G: 0xEF, B: 0xE6}, {Label: "predicted", R: 0xC9, G: 0x83, B: 0x7F}, {Label: "target", R: 0xC4, G: 0x7A, B: 0x78}}}
	ladder = plot.Swatches{List: []plot.Swatch{
		{Label: "0.125 %", R: 0xE4, G: 0xC4, B: 0xBE}, {Label: "0.25 %", R: 0xD8, G: 0xA5, B: 0xA0}, {Label: "0.5 %", R: 0xC9, G: 0x83, B: 0x7F},
		{Label: "1 %", R: 0xB4, G: 0x60, B: 0x60}, {Label: "2 %", R: 0x9A, G: 0x43, B: 0x48}},
		Target: &plot.Swatch{Label: "target", R: 0xC4, G: 0x7A, B: 0x78}}
)

func TestSwatchesAreExactlyTheirColors(t *testing.T) {
	for name, w := range map[string]plot.Swatches{"three": three, "ladder": ladder, "one": {List: three.List[:1]}} {
		pic := picture(t, "swatches_"+name, w.PNG)
		n := len(w.List)
		for i, one := range w.List {
			wide := 680 / n
			for _, x := range []int{20 + i*wide + 2, 20 + i*wide + wide/2, 20 + (i+1)*wide - 3} {
				for _, y := range []int{20, 140, 259} {
					if got := hexAt(pic, x, y); got != one.Hex() {
						t.Errorf("%s: %s at %d, %d is %s, want %s", name, one.Label, x, y, got, one.Hex())
					}
				}
			}
			if !strings.Contains(w.Alt(), one.Label+" "+one.Hex()) {
				t.Errorf("%s: alt %q lacks %s", name, w.Alt(), one.Hex())
			}
		}
		if w.Target == nil {
			continue
		}
		for _, x := range []int{20, 360, 699} {
			if got := hexAt(pic, x, 300); got != w.Target.Hex() {
				t.Errorf("%s: the strip at %d is %s, want %s", name, x, got, w.Target.Hex())
			}
		}
		if !strings.Contains(w.Alt(), w.Target.Hex()) {
			t.Errorf("alt %q lacks the target", w.Alt())
		}
	}
}

func TestSwatchesOfEqualColorAreToldApart(t *testing.T) {
	same := plot.Swatches{List: []plot.Swatch{three.List[1], three.List[1]}}
	pic := picture(t, "swatches_same", same.PNG)
	ticks := 0
	for x := 300; x < 420; x++ {
		if l := lightness(pic.At(x, 268)); l < 0.5 {
			ticks++
		}
	}
	if ticks == 0 {
		t.Error("no tick below the seam of two patches of one color")
	}
}

func TestSwatchesTooFewOrMany(t *testing.T) {
	for _, n := range []int{0, 7} {
		if png, err := (plot.Swatches{List: make([]plot.Swatch, n)}).PNG(); err == nil {
			t.Errorf("%d swatches gave %d bytes, want an error", n, len(png))
		}
	}
}

func FuzzSwatches(f *testing.F) {
	f.Add("base", 3, uint8(1), true)
	f.Add("\x00\u202e\n\xff 名前 🟥", 6, uint8(255), false)
	f.Add(strings.Repeat("W", 5000), 1, uint8(0), true)
	f.Fuzz(func(t *testing.T, label string, n int, v uint8, strip bool) {
		if n < 1 || n > 6 {
			n = 6
		}
		var w plot.Swatches
		for i := range n {
			w.List = append(w.List, plot.Swatch{Label: fmt.Sprint(label, i), R: v, G: v ^ 0x55, B: 255 - v})
		}
		if strip {
			w.Target = &w.List[0]
		}
		pic := picture(t, "", w.PNG)
		if got := hexAt(pic, 360/n, 100); got != w.List[0].Hex() {
			t.Errorf("the first patch is %s, want %s", got, w.List[0].Hex())
		}
		if strings.ContainsAny(w.Alt(), "\n\x00") {
			t.Errorf("alt %q is not one line", w.Alt())
		}
	})
}
