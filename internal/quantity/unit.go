package quantity

import (
	"math"
	"strings"
)

// Unit is one of the units that a member may type or read. The zero Unit is
// none.
type Unit uint8

// The units. Those without a word for a country in their name are the same
// everywhere; the imperial ones are named so.
const (
	NoUnit Unit = iota

	Gram
	Kilogram
	Milligram
	Pound
	Ounce

	Milliliter
	Centiliter
	Liter
	CubicMillimeter
	CubicCentimeter
	CubicMeter
	CubicInch
	CubicFoot
	FluidOunce
	Cup
	Pint
	Quart
	Gallon
	Tablespoon
	Teaspoon
	ImperialFluidOunce
	ImperialCup
	ImperialPint
	ImperialQuart
	ImperialGallon

	Millimeter
	Centimeter
	Meter
	Inch
	Foot
	Micrometer

	SquareMillimeter
	SquareCentimeter
	SquareMeter
	SquareInch
	SquareFoot

	Second
	Minute
	Hour
	Day
	Week
	Month

	Celsius
	Fahrenheit
	Kelvin

	Kilopascal
	Bar
	Millibar
	PSI
	InchOfMercury
	Atmosphere
	Torr

	GramPerMilliliter
	KilogramPerCubicMeter
	PoundPerGallon
	PoundPerImperialGallon
	PoundPerCubicFoot
	CubicInchPerPound
	SpecificGravity

	Drop
	PercentSign
	One

	unitCount
)

// unit is a row of the table. A reading r in the unit is (r−zero)·scale in base
// units, or scale/r where inverse.
type unit struct {
	symbol  string
	dim     Dim
	scale   float64
	zero    float64 // reading of the unit at zero of the base unit
	inverse bool
	names   string // what may be typed, lower case, without spaces
}

var units = [unitCount]unit{
	Gram:      {symbol: "g", dim: Mass, scale: 1, names: "g gram grams gramme grammes"},
	Kilogram:  {symbol: "kg", dim: Mass, scale: 1000, names: "kg kgs kilo kilos kilogram kilograms"},
	Milligram: {symbol: "mg", dim: Mass, scale: 0.001, names: "mg milligram milligrams"},
	Pound:     {symbol: "lb", dim: Mass, scale: poundG, names: "lb lbs pound pounds"},
	Ounce:     {symbol: "oz", dim: Mass, scale: ounceG, names: "oz ounce ounces ozwt ozav ozavdp"},

	Milliliter:         {symbol: "mL", dim: Volume, scale: 1, names: "ml mls milliliter milliliters millilitre millilitres"},
	Centiliter:         {symbol: "cL", dim: Volume, scale: 10, names: "cl centiliter centiliters centilitre centilitres"},
	Liter:              {symbol: "L", dim: Volume, scale: 1000, names: "l liter liters litre litres"},
	CubicCentimeter:    {symbol: "cm³", dim: Volume, scale: 1, names: "cm3 cc ccm"},
	CubicMillimeter:    {symbol: "mm³", dim: Volume, scale: 0.001, names: "mm3"},
	CubicMeter:         {symbol: "m³", dim: Volume, scale: 1e6, names: "m3"},
	CubicInch:          {symbol: "in³", dim: Volume, scale: inch3ML, names: "in3 cuin cubicinch cubicinches"},
	CubicFoot:          {symbol: "ft³", dim: Volume, scale: foot3ML, names: "ft3 cuft cubicfoot cubicfeet"},
	FluidOunce:         {symbol: "fl oz", dim: Volume, scale: fluidOunceML, names: "floz fluidounce fluidounces"},
	Cup:                {symbol: "cup", dim: Volume, scale: cupML, names: "cup cups"},
	Pint:               {symbol: "pt", dim: Volume, scale: pintML, names: "pt pts pint pints"},
	Quart:              {symbol: "qt", dim: Volume, scale: quartML, names: "qt qts quart quarts"},
	Gallon:             {symbol: "gal", dim: Volume, scale: gallonML, names: "gal gals gallon gallons"},
	Tablespoon:         {symbol: "tbsp", dim: Volume, scale: tablespoonML, names: "tbsp tbsps tablespoon tablespoons"},
	Teaspoon:           {symbol: "tsp", dim: Volume, scale: teaspoonML, names: "tsp tsps teaspoon teaspoons"},
	ImperialFluidOunce: {symbol: "imp fl oz", dim: Volume, scale: impFluidOunceML},
	ImperialCup:        {symbol: "imp cup", dim: Volume, scale: impCupML},
	ImperialPint:       {symbol: "imp pt", dim: Volume, scale: impPintML},
	ImperialQuart:      {symbol: "imp qt", dim: Volume, scale: impQuartML},
	ImperialGallon:     {symbol: "imp gal", dim: Volume, scale: impGallonML},

	Millimeter: {symbol: "mm", dim: Length, scale: 1, names: "mm millimeter millimeters millimetre millimetres"},
	Centimeter: {symbol: "cm", dim: Length, scale: 10, names: "cm cms centimeter centimeters centimetre centimetres"},
	Meter:      {symbol: "m", dim: Length, scale: 1000, names: "m meter meters metre metres"},
	Inch:       {symbol: "in", dim: Length, scale: inchMM, names: `in ins inch inches "`},
	Foot:       {symbol: "ft", dim: Length, scale: footMM, names: "ft foot feet '"},
	Micrometer: {symbol: "µm", dim: Length, scale: 0.001, names: "um micron microns micrometer micrometers micrometre micrometres"},

	SquareMillimeter: {symbol: "mm²", dim: Area, scale: 1, names: "mm2 sqmm"},
	SquareCentimeter: {symbol: "cm²", dim: Area, scale: 100, names: "cm2 sqcm"},
	SquareMeter:      {symbol: "m²", dim: Area, scale: 1e6, names: "m2 sqm"},
	SquareInch:       {symbol: "in²", dim: Area, scale: inchMM * inchMM, names: "in2 sqin squareinch squareinches"},
	SquareFoot:       {symbol: "ft²", dim: Area, scale: footMM * footMM, names: "ft2 sqft squarefoot squarefeet"},

	Second: {symbol: "s", dim: Time, scale: 1, names: "s sec secs second seconds"},
	Minute: {symbol: "min", dim: Time, scale: minuteS, names: "min mins minute minutes"},
	Hour:   {symbol: "h", dim: Time, scale: hourS, names: "h hr hrs hour hours"},
	Day:    {symbol: "d", dim: Time, scale: dayS, names: "d day days"},
	Week:   {symbol: "wk", dim: Time, scale: weekS, names: "wk wks week weeks"},
	Month:  {symbol: "mo", dim: Time, scale: monthS, names: "mo mos month months"},

	Celsius:    {symbol: "°C", dim: Temp, scale: 1, names: "c °c degc degreec degreesc celsius"},
	Fahrenheit: {symbol: "°F", dim: Temp, scale: fahrenheitC, zero: 32, names: "f °f degf degreef degreesf fahrenheit"},
	Kelvin:     {symbol: "K", dim: Temp, scale: 1, zero: kelvinZero, names: "K °k degk kelvin kelvins"},

	Kilopascal:    {symbol: "kPa", dim: Pressure, scale: 1, names: "kpa kilopascal kilopascals"},
	Bar:           {symbol: "bar", dim: Pressure, scale: 100, names: "bar bars"},
	Millibar:      {symbol: "mbar", dim: Pressure, scale: 0.1, names: "mbar mbars millibar millibars hpa"},
	PSI:           {symbol: "psi", dim: Pressure, scale: psiKPA, names: "psi"},
	InchOfMercury: {symbol: "inHg", dim: Pressure, scale: inchHgKPA, names: "inhg inchesofmercury inchofmercury"},
	Atmosphere:    {symbol: "atm", dim: Pressure, scale: atmKPA, names: "atm"},
	Torr:          {symbol: "torr", dim: Pressure, scale: torrKPA, names: "torr mmhg"},

	GramPerMilliliter:      {symbol: "g/mL", dim: Density, scale: 1, names: "g/ml g/cm3 g/cc kg/l"},
	KilogramPerCubicMeter:  {symbol: "kg/m³", dim: Density, scale: 0.001, names: "kg/m3"},
	PoundPerGallon:         {symbol: "lb/gal", dim: Density, scale: poundG / gallonML, names: "lb/gal lbs/gal lb/gallon lbs/gallon pounds/gallon lb/usgal"},
	PoundPerImperialGallon: {symbol: "lb/imp gal", dim: Density, scale: poundG / impGallonML, names: "lb/impgal lb/ukgal"},
	PoundPerCubicFoot:      {symbol: "lb/ft³", dim: Density, scale: poundG / foot3ML, names: "lb/ft3 lbs/ft3 lb/cuft lbs/cuft pcf"},
	CubicInchPerPound:      {symbol: "in³/lb", dim: Density, scale: poundG / inch3ML, inverse: true, names: "in3/lb cuin/lb in3/lbs cuin/lbs cubicinches/pound"},
	SpecificGravity:        {symbol: "SG", dim: Density, scale: 1, names: "sg specificgravity"},

	Drop:        {symbol: "drops", dim: Drops, scale: 1, names: "drop drops"},
	PercentSign: {symbol: "%", dim: Number, scale: 0.01, names: "% percent pct"},
	One:         {symbol: "", dim: Number, scale: 1, names: "1"},
}

// imperialOf is what a US measure becomes in a shop set to imperial. Spoons
// stay as they are: no law fixes an imperial one.
var imperialOf = map[Unit]Unit{
	FluidOunce:     ImperialFluidOunce,
	Cup:            ImperialCup,
	Pint:           ImperialPint,
	Quart:          ImperialQuart,
	Gallon:         ImperialGallon,
	PoundPerGallon: PoundPerImperialGallon,
}

var unitByName = indexUnits()

func indexUnits() map[string]Unit {
	index := make(map[string]Unit)
	for i, u := range units {
		for _, name := range strings.Fields(u.names) {
			index[name] = Unit(i)
		}
	}
	return index
}

// Symbol is how replies write the unit, "mL"; of NoUnit and One it is "".
func (u Unit) Symbol() string { return u.row().symbol }

// Dim is what the unit measures; NoUnit counts as a Number.
func (u Unit) Dim() Dim { return u.row().dim }

// Base turns a reading in u into the base unit of its dimension. Zero in³/lb
// gives +Inf: nothing fills a volume with no mass.
func (u Unit) Base(reading float64) float64 {
	row := u.row()
	if row.inverse {
		return row.scale / reading
	}
	// Dividing by 100 is exact where multiplying by 0.01 is not: 35 % is 0.35.
	if whole := 1 / row.scale; whole > 1 && whole == math.Round(whole) {
		return (reading - row.zero) / whole
	}
	return (reading - row.zero) * row.scale
}

// From turns a value in base units into a reading in u.
func (u Unit) From(base float64) float64 {
	row := u.row()
	if row.inverse {
		return row.scale / base
	}
	return base/row.scale + row.zero
}

// Span turns a difference in base units into a difference in u: ten degrees
// Celsius warmer is eighteen degrees Fahrenheit warmer, and no 32 comes in.
// Reciprocal units (in³/lb) have no fixed span; there it answers NaN.
func (u Unit) Span(base float64) float64 {
	row := u.row()
	if row.inverse {
		return math.NaN()
	}
	return base / row.scale
}

func (u Unit) row() unit {
	if u == NoUnit || u >= unitCount {
		return unit{dim: Number, scale: 1}
	}
	return units[u]
}

// UnitNamed finds the unit that a member typed: case-free but for K, spaces and
// full stops ignored ("fl. oz"). "US gal" and "imp gal" name the country;
// without it gallon, quart, pint, cup and fluid ounce are imperial where the
// shop is. An "oz" is the ounce of weight.
func UnitNamed(text string, s System) (Unit, bool) {
	key := unitKey(text)
	if u, ok := unitByName[key]; ok {
		if imp, found := imperialOf[u]; found && s == Imperial && !strings.Contains(key, "us") {
			u = imp
		}
		return u, true
	}
	if rest, ok := strings.CutPrefix(key, "us"); ok {
		if u := unitByName[rest]; variesByCountry(u) {
			return u, true
		}
	}
	for _, prefix := range []string{"imperial", "imp", "uk"} {
		if rest, ok := strings.CutPrefix(key, prefix); ok {
			u, found := imperialOf[unitByName[rest]]
			return u, found
		}
	}
	return NoUnit, false
}

// variesByCountry reports a measure that differs between countries, so that its
// name needs one: the US gallon family and its spoons.
func variesByCountry(u Unit) bool {
	_, found := imperialOf[u]
	return found || u == Tablespoon || u == Teaspoon
}

func isImperial(u Unit) bool {
	return u >= ImperialFluidOunce && u <= ImperialGallon || u == PoundPerImperialGallon
}

var unitSigns = strings.NewReplacer(" ", "", ".", "", "^", "", "²", "2", "³", "3", "µ", "u", "μ", "u")

func unitKey(text string) string {
	key := unitSigns.Replace(text)
	if key == "K" {
		return key
	}
	if key = strings.ToLower(key); key == "k" { // kelvin is the one unit with a case
		return ""
	}
	return key
}

// BaseUnit is the unit that values of d are kept in, as JSON writes it.
func BaseUnit(d Dim) string {
	return [...]string{
		Number: "1", Mass: "g", Volume: "mL", Length: "mm", Area: "mm2", Time: "s",
		Temp: "degC", Pressure: "kPa", Density: "g/mL", Drops: "drop",
	}[d]
}
