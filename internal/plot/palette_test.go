package plot

import (
	"image/color"
	"testing"
)

// The contrasts that the palette's comment promises, by the formula of WCAG 2.2
// (relative luminance, contrast ratio).
func TestPaletteIsReadable(t *testing.T) {
	lum := func(c color.RGBA) float64 {
		return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
	}
	for _, c := range []struct {
		name  string
		color color.RGBA
		least float64
	}{{"ink", ink, 13}, {"faded", faded, 4.5}, {"blue", blue, 4.5}, {"orange", orange, 4.5}, {"violet", violet, 4.5}, {"green", green, 4.5}} {
		got := (lum(ground) + 0.05) / (lum(c.color) + 0.05)
		if got < c.least {
			t.Errorf("%s on the ground has a contrast of %.1f, want %g", c.name, got, c.least)
		}
	}
	if ground.R != ground.G || ground.G != ground.B {
		t.Errorf("the ground %v is not neutral", ground)
	}
}

func TestSRGBCurve(t *testing.T) {
	// IEC 61966-2-1: 0.5 of light is coded 188, 18 % gray 118 (from memory)
	for v, light := range map[uint8]float64{0: 0, 255: 1, 188: 0.5, 118: 0.18} {
		if got := coded(light); got != v {
			t.Errorf("coded(%g) = %d, want %d", light, got, v)
		}
	}
	for v := range 256 {
		if got := coded(linear(uint8(v))); got != uint8(v) {
			t.Errorf("%d comes back as %d", v, got)
		}
	}
}

// The eight views are right-handed, square and of length 1, and no two alike.
func TestViews(t *testing.T) {
	near := func(a, b float64) bool { return a-b < 1e-12 && b-a < 1e-12 }
	seen := map[string]bool{}
	for _, v := range views {
		if !near(dot(v.right, v.up), 0) || !near(dot(v.up, v.toward), 0) || !near(dot(v.toward, v.right), 0) ||
			!near(norm(v.right), 1) || !near(norm(v.up), 1) || !near(dot(cross(v.right, v.up), v.toward), 1) {
			t.Errorf("%s: not a frame: %v", v.words, v)
		}
		if v.up[2] <= 0 {
			t.Errorf("%s: z does not point up", v.words)
		}
		seen[v.words] = true
		if got := facing(v.toward); got.words != v.words {
			t.Errorf("what points to %s is seen from %s", v.words, got.words)
		}
	}
	if len(seen) != len(views) {
		t.Errorf("%d different views, want %d", len(seen), len(views))
	}
}
