// Package fit answers how large a part comes out: what shrinks in the mold and
// in the cast, how much larger the master has to be, and what heat adds.
//
//	k, err := fit.Oversize(0.004, 0.002)   // 1.00603: master = part × k
//	size, err := fit.Size(150, 0.004, 0.002) // 149.10 mm
//
// Shrinkages are fractions of a length unless it says volume; below zero is
// growth. The figures come from bulletins (ASTM D2566 measures those of casting
// resins, from memory) or from parts that were measured: a thick or hot pour
// shrinks more than the bulletin's bar, and a rigid filler takes some away.
package fit

import (
	"math"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// limit is the most that a length is taken to shrink or grow; casting resins
// and rubbers stay within a few percent.
const limit = 0.5

// generations is the most steps from the master to the last cast.
const generations = 8

func check(s float64) error {
	if !(s > -limit && s < limit) {
		return fault.New(fault.OutOfRange, "a shrinkage of %s is none of a cast", quantity.Percent(s)).In("shrink").
			Hint("give the bulletin's linear one, from -50 to 50 %%, such as 0.3 %%")
	}
	return nil
}

// Oversize is how many times the wanted part the master must measure, after one
// to eight steps that shrink by these fractions of length, in any order: the
// mold, the cast, the next mold …: Π 1/(1 − s). Errors: out_of_range.
func Oversize(shrinks ...float64) (float64, error) {
	if len(shrinks) == 0 || len(shrinks) > generations {
		return 0, fault.New(fault.OutOfRange, "%d shrinkages were given", len(shrinks)).In("shrink").
			Hint("give one for each mold and each cast from the master to the part, up to %d", generations)
	}
	k := 1.0
	for _, s := range shrinks {
		if err := check(s); err != nil {
			return 0, err
		}
		k /= 1 - s
	}
	return k, nil
}

// Size is what a master of mm comes out as after these steps: mm·Π(1 − s).
// Errors: out_of_range.
func Size(mm float64, shrinks ...float64) (float64, error) {
	k, err := Oversize(shrinks...)
	if err == nil && !(mm > 0 && mm <= 1e6) {
		err = fault.New(fault.OutOfRange, "a master of %s mm is none", working.Num(mm)).In("master").Hint("give its length, such as 150 mm")
	}
	if err != nil {
		return 0, err
	}
	return mm / k, nil
}

// VolumeOf is the shrinkage of a volume whose lengths shrink by s, the same in
// all directions: 1 − (1 − s)³, about 3s. Error: out_of_range.
func VolumeOf(s float64) (float64, error) {
	if err := check(s); err != nil {
		return 0, err
	}
	return s * (3 - s*(3-s)), nil // without the loss of digits of 1 − (1 − s)³
}

// LinearOf is the shrinkage of lengths that go with one of volume, the other way
// of VolumeOf: 1 − ∛(1 − v). Error: out_of_range.
func LinearOf(v float64) (float64, error) {
	s := -math.Expm1(math.Log1p(-v) / 3)
	if !(v < 1) || check(s) != nil {
		return 0, fault.New(fault.OutOfRange, "a shrinkage of volume of %s is none of a cast", quantity.Percent(v)).In("volume").
			Hint("give one from -230 to 87 %%, such as 4 %%")
	}
	return s, nil
}

// FromDensities is the shrinkage of volume from the liquid mix to the cured
// solid, densities in one unit: 1 − ρ_liquid/ρ_cured. What shrinks while it is
// still liquid is fed from above and leaves no mark, so that lengths shrink by
// less than LinearOf it: Lengths. Error: out_of_range.
func FromDensities(liquid, cured float64) (float64, error) {
	for i, d := range []float64{liquid, cured} {
		if !(d > 0 && d <= 30) {
			name := []string{"liquid", "cured"}[i]
			return 0, fault.New(fault.OutOfRange, "a %s density of %s g/mL is none", name, working.Num(d)).In(name).Hint("give it as the bulletin has it, such as 1.05 g/ml")
		}
	}
	v := 1 - liquid/cured
	if _, err := LinearOf(v); err != nil {
		return 0, err
	}
	return v, nil
}

// Lengths are the shrinkages of length that go with two densities: from nothing
// to LinearOf the volume's, with the middle between, as how much is fed is not
// known. Error: out_of_range, also where the cured one is lighter.
func Lengths(liquid, cured float64) (quantity.Range, error) {
	v, err := FromDensities(liquid, cured)
	if err != nil {
		return quantity.Range{}, err
	}
	if v < 0 {
		return quantity.Range{}, fault.New(fault.OutOfRange, "the cured density %s g/mL is below the liquid's %s", working.Num(cured), working.Num(liquid)).
			In("cured").Hint("look whether they are swapped, or whether the sample held air")
	}
	most, err := LinearOf(v)
	return quantity.Range{Mid: most / 2, High: most}, err
}

// Expansion is what a length in mm gains when it warms by that many K, with a
// linear coefficient per K: α·L·ΔT. Silicone rubber has about 3e-4, rigid urethane
// and epoxy 5e-5 to 10e-5 (from memory). Errors: out_of_range.
func Expansion(mm, perKelvin, warmer float64) (float64, error) {
	switch {
	case !(mm > 0 && mm <= 1e6):
		return 0, fault.New(fault.OutOfRange, "a length of %s mm is none", working.Num(mm)).In("length").Hint("give one above zero, such as 200 mm")
	case !(math.Abs(perKelvin) <= 0.01):
		return 0, fault.New(fault.OutOfRange, "nothing expands by %s of its length for a kelvin", working.Num(perKelvin)).In("per_kelvin").
			Hint("silicone rubber has about 3e-4, rigid resins 5e-5 to 10e-5")
	case !(math.Abs(warmer) <= 500):
		return 0, fault.New(fault.OutOfRange, "a difference of %s K is outside of any cure", working.Num(warmer)).In("warmer").Hint("give a difference up to 500, such as 30 dC")
	}
	return mm * perKelvin * warmer, nil
}
