package quantity

import (
	"fmt"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

// RatioWant is what an option that takes a ratio knows. The densities, in g/mL
// and 0 where unknown, let a refusal show both readings in grams.
type RatioWant struct {
	Option             string
	DensityA, DensityB float64
}

// Bounds of a side of a ratio and of one side over the other; common practice,
// no source: the leanest catalysts go in at some tenths of a percent.
const (
	ratioSideMin, ratioSideMax = 0.001, 1e6
	ratioMax                   = 1000
)

// basisWords say what the numbers of a ratio count; fillers say nothing.
var (
	basisWords = map[string]Basis{
		"v": ByVolume, "vol": ByVolume, "volume": ByVolume, "pbv": ByVolume,
		"w": ByWeight, "wt": ByWeight, "weight": ByWeight, "mass": ByWeight, "pbw": ByWeight,
	}
	ratioFillers = map[string]bool{"by": true, "ratio": true, "part": true, "parts": true, "a": true, "b": true, "/": true}
)

// ParseRatio reads A:B with its basis, such as "1:1 vol" or "100:45 wt"; "to"
// and "by" are understood. Without a basis the ratio is ambiguous_unit, and the
// hint shows what each reading weighs. Other errors: bad_quantity,
// ambiguous_number, out_of_range.
func ParseRatio(text string, w RatioWant) (Ratio, error) {
	r, err := readRatio(text, w)
	return r, in(err, w.Option)
}

func readRatio(text string, w RatioWant) (Ratio, error) {
	if len(text) > textLimit {
		return Ratio{}, w.refuse("a text of %d characters is too long for a ratio", len(text))
	}
	tokens, bad := lex(clean(text))
	if bad != "" {
		return Ratio{}, w.refuse(`"%s" is not a number that can be read`, shown(bad))
	}
	by, tokens, err := w.basis(tokens, text)
	if err != nil {
		return Ratio{}, err
	}
	if len(tokens) != 3 || tokens[0].kind != numberToken || tokens[2].kind != numberToken ||
		!tokens[1].isMark(":") && !strings.EqualFold(tokens[1].text, "to") {
		return Ratio{}, w.refuse(`"%s" is not two numbers with a colon between`, shown(text))
	}
	for _, side := range []number{tokens[0].num, tokens[2].num} {
		if side.ambiguous {
			return Ratio{}, twoNumbers(w.subject(), side, "")
		}
	}
	r := Ratio{A: tokens[0].num.value, B: tokens[2].num.value, By: by}
	if !r.plausible() {
		return Ratio{}, fault.New(fault.OutOfRange, `%s: "%s" is no mix of two parts`, w.subject(), shown(text)).
			Hint("type two numbers above zero, the larger at most %d times the smaller, such as 100:45 wt", ratioMax)
	}
	if by == NoBasis {
		return Ratio{}, w.whichBasis(r, text)
	}
	return r, nil
}

// basis takes the words out of the tokens and leaves the numbers.
func (w RatioWant) basis(tokens []token, text string) (Basis, []token, error) {
	basis, rest := NoBasis, make([]token, 0, 3)
	for _, t := range tokens {
		word := strings.ToLower(t.text)
		by, found := basisWords[word]
		switch {
		case found && basis != NoBasis && basis != by:
			return NoBasis, nil, w.refuse(`"%s" says both weight and volume`, shown(text))
		case found:
			basis = by
		case !ratioFillers[word]:
			rest = append(rest, t)
		}
	}
	return basis, rest, nil
}

func (r Ratio) plausible() bool {
	for _, side := range []float64{r.A, r.B} {
		if !(side >= ratioSideMin && side <= ratioSideMax) {
			return false
		}
	}
	return r.A/r.B <= ratioMax && r.B/r.A <= ratioMax
}

func (w RatioWant) subject() string {
	if w.Option == "" {
		return "ratio"
	}
	return w.Option
}

func (w RatioWant) refuse(format string, args ...any) error {
	return fault.New(fault.BadQuantity, w.subject()+": "+format, args...).
		Hint("type the parts of A and of B and how they are measured, such as 1:1 vol or 100:45 wt")
}

// whichBasis shows what the ratio means either way. Where the densities are not
// known it takes a pair as an example and says so: seeing that the readings
// differ is the point.
func (w RatioWant) whichBasis(r Ratio, text string) error {
	rhoA, rhoB, given := w.DensityA, w.DensityB, ""
	if rhoA <= 0 || rhoB <= 0 {
		rhoA, rhoB, given = 1.10, 1.00, ", if A were 1.10 and B 1.00 g/mL"
	}
	const massA = 100
	byWeight := massA * r.B / r.A
	byVolume := byWeight * rhoB / rhoA
	typed := exact(r.A) + ":" + exact(r.B)
	return fault.New(fault.AmbiguousUnit, `%s: "%s" does not say whether the parts are measured by weight or by volume`, w.subject(), shown(text)).
		Hint("type %s wt for A %d g + B %s g, or %s vol for A %d g + B %s g%s",
			typed, massA, significant(byWeight, 3), typed, massA, significant(byVolume, 3), given)
}

// Text is the ratio as typed, "100:45 by weight".
func (r Ratio) Text() string {
	basis := map[Basis]string{ByVolume: " by volume", ByWeight: " by weight"}[r.By]
	return fmt.Sprintf("%s:%s%s", exact(r.A), exact(r.B), basis)
}
