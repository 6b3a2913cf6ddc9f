package color_test

import (
	"math"
	"strings"
	"sync"
	"testing"

	"github.com/pourwright/pourwright/internal/color"
	"github.com/pourwright/pourwright/internal/fault"
)

// wantFault checks code, option and that there is something to type instead.
func wantFault(t *testing.T, err error, code fault.Code, option string) {
	t.Helper()
	f := fault.As(err)
	if f == nil || f.Code != code || f.Option != option || f.HintText() == "" {
		t.Fatalf("got %v, want %s in %q with a hint", err, code, option)
	}
}

func hasNote(notes []string, words string) bool {
	return strings.Contains(strings.Join(notes, "\n"), words)
}

func tintOf(t testing.TB, family color.Family, base *color.Base, code string, dose float64) *color.Tint {
	t.Helper()
	tint, err := color.NewTint(color.TintSpec{Name: "tint", Family: family, Base: base, Swatch: color.Hex(hex(t, code)), Dose: dose, Quality: color.Careful}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return tint
}

func blackBase(t testing.TB) *color.Base {
	t.Helper()
	b, err := color.NewBase(color.BaseSpec{Kind: color.BlackBase, Seen: color.Hex(hex(t, "#141416")), Quality: color.Careful}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestRedInWhiteIsPink: the reason for all of this. Pink is light, with the hue
// of the tint and far less chroma than its own color.
func TestRedInWhiteIsPink(t *testing.T) {
	base := whiteBase(t)
	red := tintOf(t, color.NeatOnly, base, "#8E1B22", 0)
	p := predict(t, color.Recipe{Base: base, Doses: []color.Dose{{Tint: red, Part: 0.001}}})
	if hue := math.Atan2(p.Lab.B, p.Lab.A) * 180 / math.Pi; p.Lab.L < 75 || p.Lab.A < 10 || hue < -10 || hue > 40 {
		t.Errorf("a little deep red in white gives %v, %+v", p.Code, p.Lab)
	}
	if p.Floor != color.Floor(color.Masstone) || !hasNote(p.Notes, "swatch") {
		t.Errorf("floor %v, notes %q: a guess must not look like a measurement", p.Floor, p.Notes)
	}
}

func TestBlackInNeutralWhiteIsGray(t *testing.T) {
	base, err := color.NewBase(color.BaseSpec{Kind: color.WhiteBase, Seen: color.Hex(hex(t, "#F0F0F0"))}, nil)
	if err != nil {
		t.Fatal(err)
	}
	black := tintOf(t, color.Colored, base, "#707070", 0.005)
	last := 101.0
	for _, d := range []float64{0, 0.0001, 0.001, 0.005, 0.02} {
		p := predict(t, color.Recipe{Base: base, Doses: []color.Dose{{Tint: black, Part: d}}})
		if c := p.Lab.Chroma(); c > 1e-6 || p.Lab.L >= last {
			t.Errorf("%v of black gives %+v, chroma %g", d, p.Lab, c)
		}
		last = p.Lab.L
	}
}

func TestBlackBaseSwallowsAll(t *testing.T) {
	base := blackBase(t)
	for _, code := range []string{"#C9837F", "#E6CF7E", "#7F9DC0", "#86AC8B"} {
		tint := tintOf(t, color.Colored, whiteBase(t), code, 0.005)
		p := predict(t, color.Recipe{Base: base, Doses: []color.Dose{{Tint: tint, Part: 0.02}}})
		if p.Lab.L > 10 || p.Lab.Chroma() > 8 {
			t.Errorf("%s at 2 %% in black gives %v", code, p.Code)
		}
		if !hasNote(p.Notes, "was seen in a white base") {
			t.Errorf("notes %q do not say that the base differs", p.Notes)
		}
	}
}

func TestWhiteTint(t *testing.T) {
	black := blackBase(t)
	seen := tintOf(t, color.White, black, "#8F8F90", 0.01)
	p := predict(t, color.Recipe{Base: black, Doses: []color.Dose{{Tint: seen, Part: 0.01}}})
	if d := color.Difference(p.Lab, hex(t, "#8F8F90").Lab()); d > 0.5 {
		t.Errorf("the swatch came back as %v, ΔE00 %v", p.Code, d)
	}
	for name, spec := range map[string]color.TintSpec{
		"no swatch":       {Family: color.White},
		"in a white base": {Family: color.White, Base: whiteBase(t), Swatch: color.Hex(hex(t, "#F4F2EC")), Dose: 0.01},
	} {
		tint, err := color.NewTint(spec, nil)
		if err != nil || !hasNote(tint.Notes, "usual strength") || tint.Quality != color.Masstone {
			t.Errorf("%s: %+v, %v", name, tint, err)
		}
	}
}

func TestTintWarnings(t *testing.T) {
	base := whiteBase(t)
	over := tintOf(t, color.Colored, base, "#C9837F", 0.05)
	if !hasNote(over.Notes, "over the limit of 2 %") {
		t.Errorf("5 %% swatch: %q", over.Notes)
	}
	weak := tintOf(t, color.Colored, base, "#F1EEE5", 0.005)
	if !hasNote(weak.Notes, "hardly differs") {
		t.Errorf("a swatch like its base: %q", weak.Notes)
	}
	red := tintOf(t, color.Colored, base, "#C9837F", 0.001)
	for dose, warned := range map[float64]bool{0.0099: false, 0.011: true, 0.00011: false, 0.00009: true} {
		p := predict(t, color.Recipe{Base: base, Doses: []color.Dose{{Tint: red, Part: dose}}})
		if got := hasNote(p.Notes, "a swatch nearer"); got != warned {
			t.Errorf("%v of a tint known at 0.1 %%: warned %v", dose, got)
		}
	}
	p := predict(t, color.Recipe{Base: base, Doses: []color.Dose{{Tint: red, Part: 0.009}}, MaxLoad: 0.008})
	if !hasNote(p.Notes, "over the limit of 0.8 %") {
		t.Errorf("load over the bulletin's limit: %q", p.Notes)
	}
	bright, err := color.NewBase(color.BaseSpec{Kind: color.WhiteBase, Seen: color.Hex(hex(t, "#FFFFFF"))}, nil)
	if err != nil || !hasNote(bright.Notes, "#FAFAFA") {
		t.Errorf("a base lighter than gloss allows: %+v, %v", bright, err)
	}
}

func TestRefusals(t *testing.T) {
	base := whiteBase(t)
	swatch := color.Hex(hex(t, "#C9837F"))
	for _, c := range []struct {
		name   string
		spec   color.TintSpec
		code   fault.Code
		option string
	}{
		{"metallic", color.TintSpec{Family: color.Metallic, Base: base, Swatch: swatch, Dose: 0.005}, fault.Unsupported, "tint"},
		{"pearl", color.TintSpec{Family: color.Pearl, Base: base, Swatch: swatch, Dose: 0.005}, fault.Unsupported, "tint"},
		{"fluorescent", color.TintSpec{Family: color.Fluorescent, Base: base, Swatch: swatch, Dose: 0.005}, fault.Unsupported, "tint"},
		{"glow", color.TintSpec{Family: color.Glow, Base: base, Swatch: swatch, Dose: 0.005}, fault.Unsupported, "tint"},
		{"no base", color.TintSpec{Family: color.Colored, Swatch: swatch, Dose: 0.005}, fault.MissingOption, "base"},
		{"no swatch", color.TintSpec{Family: color.Colored, Base: base, Dose: 0.005}, fault.MissingOption, "swatch"},
		{"no dose", color.TintSpec{Family: color.Colored, Base: base, Swatch: swatch}, fault.OutOfRange, "dose"},
		{"40 % dose", color.TintSpec{Family: color.Colored, Base: base, Swatch: swatch, Dose: 0.4}, fault.OutOfRange, "dose"},
		{"negative dose", color.TintSpec{Family: color.Colored, Base: base, Swatch: swatch, Dose: -0.01}, fault.OutOfRange, "dose"},
		{"not a number", color.TintSpec{Family: color.Colored, Base: base, Swatch: swatch, Dose: math.NaN()}, fault.OutOfRange, "dose"},
		{"clear base without a wall", color.TintSpec{Family: color.Colored, Base: clearBase(t), Swatch: swatch, Dose: 0.005}, fault.MissingOption, "wall"},
		{"a curve of three", color.TintSpec{Family: color.Colored, Base: base, Swatch: color.Curve(color.Spectrum{3}, false), Dose: 0.005}, fault.BadColor, "swatch"},
		{"Lab of no number", color.TintSpec{Family: color.Colored, Base: base, Swatch: color.Measured(color.Lab{L: math.NaN()}), Dose: 0.005}, fault.BadColor, "swatch"},
		{"wall of a kilometer", color.TintSpec{Family: color.Colored, Base: base, Swatch: swatch, Dose: 0.005, Wall: color.Wall{MM: 1e6}}, fault.OutOfRange, "wall"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := color.NewTint(c.spec, nil)
			wantFault(t, err, c.code, c.option)
		})
	}
}

func TestBaseRefusals(t *testing.T) {
	seen := color.Hex(warm)
	for _, c := range []struct {
		name   string
		spec   color.BaseSpec
		code   fault.Code
		option string
	}{
		{"no kind", color.BaseSpec{Seen: seen}, fault.NotFound, "base"},
		{"white of no color", color.BaseSpec{Kind: color.WhiteBase}, fault.MissingOption, "base"},
		{"amber without a wall", color.BaseSpec{Kind: color.AmberBase, Seen: seen}, fault.MissingOption, "wall"},
		{"scatters less than nothing", color.BaseSpec{Kind: color.WhiteBase, Seen: seen, Scatter: -1}, fault.OutOfRange, "base"},
		{"wall below nothing", color.BaseSpec{Kind: color.AmberBase, Seen: seen, Wall: color.Wall{MM: -3}}, fault.OutOfRange, "wall"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := color.NewBase(c.spec, nil)
			wantFault(t, err, c.code, c.option)
		})
	}
}

func TestPredictRefusals(t *testing.T) {
	base := whiteBase(t)
	red := tintOf(t, color.Colored, base, "#C9837F", 0.005)
	of := func(parts ...float64) (doses []color.Dose) {
		for _, p := range parts {
			doses = append(doses, color.Dose{Tint: red, Part: p})
		}
		return doses
	}
	for _, c := range []struct {
		name   string
		recipe color.Recipe
		code   fault.Code
		option string
	}{
		{"no base", color.Recipe{}, fault.MissingOption, "base"},
		{"clear without a wall", color.Recipe{Base: clearBase(t)}, fault.MissingOption, "wall"},
		{"five tints", color.Recipe{Base: base, Doses: of(0.001, 0.001, 0.001, 0.001, 0.001)}, fault.TooManyOptions, "tints"},
		{"40 % load", color.Recipe{Base: base, Doses: of(0.4)}, fault.OutOfRange, "tints"},
		{"negative", color.Recipe{Base: base, Doses: of(-0.001)}, fault.OutOfRange, "tints"},
		{"not a number", color.Recipe{Base: base, Doses: of(math.NaN())}, fault.OutOfRange, "tints"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := color.Predict(c.recipe)
			wantFault(t, err, c.code, c.option)
		})
	}
}

func TestParseFamily(t *testing.T) {
	for text, want := range map[string]color.Family{"colored": color.Colored, " Colour ": color.Colored, "MICA": color.Pearl,
		"glow in the dark": color.Glow, "neon": color.Fluorescent, "color-shift": color.Pearl, "masstone": color.NeatOnly} {
		if got, err := color.ParseFamily(text); got != want || err != nil {
			t.Errorf("%q is %q, %v", text, got, err)
		}
	}
	_, err := color.ParseFamily("shiny")
	wantFault(t, err, fault.NotFound, "family")
	_, err = color.ParseFamily("")
	wantFault(t, err, fault.MissingOption, "family")
	if len(fault.As(err).Choices()) != len(color.Families()) {
		t.Error("not every family is offered")
	}
}

func TestRefuseWatery(t *testing.T) {
	for _, name := range []string{"red acrylic", "Poster-Paint blue", "food colouring", "watercolor pan", "alcohol ink teal", "water-based green"} {
		wantFault(t, color.RefuseWatery(name), fault.Unsupported, "tint")
	}
	for _, name := range []string{"brick red", "sea blue", "pigment paste", "polyol dispersion", ""} {
		if err := color.RefuseWatery(name); err != nil {
			t.Errorf("%q: %v", name, err)
		}
	}
}

func TestReadCured(t *testing.T) {
	for _, c := range []struct {
		text    string
		kind    color.BaseKind
		assumed bool
	}{
		{"#F2EFE6", color.WhiteBase, false}, {"#141416", color.BlackBase, false}, {"clear", color.ClearBase, false},
		{"amber", color.AmberBase, true}, {"White", color.WhiteBase, true}, {"black", color.BlackBase, true},
	} {
		spec, assumed, err := color.ReadCured(c.text)
		if err != nil || spec.Kind != c.kind || assumed != c.assumed || assumed != (spec.Quality == color.Poor) {
			t.Errorf("%q: %+v, assumed %v, %v", c.text, spec, assumed, err)
		}
		if _, err := color.NewBase(spec, nil); err != nil {
			t.Errorf("%q makes no base: %v", c.text, err)
		}
	}
	_, _, err := color.ReadCured("milky blue")
	wantFault(t, err, fault.BadColor, "base")
}

func TestParseHex(t *testing.T) {
	for text, want := range map[string]string{"#C9837F": "#C9837F", "c9837f": "#C9837F", "#fa0": "#FFAA00", " #000000 ": "#000000"} {
		if got, err := color.ParseHex(text); err != nil || got.String() != want {
			t.Errorf("%q is %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "#", "red", "#12345", "#1234567", "#+12345", "#0x123", strings.Repeat("f", 4000)} {
		_, err := color.ParseHex(text)
		wantFault(t, err, fault.BadColor, "")
		if len(fault.As(err).Message) > 120 {
			t.Errorf("the message for %d characters has %d", len(text), len(fault.As(err).Message))
		}
	}
}

func TestFloor(t *testing.T) {
	if got := color.Floor(); got != 1.5 {
		t.Errorf("nothing read: %v, want 1.5", got)
	}
	if got := color.Floor(color.Instrument, color.Phone, color.Careful); got != 10 {
		t.Errorf("the worst counts: %v, want 10", got)
	}
	if got := color.Floor(""); got != color.Floor(color.Phone) {
		t.Errorf("an unknown reading: %v", got)
	}
	last := 0.0
	for _, q := range color.Qualities() {
		read, err := color.ParseQuality(" " + strings.ToUpper(string(q)))
		if err != nil || read != q || color.Floor(q) < last {
			t.Errorf("%s: %v, %v, floor %v after %v", q, read, err, color.Floor(q), last)
		}
		last = color.Floor(q)
	}
	_, err := color.ParseQuality("great")
	wantFault(t, err, fault.NotFound, "quality")
}

func TestCacheIsBounded(t *testing.T) {
	c := color.NewCache(3)
	var none *color.Cache
	for i := range 40 {
		code := color.RGB{R: uint8(10 + i%7), G: 90, B: 120}
		if c.Reflectance(code) != none.Reflectance(code) {
			t.Fatal("the cache changes a curve")
		}
		if c.Len() > 3 {
			t.Fatalf("%d curves kept", c.Len())
		}
	}
}

// TestCacheIsShared by goroutines, which see the same curves.
func TestCacheIsShared(t *testing.T) {
	c := color.NewCache(4)
	var none *color.Cache
	var wait sync.WaitGroup
	for range 4 {
		wait.Go(func() {
			for i := range 50 {
				code := color.RGB{R: uint8(100 + i%9), G: 90, B: 120}
				if c.Reflectance(code) != none.Reflectance(code) {
					t.Errorf("another curve for %s", code)
				}
			}
		})
	}
	wait.Wait()
	if c.Len() > 4 {
		t.Errorf("%d curves kept", c.Len())
	}
}

// TestOutsideOfScreens: a reading that no screen shows is flagged.
func TestOutsideOfScreens(t *testing.T) {
	if _, clipped := (color.Lab{L: 60, A: 90, B: 90}).XYZ().Linear().RGB(); !clipped {
		t.Error("an impossible orange is not flagged")
	}
	if _, clipped := hex(t, "#FF8000").Linear().RGB(); clipped {
		t.Error("a screen's own color is flagged")
	}
}
