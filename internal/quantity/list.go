package quantity

import (
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

// SplitList cuts a list at its commas, semicolons and line ends, trims the
// items and drops an empty last one. A comma inside of a number stays ("1,10,
// 1,02" has two items), and so does what stands in brackets.
func SplitList(text string) []string {
	var items []string
	depth, start := 0, 0
	for i, r := range text {
		switch r {
		case '(', '[', '{':
			depth++
		case ')', ']', '}':
			depth = max(0, depth-1)
		case ',', ';', '\n', '；', '，':
			if depth > 0 || r == ',' && insideNumber(text, i) {
				continue
			}
			items = append(items, strings.TrimSpace(text[start:i]))
			start = i + len(string(r))
		}
	}
	if last := strings.TrimSpace(text[start:]); last != "" {
		items = append(items, last)
	}
	return items
}

// longestNumber is more digits and commas than one number has; it bounds the
// work at each comma of a long text.
const longestNumber = 40

// insideNumber decides whether the comma at i belongs to one number: digits
// touch it on both sides and all of them together can be read as one.
func insideNumber(text string, i int) bool {
	inRun := func(c byte) bool { return isDigit(c) || c == '.' || c == ',' }
	low, high := i, i+1
	for low > 0 && inRun(text[low-1]) && high-low <= longestNumber {
		low--
	}
	for high < len(text) && inRun(text[high]) && high-low <= longestNumber {
		high++
	}
	if high-low > longestNumber || low == i || high == i+1 || !isDigit(text[i-1]) || !isDigit(text[i+1]) {
		return false
	}
	// The comma and full stop that end an item are not part of its number.
	_, _, ok := readDigits(strings.TrimRight(text[low:high], ",."))
	return ok
}

// ParseList reads several values of one option, such as "3 min, 100 g, 23 C".
// Result i belongs to wants[i] and is nil where nothing was given for it. An
// item with a unit goes to the first free want of its dimension, whatever its
// place; a bare one to the first free want after that of the item before it.
//
// Errors are those of Parse, and bad_quantity for an item that no want is left
// for. An empty text gives no values and no error: what must be there is for
// the caller to say.
func ParseList(text string, wants ...Want) ([]*Quantity, []string, error) {
	got := make([]*Quantity, len(wants))
	if len(wants) == 0 {
		return got, nil, nil
	}
	if len(text) > listLimit {
		return nil, nil, in(wants[0].refuse("the list is %d characters long, more than the %d that are read", len(text), listLimit), wants[0].Option)
	}
	p := placing{wants: wants, got: got}
	items := SplitList(text)
	spots := make([]int, len(items)) // the want that each item went to
	bare := make([]bool, len(items))
	for i, item := range items {
		var dim Dim
		if dim, bare[i] = p.dimOf(item); bare[i] {
			continue
		}
		var err error
		if spots[i], err = p.place(item, -1, func(w Want) bool { return w.takes(dim) }); err != nil {
			return nil, nil, err
		}
	}
	previous := -1
	for i, item := range items {
		switch {
		case item == "":
			spots[i] = previous + 1 // an empty item skips its place
		case bare[i]:
			var err error
			if spots[i], err = p.place(item, previous, func(Want) bool { return true }); err != nil {
				return nil, nil, err
			}
		}
		previous = spots[i]
	}
	return got, p.notes, nil
}

// placing is a list on its way to its wants.
type placing struct {
	wants []Want
	got   []*Quantity
	notes []string
}

// place reads an item for the first free want after that index which fits,
// else for the first free one that fits, and tells which it was.
func (p *placing) place(text string, after int, fits func(Want) bool) (int, error) {
	spot := -1
	for i, w := range p.wants {
		if p.got[i] != nil || !fits(w) {
			continue
		}
		if i > after {
			spot = i
			break
		}
		if spot < 0 {
			spot = i
		}
	}
	if spot < 0 {
		return 0, p.unplaced(text)
	}
	q, notes, err := Parse(text, p.wants[spot])
	if err != nil {
		return 0, err
	}
	p.got[spot] = &q
	p.notes = append(p.notes, notes...)
	return spot, nil
}

// dimOf tells what the item measures, or that it is bare. An ounce, which may
// be two things, and a text that cannot be read count as bare: the want whose
// turn it is then says what is wrong.
func (p *placing) dimOf(text string) (dim Dim, bare bool) {
	anything := Want{System: p.wants[0].System}
	tokens, err := tokenize(text, textLimit, anything)
	if err != nil {
		return Number, true
	}
	terms, err := anything.terms(tokens, text)
	if err != nil || terms[0].word == "" || len(terms) == 1 && isLooseOunce(terms[0].word) {
		return Number, true
	}
	return terms[0].unit.Dim(), false
}

func (p *placing) unplaced(text string) error {
	names := make([]string, 0, len(p.wants))
	for _, w := range p.wants {
		names = append(names, w.wanted())
	}
	return fault.New(fault.BadQuantity, `%s: there is no place for "%s"`, p.wants[0].subject(), shown(text)).
		In(p.wants[0].Option).
		Hint("type at most one each of %s, with units or in this order", strings.Join(names, ", "))
}
