package color_test

import (
	"image"
	stdcolor "image/color"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/pourwright/pourwright/internal/color"
	"github.com/pourwright/pourwright/internal/fault"
)

// scene is a photo: a card on the left, a swatch on the right, both lit by light
// of some color and strength, with sensor noise.
type scene struct {
	swatch color.RGB
	card   float64      // light that the card gives back
	light  color.Linear // gain of each channel
	noise  float64      // in coded values
	glare  bool         // a burnt-out spot on a tenth of the swatch
	slope  float64      // how much brighter the right edge is than the left
}

var (
	cardArea   = image.Rect(10, 10, 90, 90)
	swatchArea = image.Rect(110, 10, 190, 90)
)

func (s scene) photo() image.Image {
	rng := rand.New(rand.NewPCG(3, 3))
	img := image.NewRGBA(image.Rect(0, 0, 200, 100))
	card, swatch := color.Linear{s.card, s.card, s.card}, s.swatch.Linear()
	for y := range 100 {
		for x := range 200 {
			light := card
			if x >= 100 {
				light = swatch
			}
			for c := range light {
				light[c] *= s.light[c] * (1 + s.slope*float64(x)/200)
			}
			code, _ := light.RGB()
			noisy := func(v uint8) uint8 {
				return uint8(min(max(math.Round(float64(v)+s.noise*rng.NormFloat64()), 0), 255))
			}
			pixel := stdcolor.RGBA{noisy(code.R), noisy(code.G), noisy(code.B), 255}
			if s.glare && x >= 180 && y < 90 {
				pixel = stdcolor.RGBA{255, 255, 255, 255}
			}
			img.SetRGBA(x, y, pixel)
		}
	}
	return img
}

func TestReadCorrectsByTheCard(t *testing.T) {
	brick := hex(t, "#C9837F")
	for _, c := range []struct {
		name    string
		scene   scene
		kind    color.CardKind
		quality color.Quality
		off     float64 // ΔE00 of the code read
		note    string
	}{
		{"even daylight", scene{card: 0.18, light: color.Linear{1, 1, 1}}, color.GrayCard, color.Card, 0.6, ""},
		{"warm and dim", scene{card: 0.18, light: color.Linear{0.9, 0.75, 0.6}, noise: 2}, color.GrayCard, color.Card, 1, ""},
		{"white card", scene{card: 0.90, light: color.Linear{0.8, 0.85, 0.9}, noise: 2}, color.WhiteCard, color.Card, 1, ""},
		{"glare on the swatch", scene{card: 0.18, light: color.Linear{0.9, 0.9, 0.9}, glare: true}, color.GrayCard, color.Poor, 1, "of the swatch is burnt out"},
		{"lamp light", scene{card: 0.18, light: color.Linear{1.1, 0.8, 0.4}}, color.GrayCard, color.Poor, 1, "strongly colored"},
		{"light from one side", scene{card: 0.18, light: color.Linear{0.25, 0.25, 0.25}, slope: 3}, color.GrayCard, color.Poor, 100, "unevenly lit"},
		{"far too dark", scene{card: 0.18, light: color.Linear{0.1, 0.1, 0.1}}, color.GrayCard, color.Poor, 3, "wrong card, shade or exposure"},
		{"gray taken for white", scene{card: 0.18, light: color.Linear{1, 1, 1}}, color.WhiteCard, color.Poor, 100, "wrong card, shade or exposure"},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.scene.swatch = brick
			p, err := color.ReadPhoto(c.scene.photo(), swatchArea, cardArea, c.kind)
			if err != nil {
				t.Fatal(err)
			}
			if d := color.Difference(p.Code.Lab(), brick.Lab()); d > c.off {
				t.Errorf("read %v, ΔE00 %.2f from %v", p.Code, d, brick)
			}
			if p.Quality != c.quality || c.note != "" && !hasNote(p.Notes, c.note) || c.quality == color.Card && len(p.Notes) > 0 {
				t.Errorf("quality %s, notes %q", p.Quality, p.Notes)
			}
		})
	}
}

func TestReadWithoutACard(t *testing.T) {
	s := scene{swatch: hex(t, "#7F9DC0"), card: 0.18, light: color.Linear{1, 1, 1}}
	p, err := color.ReadPhoto(s.photo(), swatchArea, image.Rectangle{}, "")
	if err != nil || p.Quality != color.Phone || p.Code != s.swatch || !hasNote(p.Notes, "without a gray or white card") {
		t.Errorf("%+v, %v", p, err)
	}
}

func TestReadRefuses(t *testing.T) {
	plain := scene{swatch: hex(t, "#7F9DC0"), card: 0.18, light: color.Linear{1, 1, 1}}
	burnt := plain
	burnt.light = color.Linear{9, 9, 9}
	dark := plain
	dark.light = color.Linear{}
	for _, c := range []struct {
		name         string
		img          image.Image
		swatch, card image.Rectangle
		kind         color.CardKind
		code         fault.Code
		option       string
	}{
		{"swatch outside", plain.photo(), image.Rect(150, 50, 260, 90), cardArea, color.GrayCard, fault.OutOfRange, "swatch_at"},
		{"card too small", plain.photo(), swatchArea, image.Rect(10, 10, 13, 13), color.GrayCard, fault.OutOfRange, "card_at"},
		{"card on the swatch", plain.photo(), swatchArea, swatchArea, color.GrayCard, fault.OutOfRange, "card_at"},
		{"no such card", plain.photo(), swatchArea, cardArea, "blue", fault.NotFound, "card_at"},
		{"burnt out", burnt.photo(), swatchArea, cardArea, color.GrayCard, fault.BadFile, "photo"},
		{"black", dark.photo(), swatchArea, cardArea, color.GrayCard, fault.BadFile, "photo"},
		{"empty picture", image.NewRGBA(image.Rectangle{}), swatchArea, cardArea, color.GrayCard, fault.OutOfRange, "swatch_at"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := color.ReadPhoto(c.img, c.swatch, c.card, c.kind)
			wantFault(t, err, c.code, c.option)
		})
	}
}

// TestAverageLeavesOutDust: a fifth of the pixels may be anything.
func TestAverageLeavesOutDust(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 100, 100))
	gray := hex(t, "#777777")
	for y := range 100 {
		for x := range 100 {
			pixel := stdcolor.RGBA{gray.R, gray.G, gray.B, 255}
			if (x+y)%7 == 0 {
				pixel = stdcolor.RGBA{20, 250, 20, 255}
			}
			img.SetRGBA(x, y, pixel)
		}
	}
	p, err := color.Average(img, img.Bounds())
	if err != nil {
		t.Fatal(err)
	}
	if code, _ := p.Light.RGB(); code != gray || p.Uneven > 1e-9 {
		t.Errorf("mean %v, uneven %v", code, p.Uneven)
	}
}

// TestAverageOfAHugeArea looks at a grid of it.
func TestAverageOfAHugeArea(t *testing.T) {
	img := image.NewUniform(stdcolor.RGBA{0x7F, 0x9D, 0xC0, 255})
	p, err := color.Average(img, image.Rect(0, 0, 40000, 30000))
	if code, _ := p.Light.RGB(); err != nil || p.Pixels > 1<<16+1000 || code != hex(t, "#7F9DC0") {
		t.Errorf("%d pixels, %v, %v", p.Pixels, code, err)
	}
}

func TestParseArea(t *testing.T) {
	img := image.NewGray(image.Rect(0, 0, 800, 600))
	for text, want := range map[string]image.Rectangle{
		"620,410":         image.Rect(614, 404, 627, 417),
		"50%, 50%":        image.Rect(394, 294, 407, 307),
		"600,400 640,430": image.Rect(600, 400, 640, 430),
		"0,0":             image.Rect(0, 0, 7, 7),
	} {
		if got, err := color.ParseArea(text, img); err != nil || got != want {
			t.Errorf("%q is %v, %v; want %v", text, got, err, want)
		}
	}
	_, err := color.ParseArea("900,20", img)
	wantFault(t, err, fault.OutOfRange, "")
	_, err = color.ParseArea(" ", img)
	wantFault(t, err, fault.MissingOption, "")
}
