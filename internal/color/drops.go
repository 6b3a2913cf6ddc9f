package color

import "github.com/pourwright/pourwright/internal/fault"

// Bounds of a drop in g. A water drop weighs 0.045 to 0.055 g from a standard
// dropper (USP <1101>) and 0.013 to 0.225 g from tips of 0.7 to 15 mm
// (Eschbaum, in Bull. Pharm. 9 (1895) 461); pastes and other droppers are given
// room.
const (
	dropLeast = 0.002
	dropMost  = 0.5
)

// DropMass is g a drop out of the weight of twenty. It holds for that tint or
// letdown and that dropper alone: other drops differ by 10 to 20 % and more.
// Error: out_of_range, naming weight_of_20.
func DropMass(ofTwenty float64) (float64, error) {
	drop := ofTwenty / dropsWeighed
	if !(drop >= dropLeast && drop <= dropMost) {
		return 0, fault.New(fault.OutOfRange, "twenty drops do not weigh %s g: that is outside %s to %s g", num(ofTwenty), num(dropLeast*dropsWeighed), num(dropMost*dropsWeighed)).
			In("weight_of_20").Hint("count twenty drops into a cup on the scale and give their weight, such as 0.9 g")
	}
	return drop, nil
}

// Drops is how many drops of drop g bring dose, a fraction of the mix, into mix
// g.
func Drops(mix, dose, drop float64) float64 { return mix * dose / drop }

// DoseOf is the fraction of the whole mix that tint g are of it, beside rest g
// of A, B and filler.
func DoseOf(tint, rest float64) float64 { return tint / (tint + rest) }

// DoseOfSide is the fraction of the mix that a tint at share p of its side's
// mass makes, by the rule of thumb that leaves its own mass out; side is the
// side's part of A and B by weight. 3 % of B in 100:90 are 1.42 %, exactly
// 1.40 %.
func DoseOfSide(p, side float64) float64 { return p * side }

// PourTinted is the g of a part tinted in advance that hold side g of the part
// itself: a tint at share p of it is not counted as A or B.
func PourTinted(side, p float64) float64 { return side * (1 + p) }

// TintedShort is the share of a part that is missing where its tinted weight
// was taken for its own: 3 % of tint leave it 2.9 % short.
func TintedShort(p float64) float64 { return 1/(1+p) - 1 }
