package cure

import (
	"testing"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

func celsiusOf(v float64) *float64 { return &v }

// rigidWhite and the others are invented, with figures of the order that such
// materials have.
func rigidWhite() material.Profile {
	return material.Profile{Name: "rigid white", Family: material.Urethane, Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume},
		DensityA: 1.10, DensityB: 1.02, PotLife: 180, PotLifeMass: 100, PotLifeTemp: celsiusOf(23),
		Demold: 720, DemoldSection: 6, FullCure: 24 * 3600, MinTemp: celsiusOf(18)}
}

func rigidSlow() material.Profile {
	p := rigidWhite()
	p.Name, p.PotLife, p.Demold, p.FullCure = "rigid slow", 480, 2400, 48*3600
	return p
}

func castingEpoxy() material.Profile {
	return material.Profile{Name: "casting epoxy", Family: material.Epoxy, Ratio: quantity.Ratio{A: 100, B: 45, By: quantity.ByWeight},
		DensityA: 1.15, DensityB: 0.98, PotLife: 2400, PotLifeMass: 150, PotLifeTemp: celsiusOf(22),
		Demold: 24 * 3600, DemoldSection: 6, FullCure: 7 * 86400, MinTemp: celsiusOf(20), MaxDepth: 10}
}

func flexibleAmber() material.Profile {
	return material.Profile{Name: "flexible amber", Family: material.UrethaneRubber, Ratio: quantity.Ratio{A: 100, B: 70, By: quantity.ByWeight},
		DensityA: 1.06, DensityB: 1.02, PotLife: 1500, PotLifeMass: 100, PotLifeTemp: celsiusOf(23),
		Demold: 16 * 3600, DemoldSection: 6, FullCure: 5 * 86400, MinTemp: celsiusOf(18)}
}

func additionSilicone() material.Profile {
	return material.Profile{Name: "addition silicone", Family: material.SiliconeAddition, Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByWeight},
		DensityA: 1.11, DensityB: 1.11, PotLife: 2100, PotLifeMass: 100, PotLifeTemp: celsiusOf(23),
		Demold: 5 * 3600, FullCure: 36 * 3600, MinTemp: celsiusOf(18)}
}

// demoProfiles are all of them.
func demoProfiles() []material.Profile {
	return []material.Profile{rigidWhite(), rigidSlow(), castingEpoxy(), flexibleAmber(), additionSilicone()}
}

// BenchmarkEnsemble answers one question from nothing: 64 draws calibrated and
// run with chart data, on one core.
func BenchmarkEnsemble(b *testing.B) {
	for _, c := range []struct {
		name string
		p    material.Profile
		s    Setup
	}{
		{"urethane", rigidSlow(), Setup{Thickest: 12, Thinnest: 4, Room: 21}},
		{"urethane hot", rigidWhite(), Setup{Thickest: 25, Thinnest: 4, Room: 21}},
		{"epoxy", castingEpoxy(), Setup{Thickest: 10, Thinnest: 4, Room: 21}},
		{"epoxy hot", castingEpoxy(), Setup{Thickest: 25, Room: 21}},
		{"silicone", additionSilicone(), Setup{Thickest: 12, Room: 21}},
	} {
		b.Run(c.name, func(b *testing.B) {
			r, _, err := FromProfile(c.p)
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Estimate(r, c.s, Learned{}, 1, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkKnown is the same with the resin's model at hand.
func BenchmarkKnown(b *testing.B) {
	for _, p := range []material.Profile{rigidSlow(), castingEpoxy()} {
		b.Run(p.Name, func(b *testing.B) {
			r, _, err := FromProfile(p)
			if err != nil {
				b.Fatal(err)
			}
			m, err := Calibrate(r, 2, nil)
			if err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				if _, err := m.Estimate(Setup{Thickest: 10, Room: 21}, Learned{}, 1, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkCup is what a batch asks: one cup of a known resin on one core, and
// the largest one that stays calm.
func BenchmarkCup(b *testing.B) {
	for _, p := range demoProfiles() {
		r, _, err := FromProfile(p)
		if err != nil {
			b.Fatal(err)
		}
		m, err := Calibrate(r, 2, nil)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(p.Name, func(b *testing.B) {
			for b.Loop() {
				if _, err := m.Cup(Cup{Mass: 300, Room: 21}, 1, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(p.Name+" calm", func(b *testing.B) {
			for b.Loop() {
				if _, err := m.CalmCup(Cup{Room: 21}, 1, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkLift is an estimate that looks for the deepest pour besides.
func BenchmarkLift(b *testing.B) {
	for _, p := range demoProfiles() {
		r, _, err := FromProfile(p)
		if err != nil {
			b.Fatal(err)
		}
		m, err := Calibrate(r, 2, nil)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(p.Name, func(b *testing.B) {
			for b.Loop() {
				if _, err := m.Estimate(Setup{Thickest: 12, Room: 21, Lift: true}, Learned{}, 1, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
