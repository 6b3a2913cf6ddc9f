package gas

import (
	"math"

	"github.com/pourwright/pourwright/internal/quantity"
)

// BubbleVolume is the share of a bubble's volume that is left in a pot whose
// gauge shows a pressure, over the air around it: P_air/(P_air + P_gauge). Both
// in kPa; the result is 1 without pressure. It shrinks a bubble and takes none
// away: it grows back if the pressure goes before the resin has set. Errors:
// out_of_range.
func BubbleVolume(gauge, air float64) (float64, error) {
	p, err := Absolute(gauge, air)
	if err != nil {
		return 0, err
	}
	return air / p, nil
}

// BubbleSize is the share of a bubble's width that is left, the cube root of
// BubbleVolume.
func BubbleSize(gauge, air float64) (float64, error) {
	v, err := BubbleVolume(gauge, air)
	return math.Cbrt(v), err
}

// BubbleUnder is the width in mm that a bubble of width mm at the air's pressure
// has at an absolute one, in kPa: d·∛(P_air/P). Surface tension, which holds a
// small bubble back, is left out. Errors: out_of_range; no bubble has a size in
// empty space.
func BubbleUnder(mm, absolute, air float64) (float64, error) {
	if err := checkSize("width", mm); err != nil {
		return 0, err
	}
	if err := checkThin(absolute, air); err != nil {
		return 0, err
	}
	return mm * math.Cbrt(air/absolute), nil
}

// FoamRise is how many times its volume a mix takes up with a share of air in it
// (0.03 is 3 %), once its pressure falls from the air's to an absolute one, in
// kPa: 1 − a + a·P_air/P. It tells of ideal bubbles that stay in; a cup needs
// CupLeast to CupMost times the mix. Errors: out_of_range.
func FoamRise(share, absolute, air float64) (float64, error) {
	if !(share >= 0 && share < 1) {
		return 0, outside("share", "a share of air of %s is none", quantity.Percent(share)).Hint("give one from 0 to below 100 %%, such as 3 %%")
	}
	if err := checkThin(absolute, air); err != nil {
		return 0, err
	}
	return 1 - share + share*air/absolute, nil
}

// A cup for degassing holds this many times the mix. Common practice, no source.
const (
	CupLeast = 3.0
	CupMost  = 5.0
)

// checkThin wants an absolute pressure that is not nothing.
func checkThin(absolute, air float64) error {
	if err := checkBoth(absolute, air); err != nil {
		return err
	}
	if absolute < 0.01 {
		return outside("absolute", "at %s kPa absolute a bubble has no size that could be told", quantity.Text(absolute, quantity.Number, quantity.Metric)).
			Hint("give at least 0.01 kPa; a pump of a workshop reaches about 0.1 to 3 kPa")
	}
	return nil
}
