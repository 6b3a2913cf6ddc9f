package color_test

import (
	"image"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/color"
	"github.com/pourwright/pourwright/internal/fault"
)

// FuzzColorHex: what is read writes back as the same color; all else is a
// refusal with something to type.
func FuzzColorHex(f *testing.F) {
	for _, s := range []string{"#C9837F", "c9837f", "#abc", " #FFFFFF ", "", "#", "#12345", "#1234567", "#+12345", "0x1234", "#12_456", "red", "#ÀÀÀ", "ÀÀÀ"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		c, err := color.ParseHex(text)
		if err != nil {
			if e := fault.As(err); e == nil || e.Code != fault.BadColor || e.HintText() == "" {
				t.Fatalf("%q gave %v", text, err)
			}
			return
		}
		again, err := color.ParseHex(c.String())
		if err != nil || again != c {
			t.Fatalf("%q read as %s, then %s, %v", text, c, again, err)
		}
		digits := strings.ToUpper(strings.TrimPrefix(strings.TrimSpace(text), "#"))
		if len(digits) == 6 && c.String() != "#"+digits {
			t.Fatalf("%q read as %s", text, c)
		}
	})
}

// FuzzColorArea: an area that is read lies in the picture or is refused later.
func FuzzColorArea(f *testing.F) {
	for _, s := range []string{"620,410", "31%,40%", "600,400 640,430", "", "1", "1,2,3", "-1,4", "NaN,3", "1e9,2", "100%,100%", "0,0", "inf%,1"} {
		f.Add(s)
	}
	img := image.NewGray(image.Rect(10, 20, 810, 620))
	f.Fuzz(func(t *testing.T, text string) {
		area, err := color.ParseArea(text, img)
		if err != nil {
			if fault.As(err) == nil {
				t.Fatalf("%q gave %v", text, err)
			}
			return
		}
		if !area.In(img.Bounds()) {
			t.Fatalf("%q gave %v outside of %v", text, area, img.Bounds())
		}
		if _, err := color.Average(img, area); err != nil && fault.As(err) == nil {
			t.Fatalf("%q: %v", text, err)
		}
	})
}
