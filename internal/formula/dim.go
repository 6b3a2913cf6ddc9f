package formula

import (
	"fmt"
	"math"
	"strings"

	"github.com/pourwright/pourwright/internal/quantity"
)

// dims are the powers of the basic dimensions in a quantity. Within a formula
// every value is in the unit that these give: mm, g, s, °C, drops and the shop's
// money.
type dims struct{ length, mass, time, temp, drop, money int8 }

// sort is what a value is.
type sort uint8

const (
	number sort = iota
	truth
	batch // what to weigh of two parts
	named // the name of a material or a mold, or a ratio: an argument only
)

// kind is the type of an expression.
type kind struct {
	sort  sort
	dims  dims
	point bool // a temperature on the scale, not a difference
}

var (
	plain   = kind{}
	aTruth  = kind{sort: truth}
	aBatch  = kind{sort: batch}
	aName   = kind{sort: named}
	money   = kind{dims: dims{money: 1}}
	degrees = kind{dims: dims{temp: 1}}
	force   = kind{dims: dims{length: 1, mass: 1, time: -2}}
	energy  = kind{dims: dims{length: 2, mass: 1, time: -2}}
)

// derived are kinds that no option of a command takes and that have a unit of
// their own here: how many units within a formula it holds, and its thousandfold.
var derived = map[kind]struct {
	name, unit, large string
	holds             float64
}{
	force:  {"a force", "N", "kN", 1e6},
	energy: {"an energy", "J", "kJ", 1e9},
}

// derivedUnits are their units as they are typed, with their capitals.
var derivedUnits = func() map[string]literal {
	all := map[string]literal{}
	for k, d := range derived {
		all[d.unit] = literal{kind: k, value: d.holds}
		all[d.large] = literal{kind: k, value: 1000 * d.holds}
	}
	return all
}()

// of is the kind of a quantity with a dimension of its own.
func of(d quantity.Dim) kind {
	switch d {
	case quantity.Mass:
		return kind{dims: dims{mass: 1}}
	case quantity.Volume:
		return kind{dims: dims{length: 3}}
	case quantity.Length:
		return kind{dims: dims{length: 1}}
	case quantity.Area:
		return kind{dims: dims{length: 2}}
	case quantity.Time:
		return kind{dims: dims{time: 1}}
	case quantity.Temp:
		return kind{dims: dims{temp: 1}, point: true}
	case quantity.Pressure:
		return kind{dims: dims{length: -1, mass: 1, time: -2}}
	case quantity.Density:
		return kind{dims: dims{length: -3, mass: 1}}
	case quantity.Drops:
		return kind{dims: dims{drop: 1}}
	}
	return plain
}

// scale turns the base unit of a dimension into the unit within a formula: a
// milliliter is 1000 mm³, a kilopascal 1000 g/(mm·s²). The factors are exact.
func scale(d quantity.Dim) float64 {
	switch d {
	case quantity.Volume, quantity.Pressure:
		return 1000
	}
	return 1
}

// inward and outward turn a value between base unit and formula. Dividing by
// 1000 is exact where multiplying by 0.001 is not.
func inward(v float64, d quantity.Dim) float64 {
	if d == quantity.Density {
		return v / 1000
	}
	return v * scale(d)
}

func outward(v float64, d quantity.Dim) float64 {
	if d == quantity.Density {
		return v * 1000
	}
	return v / scale(d)
}

// dim is the dimension that the product knows a kind by; ok is false for a
// product or quotient without a name, a price and a difference in temperature.
func (k kind) dim() (d quantity.Dim, ok bool) {
	for d := quantity.Number; d <= quantity.Drops; d++ {
		if of(d) == k {
			return d, true
		}
	}
	return quantity.Number, false
}

// String is the kind in a sentence, "a volume".
func (k kind) String() string {
	switch {
	case k.sort == truth:
		return "yes or no"
	case k.sort == batch:
		return "a batch"
	case k.sort == named:
		return "a name"
	case k == money:
		return "a price"
	case k == degrees:
		return "a difference of temperatures"
	}
	if own, ok := derived[k]; ok {
		return own.name
	}
	if d, ok := k.dim(); ok {
		return d.Name()
	}
	unit, _ := k.unit("money")
	return "a quantity in " + unit
}

// add gives the powers of a product, and sub of a quotient; ok is false past
// what has a meaning.
func (d dims) add(e dims) (dims, bool) { return d.combine(e, 1) }
func (d dims) sub(e dims) (dims, bool) { return d.combine(e, -1) }

func (d dims) combine(e dims, sign int8) (dims, bool) {
	out := dims{d.length + sign*e.length, d.mass + sign*e.mass, d.time + sign*e.time,
		d.temp + sign*e.temp, d.drop + sign*e.drop, d.money + sign*e.money}
	for _, p := range out.all() {
		if p > maxDim || p < -maxDim {
			return dims{}, false
		}
	}
	return out, true
}

// power raises to a whole power, at most maxPower either way; root takes one.
func (d dims) power(n int) (dims, bool) {
	out, ok := dims{}, true
	for range max(n, -n) {
		if n > 0 {
			out, ok = out.add(d)
		} else {
			out, ok = out.sub(d)
		}
		if !ok {
			return dims{}, false
		}
	}
	return out, true
}

func (d dims) root(n int8) (dims, bool) {
	for _, p := range d.all() {
		if p%n != 0 {
			return dims{}, false
		}
	}
	return dims{d.length / n, d.mass / n, d.time / n, d.temp / n, d.drop / n, d.money / n}, true
}

func (d dims) all() [6]int8 {
	return [6]int8{d.length, d.mass, d.time, d.temp, d.drop, d.money}
}

// unit is the unit that a value of the kind is told in and how many units
// within a formula it holds: the base unit of the dimension, or one put together
// of base units, such as g/mm or GBP/mL.
func (k kind) unit(currency string) (unit string, holds float64) {
	if currency == "" {
		currency = "money"
	}
	if d, ok := k.dim(); ok {
		return quantity.BaseUnit(d), 1 / outward(1, d)
	}
	if own, ok := derived[k]; ok {
		return own.unit, own.holds
	}
	holds = 1
	var above, below []string
	for i, p := range k.dims.all() {
		if p == 0 {
			continue
		}
		name, power := [...]string{"mm", "g", "s", "K", "drop", currency}[i], max(p, -p)
		if i == 0 && power == 3 {
			name, power = "mL", 1
			if p > 0 {
				holds *= 1000
			} else {
				holds /= 1000
			}
		}
		if power > 1 {
			name = fmt.Sprintf("%s%d", name, power)
		}
		if p > 0 {
			above = append(above, name)
		} else {
			below = append(below, name)
		}
	}
	if len(above) == 0 {
		above = []string{"1"}
	}
	return strings.Join(append([]string{strings.Join(above, "·")}, below...), "/"), holds
}

// base is a value of the kind in the unit it is told in.
func (k kind) base(v float64, currency string) float64 {
	if d, ok := k.dim(); ok {
		return outward(v, d)
	}
	_, holds := k.unit(currency)
	if holds < 1 { // a power of ten: the other way round is exact
		return v * (1 / holds)
	}
	return v / holds
}

// read writes a value of the kind as a member of that system reads it.
func (k kind) read(v float64, currency string, s quantity.System) string {
	if k == of(quantity.Length) {
		return lengthText(v, s)
	}
	if d, ok := k.dim(); ok {
		return quantity.Text(outward(v, d), d, s)
	}
	if own, ok := derived[k]; ok && math.Abs(v) >= 999.5*own.holds {
		return quantity.Text(v/own.holds/1000, quantity.Number, s) + " " + own.large
	}
	unit, _ := k.unit(currency)
	switch k {
	case money:
		return fmt.Sprintf("%.2f %s", v, unit)
	case degrees:
		return quantity.TextSpan(v, s)
	}
	return quantity.Text(k.base(v, currency), quantity.Number, s) + " " + unit
}

// lengthText keeps a tenth of a millimeter of a part's size, which the usual
// three digits lose above 100 mm, and the oversize of a master with it.
func lengthText(mm float64, s quantity.System) string {
	switch size := math.Abs(mm); {
	case s == quantity.Metric && size >= 99.95 && size < 999.5:
		return quantity.TextIn(mm, quantity.Millimeter)
	case s != quantity.Metric && size >= 1 && size < 999.5:
		return quantity.TextIn(mm, quantity.Inch)
	}
	return quantity.Text(mm, quantity.Length, s)
}
