package quantity

import (
	"math"
	"strconv"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

var nan = math.NaN()

// Named is one measure of a size, such as h = 12 mm; Name is lower case, and
// empty where measures were given by order.
type Named struct {
	Name string
	Quantity
}

// RatioWant is what an option that takes a ratio knows. Densities are in g/mL,
// zero where unknown.
type RatioWant struct {
	Option             string
	DensityA, DensityB float64
}

// Parse reads one quantity.
func Parse(text string, w Want) (Quantity, []string, error) {
	t := strings.TrimSpace(text)
	i := strings.LastIndexAny(t, "0123456789.") + 1
	v, err := strconv.ParseFloat(strings.TrimSpace(t[:i]), 64)
	if err != nil {
		return Quantity{}, nil, fault.New(fault.BadQuantity, "%q is not a quantity", text).In(w.Option)
	}
	u, ok := UnitNamed(t[i:], w.System)
	if !ok {
		return Quantity{}, nil, fault.New(fault.BadQuantity, "%q has no unit that is known", text).In(w.Option)
	}
	return Quantity{Value: u.Base(v), Dim: u.Dim(), Unit: u}, nil, nil
}

// SplitList splits at commas and semicolons.
func SplitList(text string) []string { return strings.Split(text, ", ") }

// ParseList reads values that are told apart by dimension, else by order:
// result i belongs to wants[i] and is nil where it was not given.
func ParseList(text string, wants ...Want) ([]*Quantity, []string, error) {
	got := make([]*Quantity, len(wants))
	for i, part := range SplitList(text) {
		if i < len(wants) {
			q, _, err := Parse(part, wants[i])
			if err != nil {
				return nil, nil, err
			}
			got[i] = &q
		}
	}
	return got, nil, nil
}

// ParseRatio reads A:B with its basis.
func ParseRatio(text string, w RatioWant) (Ratio, error) {
	a, rest, _ := strings.Cut(text, ":")
	b, basis, _ := strings.Cut(rest, " ")
	x, err1 := strconv.ParseFloat(a, 64)
	y, err2 := strconv.ParseFloat(b, 64)
	by := map[string]Basis{"vol": ByVolume, "wt": ByWeight}[basis]
	if err1 != nil || err2 != nil || by == NoBasis {
		return Ratio{}, fault.New(fault.BadQuantity, "%q is not a ratio", text).In(w.Option)
	}
	return Ratio{A: x, B: y, By: by}, nil
}

// ParseSize reads the measures of a shape.
func ParseSize(text string, w Want) ([]Named, []string, error) {
	var got []Named
	for _, part := range strings.Split(text, "x") {
		q, _, err := Parse(part, w)
		if err != nil {
			return nil, nil, err
		}
		got = append(got, Named{Quantity: q})
	}
	return got, nil, nil
}
