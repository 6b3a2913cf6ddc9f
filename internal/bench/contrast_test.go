package bench

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// luminance is the relative luminance of an sRGB color "#rrggbb", as WCAG 2.2
// defines it (W3C, 2023, "relative luminance").
func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	n, err := strconv.ParseUint(strings.TrimPrefix(hex, "#"), 16, 32)
	if err != nil || len(hex) != 7 {
		t.Fatalf("%q is no color", hex)
	}
	linear := func(shift int) float64 {
		c := float64(n>>shift&0xff) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(16) + 0.7152*linear(8) + 0.0722*linear(0)
}

func contrast(t *testing.T, a, b string) float64 {
	t.Helper()
	la, lb := luminance(t, a), luminance(t, b)
	return (max(la, lb) + 0.05) / (min(la, lb) + 0.05)
}

// schemes reads the colors of the style, light and dark.
func schemes(t *testing.T) map[string]map[string]string {
	t.Helper()
	css, err := assets.ReadFile("page/bench.css")
	if err != nil {
		t.Fatal(err)
	}
	block := regexp.MustCompile(`(?s):root \{(.*?)\}`)
	color := regexp.MustCompile(`--([a-z-]+): (#[0-9a-f]{6});`)
	blocks := block.FindAllSubmatch(css, -1)
	if len(blocks) != 2 {
		t.Fatalf("%d sets of colors, want light and dark", len(blocks))
	}
	out := map[string]map[string]string{}
	for i, name := range []string{"light", "dark"} {
		out[name] = map[string]string{}
		for _, m := range color.FindAllSubmatch(blocks[i][1], -1) {
			out[name][string(m[1])] = string(m[2])
		}
	}
	return out
}

func TestContrastMeasure(t *testing.T) {
	// Black on white is 21:1 by the definition; #767676 on white is the
	// darkest gray commonly given as just past 4.5:1 (4.54, from memory).
	if got := contrast(t, "#000000", "#ffffff"); math.Abs(got-21) > 1e-9 {
		t.Errorf("black on white is %v, want 21", got)
	}
	if got := contrast(t, "#767676", "#ffffff"); math.Abs(got-4.54) > 0.01 {
		t.Errorf("gray on white is %v, want 4.54", got)
	}
}

// Text has 4.5:1 (WCAG 2.2, 1.4.3 AA); what shows where an input ends, or what
// has the focus, 3:1 (1.4.11).
func TestContrast(t *testing.T) {
	text := []struct {
		ink string
		on  []string
	}{
		{"ink", []string{"bench", "card", "readout"}},
		{"soft", []string{"bench", "card", "readout"}},
		{"accent", []string{"bench", "card", "readout"}},
		{"on-accent", []string{"accent"}},
		{"card", []string{"ink"}},
		{"warn-ink", []string{"warn"}},
		{"bad-ink", []string{"bad"}},
	}
	bounds := []struct {
		edge string
		on   []string
	}{
		{"edge", []string{"card", "bench", "bad"}},
		{"accent", []string{"card", "bench"}},
		{"warn-edge", []string{"card", "warn"}},
		{"bad-edge", []string{"card", "bad"}},
		{"tick", []string{"steel"}},
	}
	all := schemes(t)
	if len(all["light"]) != len(all["dark"]) {
		t.Errorf("%d light colors, %d dark", len(all["light"]), len(all["dark"]))
	}
	for name, colors := range all {
		for _, p := range text {
			for _, on := range p.on {
				if got := contrast(t, colors[p.ink], colors[on]); got < 4.5 {
					t.Errorf("%s: %s on %s has %.2f:1, want 4.5", name, p.ink, on, got)
				}
			}
		}
		for _, p := range bounds {
			for _, on := range p.on {
				if got := contrast(t, colors[p.edge], colors[on]); got < 3 {
					t.Errorf("%s: %s on %s has %.2f:1, want 3", name, p.edge, on, got)
				}
			}
		}
	}
}
