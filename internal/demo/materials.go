package demo

import (
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

const (
	minute = 60.0 // s
	hour   = 60 * minute
	day    = 24 * hour
)

// row is a line of the table below, in the units a bulletin would print.
type row struct {
	name       string
	family     material.Family
	ratio      quantity.Ratio
	a, b       float64 // g/mL
	pot        float64 // min
	potMass    float64 // g
	potTemp    float64 // °C
	demold     float64 // s
	section    float64 // mm, 0 where it is not said
	full       float64 // s
	hardness   material.Hardness
	color      string
	pack       float64 // g
	price      float64 // GBP
	minTemp    float64 // °C
	maxDepth   float64 // mm in one pour
	openMonths int
}

// side is the part that colorant goes into: B for the urethanes, A for the rest.
func (r row) side() material.Side {
	switch r.family {
	case material.Urethane, material.UrethaneRubber:
		return material.SideB
	}
	return material.SideA
}

func (r row) profile() material.Profile {
	hardness := r.hardness
	return material.Profile{
		Name: r.name, Family: r.family, Ratio: r.ratio,
		DensityA: r.a, DensityB: r.b,
		PotLife: r.pot * minute, PotLifeMass: r.potMass, PotLifeTemp: &r.potTemp,
		Demold: r.demold, DemoldSection: r.section, FullCure: r.full,
		Hardness: &hardness, CuredColor: r.color,
		TintSide: r.side(), MaxTint: 0.02,
		MinTemp: &r.minTemp, MaxDepth: r.maxDepth,
		ShelfOpened: material.Span{Months: r.openMonths},
		Price:       r.price, Pack: r.pack,
	}
}

// materials are invented: their numbers are of the order that such materials
// have, and none is any maker's.
func materials() []material.Profile {
	const white, black = "#F2EFE6", "#141416"
	vol := func(a, b float64) quantity.Ratio { return quantity.Ratio{A: a, B: b, By: quantity.ByVolume} }
	wt := func(a, b float64) quantity.Ratio { return quantity.Ratio{A: a, B: b, By: quantity.ByWeight} }
	shore := func(n float64, scale string) material.Hardness { return material.Hardness{Shore: n, Scale: scale} }

	rows := []row{
		{"demo rigid white", material.Urethane, vol(1, 1), 1.10, 1.02, 3, 100, 23, 12 * minute, 6, 24 * hour,
			shore(74, "D"), white, 1800, 42, 18, 0, 4},
		{"demo rigid slow white", material.Urethane, vol(1, 1), 1.10, 1.02, 8, 100, 23, 40 * minute, 6, 48 * hour,
			shore(74, "D"), white, 1800, 44, 18, 0, 4},
		{"demo rigid black", material.Urethane, vol(1, 1), 1.11, 1.03, 3, 100, 23, 12 * minute, 6, 24 * hour,
			shore(75, "D"), black, 1800, 46, 18, 0, 4},
		{"demo rigid clear", material.Urethane, wt(100, 80), 1.08, 1.04, 15, 100, 23, 150 * minute, 6, 5 * day,
			shore(77, "D"), "clear", 1800, 68, 18, 0, 4},
		{"demo flexible amber", material.UrethaneRubber, wt(100, 70), 1.06, 1.02, 25, 100, 23, 16 * hour, 6, 5 * day,
			shore(55, "A"), "amber", 1700, 55, 18, 0, 4},
		{"demo casting epoxy", material.Epoxy, wt(100, 45), 1.15, 0.98, 40, 150, 22, 24 * hour, 6, 7 * day,
			shore(80, "D"), "clear", 1450, 39, 20, 10, 0},
		{"demo tin silicone", material.SiliconeCondensation, wt(100, 8), 1.26, 0.98, 40, 100, 23, 16 * hour, 0, 7 * day,
			shore(28, "A"), "sand", 1080, 31, 18, 0, 0},
		{"demo addition silicone", material.SiliconeAddition, wt(1, 1), 1.11, 1.11, 35, 100, 23, 5 * hour, 0, 36 * hour,
			shore(24, "A"), "milky blue", 2000, 64, 18, 0, 0},
	}
	profiles := make([]material.Profile, len(rows))
	for i, r := range rows {
		profiles[i] = r.profile()
	}
	return profiles
}
