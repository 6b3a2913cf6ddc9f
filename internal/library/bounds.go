package library

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// Asked are bounds as read, with the words that say them again.
type Asked struct {
	shop.Bounds
	Text string
}

var (
	twoEnds = regexp.MustCompile(`(?i)^(?:from |between )?(.*\S)(?: to | and | – |–| — |—| - |\.\.+)\s*(\S.*)$`)
	// A hyphen without spaces is one of times, never of hardness: 00-30 is 30 on
	// the 00 scale.
	closeHyphen = regexp.MustCompile(`^(\d[^-]*)-(\d.*)$`)
	atMost      = regexp.MustCompile(`(?i)^(?:up to|at most|no more than|under|below|less than|<=?|≤)\s*(.+)$|^(.+\S)\s+(?:or less|and less|at most)$`)
	atLeast     = regexp.MustCompile(`(?i)^(?:from|at least|no less than|over|above|more than|>=?|≥)\s*(.+)$|^(.+\S)\s+(?:or more|and more|at least|and up)$`)
	firstUnit   = regexp.MustCompile(`^[\d.,/ ]+(\p{L}+)`)
)

// sides takes a typed range apart. A text that is none is both of its ends.
func sides(typed string, hyphen bool) (low, high string) {
	typed = strings.Join(strings.Fields(typed), " ")
	one := func(m []string) string { return m[1] + m[2] }
	if m := atMost.FindStringSubmatch(typed); m != nil {
		return "", one(m)
	}
	m := twoEnds.FindStringSubmatch(typed)
	if m == nil && hyphen {
		m = closeHyphen.FindStringSubmatch(typed)
	}
	if m != nil {
		return strings.TrimSpace(m[1]), m[2]
	}
	if m := atLeast.FindStringSubmatch(typed); m != nil {
		return one(m), ""
	}
	return typed, typed
}

// ReadBounds reads a range of a figure: "10 min to 30 min", "10-30 min", "up to
// 30 min", "at least 10 min"; one figure alone is both ends. A lower end without
// a unit has that of the upper one. Errors: those of quantity.Parse,
// missing_option for an empty text, out_of_range for a range that runs backwards.
func ReadBounds(c *chat.Call, option string, want quantity.Want) (Asked, error) {
	low, high := sides(c.Text(option), true)
	if low == "" && high == "" {
		return Asked{}, emptyRange(option)
	}
	want.Option, want.System = option, c.By.System()
	if unit := firstUnit.FindStringSubmatch(high); unit != nil && low != "" && firstUnit.FindStringSubmatch(low) == nil {
		low += " " + unit[1]
	}
	var asked Asked
	for _, end := range []struct {
		text string
		at   **float64
	}{{low, &asked.Low}, {high, &asked.High}} {
		if end.text == "" {
			continue
		}
		q, notes, err := quantity.Parse(end.text, want)
		if err != nil {
			return Asked{}, err
		}
		for _, n := range notes {
			c.Note(n)
		}
		*end.at = &q.Value
	}
	if asked.Low != nil && asked.High != nil && *asked.Low > *asked.High {
		return Asked{}, backwards(option, low, high)
	}
	asked.Text = asked.say(func(v float64) string { return quantity.Text(v, want.Dims[0], want.System) })
	return asked, nil
}

// emptyRange is said of a text of which nothing is left that can be seen.
func emptyRange(option string) error {
	return fault.New(fault.MissingOption, "%s is empty", option).In(option).Hint("give one figure, or two with to between them")
}

func backwards(option, low, high string) error {
	return fault.New(fault.OutOfRange, "the range from %q to %q holds nothing", fault.Echo(low), fault.Echo(high)).In(option).
		Hint("give the smaller end first, such as %s:%q", option, fault.Echo(high)+" to "+fault.Echo(low))
}

// say writes bounds as one would say them.
func (a Asked) say(text func(float64) string) string {
	switch {
	case a.Low == nil:
		return "up to " + text(*a.High)
	case a.High == nil:
		return "from " + text(*a.Low)
	case *a.Low == *a.High:
		return text(*a.Low)
	}
	return text(*a.Low) + " to " + text(*a.High)
}

// shoreScales go from the softest to the hardest.
var shoreScales = []string{"00", "A", "D"}

// ReadHardness reads a range of hardness, "60 A to 80 A", "up to 30 A", "74 D".
// One that begins on a softer scale than it ends on takes each scale for
// itself, for there is no exact conversion between them (ISO 48-4, ASTM D2240).
// Errors: those of material.ParseHardness, and out_of_range.
func ReadHardness(c *chat.Call, option string) (bounds []shop.ShoreBounds, text string, err error) {
	low, high := sides(c.Text(option), false)
	if low == "" && high == "" {
		return nil, "", emptyRange(option)
	}
	if h, err := material.ParseHardness(high); err == nil && onlyNumber.MatchString(low) {
		low += " " + h.Scale
	}
	var from, to *material.Hardness
	for _, end := range []struct {
		text string
		at   **material.Hardness
	}{{low, &from}, {high, &to}} {
		if end.text == "" {
			continue
		}
		h, err := material.ParseHardness(end.text)
		if err != nil {
			return nil, "", inOption(err, option)
		}
		*end.at = &h
	}
	switch {
	case from == nil:
		return []shop.ShoreBounds{{Scale: to.Scale, Bounds: shop.Bounds{High: &to.Shore}}}, "up to " + to.String(), nil
	case to == nil:
		return []shop.ShoreBounds{{Scale: from.Scale, Bounds: shop.Bounds{Low: &from.Shore}}}, "from " + from.String(), nil
	case from.Scale == to.Scale && from.Shore > to.Shore, slices.Index(shoreScales, from.Scale) > slices.Index(shoreScales, to.Scale):
		return nil, "", backwards(option, from.String(), to.String())
	case *from == *to:
		text = from.String()
	default:
		text = from.String() + " to " + to.String()
	}
	if from.Scale == to.Scale {
		return []shop.ShoreBounds{{Scale: to.Scale, Bounds: shop.Bounds{Low: &from.Shore, High: &to.Shore}}}, text, nil
	}
	return acrossScales(c, *from, *to), text, nil
}

var onlyNumber = regexp.MustCompile(`^\d+(?:[.,]\d+)?$`)

// acrossScales takes the upper end of the softer scale, the lower end of the
// harder one and all of one between, and says so.
func acrossScales(c *chat.Call, from, to material.Hardness) []shop.ShoreBounds {
	var bounds []shop.ShoreBounds
	var said []string
	for _, s := range shoreScales[slices.Index(shoreScales, from.Scale) : slices.Index(shoreScales, to.Scale)+1] {
		b := shop.ShoreBounds{Scale: s}
		words := "all of Shore " + s
		switch s {
		case from.Scale:
			b.Low, words = &from.Shore, "Shore "+s+" from "+from.String()
		case to.Scale:
			b.High, words = &to.Shore, "Shore "+s+" up to "+to.String()
		}
		bounds, said = append(bounds, b), append(said, words)
	}
	c.Note(fmt.Sprintf("The Shore scales are separate tests without an exact conversion, so each was taken for itself: %s.", strings.Join(said, "; ")))
	return bounds
}
