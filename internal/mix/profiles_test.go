package mix_test

import (
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Invented materials of the three kinds of profile.

// rigid has a volume ratio and both densities.
func rigid() material.Profile {
	return material.Profile{Name: "rigid", Family: material.Urethane, Ratio: byVolume(1, 1), DensityA: 1.10, DensityB: 1.02,
		PotLife: 180, PotLifeMass: 100, Demold: 720, Price: 42, Pack: 1800}
}

// epoxy has a weight ratio and both densities.
func epoxy() material.Profile {
	return material.Profile{Name: "epoxy", Family: material.Epoxy, Ratio: byWeight(100, 45), DensityA: 1.15, DensityB: 0.98,
		PotLife: 2400, PotLifeMass: 150, MaxDepth: 10}
}

// bare has a volume ratio and the density of the mix alone.
func bare() material.Profile {
	return material.Profile{Name: "bare", Family: material.Urethane, Ratio: byVolume(2, 1), DensityMixed: 1.05, PotLife: 180}
}

// unknown has a weight ratio and no density at all.
func unknown() material.Profile {
	return material.Profile{Name: "unknown", Family: material.Urethane, Ratio: byWeight(100, 80), PotLife: 180}
}

func ptr(v float64) *float64 { return &v }

func g(v float64) quantity.Quantity {
	return quantity.Quantity{Value: v, Dim: quantity.Mass, Unit: quantity.Gram}
}

func mL(v float64) quantity.Quantity {
	return quantity.Quantity{Value: v, Dim: quantity.Volume, Unit: quantity.Milliliter}
}
