package material_test

import (
	"math"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

func ptr(v float64) *float64 { return &v }

const (
	minute = 60.0
	hour   = 3600.0
	day    = 24 * hour
)

// full is a profile with everything said and nothing to complain of.
func full() material.Profile {
	return material.Profile{
		Name: "rigid white", Family: material.Urethane, Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume},
		DensityA: 1.10, DensityB: 1.02, DensityMixed: 1.07,
		PotLife: 3 * minute, PotLifeMass: 100, PotLifeTemp: ptr(23),
		Demold: 12 * minute, DemoldSection: 6, FullCure: day,
		Hardness: &material.Hardness{Shore: 74, Scale: "D"}, CuredColor: "#F2EFE6", TintSide: material.SideB, MaxTint: 0.02,
		MinTemp: ptr(18), MaxTemp: ptr(35), MaxDepth: 25, MaxMass: 500,
		ShelfLife: material.Span{Months: 12}, ShelfOpened: material.Span{Months: 4},
		Price: 42, Pack: 1800, PackA: 934, PackB: 866, Heat: 250, Notes: "line one\nline two", Link: "https://example.org/bulletin.pdf",
	}
}

func TestCheckPasses(t *testing.T) {
	for name, p := range map[string]material.Profile{
		"everything said": full(),
		"the least": {Name: "rigid", Family: material.Other, Ratio: quantity.Ratio{A: 100, B: 45, By: quantity.ByWeight},
			PotLife: 5 * minute, PotLifeMass: 100, PotLifeTemp: ptr(23)},
	} {
		if got := material.Check(p); len(got.Errors)+len(got.Warnings) > 0 || got.Err() != nil {
			t.Errorf("%s: %v, %v", name, got.Errors, got.Warnings)
		}
	}
}

func TestCheckRefuses(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*material.Profile)
		code   fault.Code
		option string
		says   string // in the message or hint
	}{
		{"no name", func(p *material.Profile) { p.Name = "  " }, fault.MissingOption, "name", "rigid white"},
		{"a name as long as a letter", func(p *material.Profile) { p.Name = strings.Repeat("x", 61) }, fault.OutOfRange, "name", "60"},
		{"a name with a bell", func(p *material.Profile) { p.Name = "a\ab" }, fault.OutOfRange, "name", "plain letters"},
		{"a name of broken bytes", func(p *material.Profile) { p.Name = "a\xff" }, fault.OutOfRange, "name", "plain letters"},
		{"no family", func(p *material.Profile) { p.Family = "" }, fault.MissingOption, "family", "silicone addition"},
		{"an unknown family", func(p *material.Profile) { p.Family = "cheese" }, fault.NotFound, "family", "epoxy"},
		{"no ratio", func(p *material.Profile) { p.Ratio = quantity.Ratio{} }, fault.MissingOption, "ratio", "100:45 wt"},
		{"half a ratio", func(p *material.Profile) { p.Ratio.B = 0 }, fault.OutOfRange, "ratio", "more than zero"},
		{"a ratio of nothing known", func(p *material.Profile) { p.Ratio.A = math.NaN() }, fault.OutOfRange, "ratio", "more than zero"},
		{"a ratio without basis", func(p *material.Profile) { p.Ratio.By = quantity.NoBasis }, fault.AmbiguousUnit, "ratio", "1:1 vol"},
		{"a thousand to one and more", func(p *material.Profile) { p.Ratio = quantity.Ratio{A: 1001, B: 1, By: quantity.ByWeight} }, fault.OutOfRange, "ratio", "1000"},
		{"no pot life", func(p *material.Profile) { p.PotLife = 0 }, fault.MissingOption, "pot_life", "3 min, 100 g, 23 C"},
		{"a pot life of a second", func(p *material.Profile) { p.PotLife = 1 }, fault.OutOfRange, "pot_life", "3 min"},
		{"demold within the pot life", func(p *material.Profile) { p.Demold = 3 * minute }, fault.OutOfRange, "demold", "pot life"},
		{"full cure before demold", func(p *material.Profile) { p.FullCure = 12 * minute }, fault.OutOfRange, "full_cure", "demold"},
		{"full cure within the pot life", func(p *material.Profile) { p.Demold, p.FullCure = 0, 2*minute }, fault.OutOfRange, "full_cure", "pot life"},
		{"a density of 11", func(p *material.Profile) { p.DensityA = 11 }, fault.OutOfRange, "density_a", "lb/gal"},
		{"kg/m³", func(p *material.Profile) { p.DensityB = 1020 }, fault.OutOfRange, "density_b", "1.02 g/mL"},
		{"in³/lb", func(p *material.Profile) { p.DensityMixed = 25.8 }, fault.OutOfRange, "density_mixed", "in3/lb"},
		{"lighter than cork", func(p *material.Profile) { p.DensityA = 0.1 }, fault.OutOfRange, "density_a", "1.10"},
		{"less than nothing", func(p *material.Profile) { p.DensityA = -1 }, fault.OutOfRange, "density_a", "1.10"},
		{"a mix denser than its parts can make", func(p *material.Profile) { p.DensityMixed = 1.4 }, fault.OutOfRange, "density_mixed", "check all three"},
		{"a mix lighter than either", func(p *material.Profile) { p.DensityMixed = 0.95 }, fault.OutOfRange, "density_mixed", "check all three"},
		{"a boiling room", func(p *material.Profile) { p.PotLifeTemp = ptr(95) }, fault.OutOfRange, "pot_life_temp", "23 C"},
		{"coldest above warmest", func(p *material.Profile) { p.MinTemp = ptr(36) }, fault.OutOfRange, "max_temp", "not above"},
		{"Shore 140", func(p *material.Profile) { p.Hardness.Shore = 140 }, fault.OutOfRange, "hardness", "74 D"},
		{"Shore E", func(p *material.Profile) { p.Hardness.Scale = "E" }, fault.NotFound, "hardness", "74 D"},
		{"a third part", func(p *material.Profile) { p.TintSide = "C" }, fault.NotFound, "tint_side", "A or B"},
		{"half colorant", func(p *material.Profile) { p.MaxTint = 0.5 }, fault.OutOfRange, "max_tint", "2 %"},
		{"a pour as deep as a house", func(p *material.Profile) { p.MaxDepth = 9000 }, fault.OutOfRange, "max_depth", "10 mm"},
		{"a cup of a hair", func(p *material.Profile) { p.MaxMass = 0.1 }, fault.OutOfRange, "max_mass", "500 g"},
		{"a negative price", func(p *material.Profile) { p.Price = -1 }, fault.OutOfRange, "price", "42.00"},
		{"heat of an explosive", func(p *material.Profile) { p.Heat = 4184 }, fault.OutOfRange, "heat", "250"},
		{"a century on the shelf", func(p *material.Profile) { p.ShelfLife.Months = 1200 }, fault.OutOfRange, "shelf_life", "4 months"},
		{"packs that do not add up", func(p *material.Profile) { p.PackA = 1200 }, fault.OutOfRange, "pack", "pack alone"},
		{"a part as large as the pack", func(p *material.Profile) { p.PackA, p.PackB = 1800, 0 }, fault.OutOfRange, "pack", "A and B together"},
		{"a script for a link", func(p *material.Profile) { p.Link = "javascript:alert(1)" }, fault.OutOfRange, "link", "https://"},
		{"a novel", func(p *material.Profile) { p.Notes = strings.Repeat("x", 1001) }, fault.OutOfRange, "notes", "1000"},
		{"a mass of no number", func(p *material.Profile) { p.PotLifeMass = math.NaN() }, fault.OutOfRange, "pot_life_mass", "100 g"},
		{"an endless section", func(p *material.Profile) { p.DemoldSection = math.Inf(1) }, fault.OutOfRange, "demold_section", "sample"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := full()
			c.change(&p)
			var found *fault.Error
			for _, f := range material.Check(p).Errors {
				if f.Code == c.code && f.Option == c.option {
					found = f
				}
			}
			if found == nil {
				t.Fatalf("want %s in %s, got %v", c.code, c.option, material.Check(p).Errors)
			}
			if text := found.Message + " / " + found.HintText(); !strings.Contains(text, c.says) {
				t.Errorf("%q does not say %q", text, c.says)
			}
		})
	}
}

func TestCheckWarns(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*material.Profile)
		option string
	}{
		{"a ratio of 150 to 1", func(p *material.Profile) { p.Ratio = quantity.Ratio{A: 150, B: 1, By: quantity.ByWeight} }, "ratio"},
		{"5 % peroxide", func(p *material.Profile) {
			p.Family, p.Ratio = material.Polyester, quantity.Ratio{A: 100, B: 5, By: quantity.ByWeight}
		}, "ratio"},
		{"20 % tin catalyst", func(p *material.Profile) {
			p.Family, p.Ratio = material.SiliconeCondensation, quantity.Ratio{A: 100, B: 20, By: quantity.ByWeight}
		}, "ratio"},
		{"dense as a stone", func(p *material.Profile) { p.DensityA, p.DensityMixed = 1.8, 0 }, "density_a"},
		{"a cured density for the mix", func(p *material.Profile) { p.DensityMixed = 1.15 }, "density_mixed"},
		{"a pot life of no mass", func(p *material.Profile) { p.PotLifeMass = 0 }, "pot_life"},
		{"a demold time of no section", func(p *material.Profile) { p.DemoldSection = 0 }, "demold"},
		{"silicone on the D scale", func(p *material.Profile) { p.Family = material.SiliconeAddition }, "hardness"},
		{"95 A", func(p *material.Profile) { p.Hardness = &material.Hardness{Shore: 95, Scale: "A"} }, "hardness"},
		{"10 A", func(p *material.Profile) {
			p.Family, p.Hardness = material.UrethaneRubber, &material.Hardness{Shore: 10, Scale: "A"}
		}, "hardness"},
		{"colorant into the hardener of an epoxy", func(p *material.Profile) { p.Family = material.Epoxy }, "tint_side"},
		{"5 % colorant", func(p *material.Profile) { p.MaxTint = 0.05 }, "max_tint"},
		{"open keeps longer than sealed", func(p *material.Profile) { p.ShelfOpened = material.Span{Days: 400} }, "shelf_opened"},
		{"one part's pack alone", func(p *material.Profile) { p.Pack, p.PackB = 0, 0 }, "pack"},
		{"packs that do not fit the ratio", func(p *material.Profile) { p.Pack, p.PackA, p.PackB = 0, 900, 450 }, "pack_b"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := full()
			c.change(&p)
			got := material.Check(p)
			if len(got.Errors) > 0 {
				t.Fatalf("refused: %v", got.Errors)
			}
			for _, w := range got.Warnings {
				if w.Option == c.option && strings.HasSuffix(w.Text, ".") {
					return
				}
			}
			t.Errorf("no warning about %s: %v", c.option, got.Warnings)
		})
	}
}

// Every refusal tells what to type; Check never fails on odd numbers.
func FuzzCheck(f *testing.F) {
	f.Add("rigid", "urethane", 1.0, 1.0, uint8(1), 1.1, 1.02, 1.07, 180.0, 720.0, 86400.0, 1800.0)
	f.Add("", "", 0.0, -1.0, uint8(9), 1e300, math.Inf(1), -5.0, 1e-9, 0.0, -1.0, 1.0)
	f.Fuzz(func(t *testing.T, name, family string, a, b float64, by uint8, rhoA, rhoB, rho, pot, demold, cure, pack float64) {
		p := material.Profile{Name: name, Family: material.Family(family), Ratio: quantity.Ratio{A: a, B: b, By: quantity.Basis(by % 3)},
			DensityA: rhoA, DensityB: rhoB, DensityMixed: rho, PotLife: pot, Demold: demold, FullCure: cure, Pack: pack, Price: 10}
		got := material.Check(p)
		for _, e := range got.Errors {
			if e.Option == "" || e.Message == "" || e.HintText() == "" {
				t.Fatalf("%+v: %v does not say where and what to type", p, e)
			}
		}
		if len(got.Errors) > 0 {
			return
		}
		// What is taken can be computed with.
		if r, ok := p.ByWeight(); ok && (!(r.A > 0) || !(r.B > 0) || math.IsInf(r.A/r.B, 0)) {
			t.Fatalf("%+v: ratio by weight %+v", p, r)
		}
		if d, ok := p.Mixed(); ok && !(d.Value >= 0.3 && d.Value <= 6) {
			t.Fatalf("%+v: density %v", p, d.Value)
		}
		if v, ok := p.PricePerGram(); ok && (!(v > 0) || math.IsInf(v, 0)) {
			t.Fatalf("%+v: %v a gram", p, v)
		}
	})
}
