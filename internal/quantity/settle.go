package quantity

import (
	"fmt"
	"math"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

// settle gives every term its unit: the next smaller one to the bare tail of
// 1h20, the option's own to a bare number, and to an ounce what the option
// leaves open. It tells the member what was assumed.
func (w Want) settle(terms []term, text string) ([]string, error) {
	var notes []string
	note := func(format string, args ...any) { notes = append(notes, fmt.Sprintf(format, args...)) }
	for i := range terms {
		t := &terms[i]
		if t.spaced {
			note("%s read as %s", t.text, exact(t.value))
		}
		switch {
		case t.word == "" && i > 0:
			t.unit = tailUnit[terms[i-1].unit]
			if t.unit == NoUnit {
				return nil, w.refuse(`the last number of "%s" needs a unit`, shown(text))
			}
		case t.word == "":
			if err := w.settleBare(t, note); err != nil {
				return nil, err
			}
		case isLooseOunce(t.word):
			if err := w.settleOunce(t, i, terms, note); err != nil {
				return nil, err
			}
		case t.unit == Meter && i > 0 && terms[i-1].unit == Hour:
			t.unit = Minute // 1h20m
		case degrees[strings.ToLower(t.word)]:
			note("%s taken as %s %s", t.text, exact(t.value), t.unit.Symbol())
		default:
			w.noteCountry(t, note)
		}
	}
	return notes, nil
}

// tailUnit is the unit of a bare number after a larger one: 1h20, 5 ft 3.
var tailUnit = map[Unit]Unit{Hour: Minute, Minute: Second, Foot: Inch}

type noter func(format string, args ...any)

func (w Want) settleBare(t *term, note noter) error {
	t.unit = w.bareUnit()
	if w.Percent && !t.ambiguous && t.value != 0 && math.Abs(t.value) < 1 {
		return fault.New(fault.AmbiguousNumber, `%s: "%s" can be a percentage or a fraction`, w.subject(), shown(t.text)).
			Hint("type %s%% for %s, or %s%% for %s of the whole",
				exact(t.value), Percent(t.value/100), exact(100*t.value), exact(t.value))
	}
	if t.unit != One && !t.ambiguous {
		note("%s taken as %s %s", t.text, exact(t.value), label(t.unit, exact(t.value)))
	}
	return nil
}

func isLooseOunce(word string) bool {
	switch unitKey(word) {
	case "oz", "ounce", "ounces":
		return true
	}
	return false
}

// settleOunce decides between the ounce of weight and the fluid one: by the
// other units of a compound, else by what the option takes.
func (w Want) settleOunce(t *term, i int, terms []term, note noter) error {
	volume, mass := w.takes(Volume), w.takes(Mass)
	if i > 0 {
		if terms[i-1].unit.Dim() != Volume {
			return nil
		}
		t.unit = FluidOunce
		if isImperial(terms[i-1].unit) {
			t.unit = ImperialFluidOunce
		}
		return nil
	}
	switch {
	case !volume:
		return nil
	case !mass:
		t.unit = FluidOunce
		note("%s oz read as US fluid ounces, %s each; an ounce of weight is another thing",
			t.text, TextIn(fluidOunceML, Milliliter))
		return nil
	case len(terms) > 1:
		return nil
	}
	number := exact(t.value)
	return fault.New(fault.AmbiguousUnit, `%s: "%s oz" can be a weight or a volume`, w.subject(), shown(t.text)).
		Hint("type %s oz wt for the weight (%s), or %s fl oz for the volume (%s)",
			number, TextIn(Ounce.Base(t.value), Gram), number, TextIn(FluidOunce.Base(t.value), Milliliter))
}

// noteCountry says whose gallon was read, unless the shop or the member made
// that plain.
func (w Want) noteCountry(t *term, note noter) {
	country := "US"
	if isImperial(t.unit) {
		country = "imperial"
	} else if w.System == US || !variesByCountry(t.unit) {
		return
	}
	key := unitKey(t.word)
	for _, prefix := range []string{"us", "imp", "uk"} {
		if strings.HasPrefix(key, prefix) || strings.Contains(key, "/"+prefix) {
			return
		}
	}
	if t.unit.Dim() == Density {
		note("%s read as pounds per %s gallon", t.word, country)
		return
	}
	note("%s read as %s, %s each", t.word, country, TextIn(t.unit.Base(1), Milliliter))
}

// clock reads 1:02:30 as hours, minutes and seconds. With one colon either
// minutes or hours may come first, and the member has to say which.
func (w Want) clock(tokens []token, text string) (Quantity, bool, error) {
	if len(tokens) != 3 && len(tokens) != 5 || !w.takes(Time) || len(w.Dims) == 0 {
		return Quantity{}, false, nil
	}
	var part [3]float64
	for i, t := range tokens {
		if i%2 == 1 && !t.isMark(":") || i%2 == 0 && (t.kind != numberToken || !isDigits(t.text)) {
			return Quantity{}, false, nil
		}
		if i%2 == 0 {
			part[i/2] = t.num.value
		}
	}
	if len(tokens) == 3 {
		a, b := tokens[0].text, tokens[2].text
		return Quantity{}, true, fault.New(fault.AmbiguousUnit, `%s: "%s" can be hours or minutes`, w.subject(), shown(text)).
			Hint("type %s h %s min, or %s min %s s", a, b, a, b)
	}
	if part[1] >= 60 || part[2] >= 60 {
		return Quantity{}, true, w.refuse(`"%s" has more than 59 minutes or seconds`, shown(text))
	}
	q := Quantity{Value: part[0]*hourS + part[1]*minuteS + part[2], Dim: Time, Unit: Second}
	return q, true, w.check(q, text)
}
