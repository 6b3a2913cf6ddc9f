package cure

import (
	"math"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
)

func TestPlaceRefuses(t *testing.T) {
	r, _, err := FromProfile(rigidWhite())
	if err != nil {
		t.Fatal(err)
	}
	with := func(f func(*Setup)) Setup {
		s := Setup{Thickest: 12, Room: 21}
		f(&s)
		return s
	}
	for _, c := range []struct {
		name   string
		s      Setup
		code   fault.Code
		option string
	}{
		{"no thickness", Setup{Room: 21}, fault.MissingOption, "thickness"},
		{"3 m thick", with(func(s *Setup) { s.Thickest = 3000 }), fault.OutOfRange, "thickness"},
		{"negative", with(func(s *Setup) { s.Thickest = -1 }), fault.OutOfRange, "thickness"},
		{"not a number", with(func(s *Setup) { s.Thickest = math.NaN() }), fault.OutOfRange, "thickness"},
		{"-40 °C", with(func(s *Setup) { s.Room = -40 }), fault.OutOfRange, "temp"},
		{"an oven for a room", with(func(s *Setup) { s.Room = 90 }), fault.OutOfRange, "temp"},
		{"room not a number", with(func(s *Setup) { s.Room = math.NaN() }), fault.OutOfRange, "temp"},
		{"frozen resin", with(func(s *Setup) { s.Resin = celsiusOf(-5) }), fault.OutOfRange, "resin_temp"},
		{"glowing mold", with(func(s *Setup) { s.Mold = celsiusOf(200) }), fault.OutOfRange, "mold_temp"},
		{"thinnest thicker", with(func(s *Setup) { s.Thinnest = 20 }), fault.OutOfRange, "thinnest"},
		{"foil", with(func(s *Setup) { s.Thinnest = 0.1 }), fault.OutOfRange, "thinnest"},
		{"a ton in a cup", with(func(s *Setup) { s.Mass = 1e6 }), fault.OutOfRange, "mass"},
		{"an empty cup", Setup{InCup: true, Room: 21}, fault.MissingOption, "mass"},
		{"half a plate", with(func(s *Setup) { s.Length = 100 }), fault.MissingOption, "width"},
		{"the other half", with(func(s *Setup) { s.Width = 100 }), fault.MissingOption, "length"},
		{"a thread", with(func(s *Setup) { s.Length, s.Width = 0.01, 100 }), fault.OutOfRange, "length"},
		{"an endless part", with(func(s *Setup) { s.Volume = math.Inf(1) }), fault.OutOfRange, "volume"},
		{"less than nothing", with(func(s *Setup) { s.Volume, s.Area = 20, -1 }), fault.OutOfRange, "area"},
		{"cheese", with(func(s *Setup) { s.Walls = []Wall{{"cheese", 10}} }), fault.NotFound, "wall"},
		{"no wall thickness", with(func(s *Setup) { s.Walls = []Wall{{WallPlaster, 0}} }), fault.OutOfRange, "wall"},
		{"three walls", with(func(s *Setup) { s.Walls = []Wall{DefaultWall(), DefaultWall(), DefaultWall()} }), fault.TooManyOptions, "wall"},
		{"a cold post cure", with(func(s *Setup) { s.Post = &Post{3600, 5} }), fault.OutOfRange, "post"},
		{"no post time", with(func(s *Setup) { s.Post = &Post{0, 65} }), fault.OutOfRange, "post"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := r.place(c.s)
			f := fault.As(err)
			if f == nil {
				t.Fatalf("%+v was taken: %v", c.s, err)
			}
			if f.Code != c.code || f.Option != c.option || f.HintText() == "" {
				t.Errorf("%s of %s, hint %q; want %s of %s and a hint", f.Code, f.Option, f.HintText(), c.code, c.option)
			}
		})
	}
}

func TestPlace(t *testing.T) {
	r, _, err := FromProfile(rigidWhite())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name    string
		s       Setup
		r, sf   float64
		outside bool
	}{
		{"plate", Setup{Thickest: 6, Room: 21}, 0.003, 1, false},
		{"cut plate", Setup{Thickest: 6, Length: 100, Width: 100, Room: 21}, 0.003, 1.12, false},
		{"cube", Setup{Thickest: 30, Length: 30, Width: 30, Room: 21}, 0.015, 3, false},
		{"by volume and area", Setup{Thickest: 20, Volume: 62.831853, Area: 13194.689, Room: 21}, 0.010, 2.1, false},
		{"a ball by volume", Setup{Thickest: 20, Volume: 4.1887902, Room: 21}, 0.010, 3, false},
		{"a small figure by volume", Setup{Thickest: 14, Volume: 6.2, Room: 21}, 0.007, 1.842687, false},
		{"a large tray by volume", Setup{Thickest: 9, Volume: 240, Room: 21}, 0.0045, 1, false},
		{"on a bench", Setup{Thickest: 10, Bench: true, Room: 21}, 0.010, 1, false},
		{"thin", Setup{Thickest: 0.7, Room: 21}, 0.00035, 1, true},
		{"thick", Setup{Thickest: 150, Room: 21}, 0.075, 1, true},
		{"cold room", Setup{Thickest: 6, Room: 5}, 0.003, 1, true},
		{"large cup", Setup{Thickest: 6, Mass: 8000, Room: 21}, 0.003, 1, true},
		{"post cure alone", Setup{Thickest: 6, Room: 21, Post: &Post{3600, 90}}, 0.003, 1, false},
	} {
		p, err := r.place(c.s)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if math.Abs(p.r-c.r) > 1e-12 || math.Abs(p.s-c.sf) > 1e-5 || len(p.outside) > 0 != c.outside {
			t.Errorf("%s: R %v, s %v, outside %v; want %v, %v, %v", c.name, p.r, p.s, p.outside, c.r, c.sf, c.outside)
		}
	}
}

func TestFromProfileRefuses(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*material.Profile)
		code   fault.Code
		option string
	}{
		{"no pot life", func(p *material.Profile) { p.PotLife = 0 }, fault.MissingOption, "pot_life"},
		{"a second", func(p *material.Profile) { p.PotLife = 1 }, fault.OutOfRange, "pot_life"},
		{"a week", func(p *material.Profile) { p.PotLife = 7 * 86400 }, fault.OutOfRange, "pot_life"},
		{"not a number", func(p *material.Profile) { p.PotLife = math.NaN() }, fault.OutOfRange, "pot_life"},
		{"other", func(p *material.Profile) { p.Family = material.Other }, fault.MissingOption, "family"},
		{"none", func(p *material.Profile) { p.Family = "" }, fault.MissingOption, "family"},
		{"plaster", func(p *material.Profile) { p.Family = material.Plaster }, fault.NotFound, "material"},
	} {
		p := rigidWhite()
		c.change(&p)
		_, _, err := FromProfile(p)
		if f := fault.As(err); f == nil || f.Code != c.code || f.Option != c.option || f.HintText() == "" {
			t.Errorf("%s: %v, want %s of %s with a hint", c.name, err, c.code, c.option)
		}
	}
}

// TestHeatByFamily: an epoxy is never taken for a mild urethane, however slow.
func TestHeatByFamily(t *testing.T) {
	for _, c := range []struct {
		f    material.Family
		pot  float64
		want float64
	}{
		{material.Urethane, 180, 200e3}, {material.Urethane, 300, 180e3}, {material.Urethane, 900, 180e3}, {material.Urethane, 901, 160e3},
		{material.UrethaneRubber, 1500, 160e3}, {material.Epoxy, 60, 380e3}, {material.Epoxy, 6 * 3600, 380e3},
		{material.Polyester, 900, 300e3}, {material.SiliconeAddition, 2000, 10e3}, {material.SiliconeCondensation, 2000, 10e3}, {material.Other, 60, 0},
	} {
		if got := HeatOf(c.f, c.pot); got != c.want {
			t.Errorf("%s with a pot life of %v s: %v J/kg, want %v", c.f, c.pot, got, c.want)
		}
	}
	p := castingEpoxy()
	p.PotLife = 6 * 3600
	if r, _, err := FromProfile(p); err != nil || r.Heat != epoxyHeat || r.B != 17 {
		t.Errorf("a slow epoxy has %v J/kg and b = %v (%v)", r.Heat, r.B, err)
	}
	p.Heat = 310
	if r, _, _ := FromProfile(p); r.Heat != 310e3 {
		t.Errorf("the bulletin's own heat became %v J/kg", r.Heat)
	}
}

// TestAssumed: what a bulletin leaves out is asked for in plain words.
func TestAssumed(t *testing.T) {
	full := rigidWhite()
	full.Heat = 190
	if _, assumed, _ := FromProfile(full); len(assumed) != 0 {
		t.Errorf("a full profile is asked %v", assumed)
	}
	bare := material.Profile{Name: "bare", Family: material.Urethane, Ratio: full.Ratio, PotLife: 180, Demold: 900}
	r, assumed, err := FromProfile(bare)
	if err != nil {
		t.Fatal(err)
	}
	for _, word := range []string{"density", "heat", "in the cup", "temperature", "thick"} {
		found := false
		for _, a := range assumed {
			found = found || strings.Contains(a.Ask, word) && strings.HasSuffix(strings.TrimSpace(a.Ask[:strings.Index(a.Ask, "?")+1]), "?")
		}
		if !found {
			t.Errorf("nothing asks about %q: %v", word, assumed)
		}
	}
	if !r.MassAssumed || !r.TempAssumed || !r.SheetAssumed || r.PotMass != 0.1 || r.Temp != defaultTemp || r.Sheet != 0.003 {
		t.Errorf("assumed %+v", r)
	}
}
