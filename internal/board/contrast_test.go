package board

import (
	"math"
	"regexp"
	"strconv"
	"testing"
)

// luminance is the relative luminance of an sRGB color, as WCAG 2.2 defines it
// (W3C, 2023, "relative luminance").
func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	n, err := strconv.ParseUint(hex, 16, 32)
	if err != nil || len(hex) != 6 {
		t.Fatalf("%q is no color", hex)
	}
	var y float64
	for i, weight := range []float64{0.0722, 0.7152, 0.2126} {
		c := float64(n>>(8*i)&0xff) / 255
		if c <= 0.04045 {
			y += weight * c / 12.92
		} else {
			y += weight * math.Pow((c+0.055)/1.055, 2.4)
		}
	}
	return y
}

// Text has 4.5:1 (WCAG 2.2, 1.4.3 AA), here 7:1 (1.4.6 AAA) for what is read
// from afar; edges that part one state from another have 3:1 (1.4.11).
func TestContrast(t *testing.T) {
	css, err := assets.ReadFile("page/board.css")
	if err != nil {
		t.Fatal(err)
	}
	blocks := regexp.MustCompile(`(?s):root \{(.*?)\}`).FindAllSubmatch(css, -1)
	if len(blocks) != 2 {
		t.Fatalf("%d sets of colors, want light and dark", len(blocks))
	}
	pairs := []struct {
		ink  string
		on   []string
		want float64
	}{
		{"ink", []string{"ground", "card"}, 7},
		{"act-ink", []string{"act"}, 7},
		{"look-ink", []string{"look"}, 7},
		{"warn-ink", []string{"warn"}, 7},
		{"soft", []string{"ground", "card"}, 4.5},
		{"accent", []string{"ground", "card"}, 4.5},
		{"edge", []string{"ground", "card"}, 3},
		{"act-edge", []string{"ground", "act"}, 3},
		{"look-edge", []string{"ground", "look"}, 3},
		{"warn-edge", []string{"ground", "warn"}, 3},
	}
	for i, scheme := range []string{"light", "dark"} {
		colors := map[string]string{}
		for _, m := range regexp.MustCompile(`--([a-z-]+): #([0-9a-f]{6});`).FindAllSubmatch(blocks[i][1], -1) {
			colors[string(m[1])] = string(m[2])
		}
		for _, p := range pairs {
			for _, on := range p.on {
				a, b := luminance(t, colors[p.ink]), luminance(t, colors[on])
				if got := (max(a, b) + 0.05) / (min(a, b) + 0.05); got < p.want {
					t.Errorf("%s: %s on %s has %.2f:1, want %g", scheme, p.ink, on, got, p.want)
				}
			}
		}
	}
}
