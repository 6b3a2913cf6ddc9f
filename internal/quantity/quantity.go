// Package quantity reads and prints what makers measure: masses, volumes,
// lengths, times, temperatures, ratios, each with its dimension.
//
// A value lives in the base unit of its dimension whatever was typed: grams,
// milliliters, millimeters, square millimeters, seconds, degrees Celsius,
// kilopascals, grams per milliliter, and plain numbers for counts and
// fractions (7 % is 0.07).
//
//	q, notes, err := quantity.Parse("1 lb 4 oz", quantity.Want{Option: "mass", Dims: []quantity.Dim{quantity.Mass}})
//	// q.Value == 566.9904625 (g)
//
// It leaves out what a number is for: bounds and meaning belong to the caller.
package quantity

// Dim is what a quantity measures.
type Dim uint8

// The dimensions, each with its base unit.
const (
	Number   Dim = iota // 1: counts, ratios, fractions
	Mass                // g
	Volume              // mL
	Length              // mm
	Area                // mm²
	Time                // s
	Temp                // °C
	Pressure            // kPa
	Density             // g/mL
	Drops               // drops, whose mass depends on the colorant
)

// System chooses display units and the unit of a bare number; Imperial also
// makes gallon, quart, pint and cup imperial when read.
type System uint8

// The unit systems that a shop or a member can choose.
const (
	Metric System = iota
	US
	Imperial
)

// Quantity is a value in the base unit of its dimension. Unit is the unit it
// was typed in (the last one of a compound), so that a reply can answer alike.
type Quantity struct {
	Value float64
	Dim   Dim
	Unit  Unit
}

// Range is an uncertain value in base units: Low and High are p10 and p90 or
// the tolerance, Mid the median. Low ≤ Mid ≤ High.
type Range struct {
	Low, Mid, High float64
}

// Exactly is a range without width.
func Exactly(v float64) Range { return Range{v, v, v} }

// Basis says what the two numbers of a ratio count.
type Basis uint8

// The two bases. The zero value means the basis was not said.
const (
	NoBasis Basis = iota
	ByVolume
	ByWeight
)

// Ratio is A parts to B parts, exactly as typed.
type Ratio struct {
	A, B float64
	By   Basis
}

// Want says what an option takes. Min and Max are inclusive, in base units of
// the first of Dims; zero for both means the bounds of the dimension itself,
// which further dimensions always have. No Dims at all take any.
type Want struct {
	Option   string // named in errors
	Dims     []Dim  // accepted; the first one is that of a bare number
	Bare     Unit   // unit of a bare number; the zero Unit takes the default of System
	System   System
	Min, Max float64
	// Percent makes a bare 10 mean 10 %; a bare value between 0 and 1 is then
	// ambiguous.
	Percent bool
	// Negative accepts values below zero where Min allows them. Temperatures
	// need no leave for it.
	Negative bool
	// Zero accepts zero where Min is zero.
	Zero bool
}
