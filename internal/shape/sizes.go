package shape

import (
	"fmt"
	"math"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

// Size is one measure in mm; Name is empty where it was given by order.
type Size struct {
	Name string
	MM   float64
}

// sizes hands measures out to a formula by name and remembers the first thing
// wrong, so that a formula reads straight through. Once err is set every
// measure is 1, which keeps the arithmetic harmless.
type sizes struct {
	info  Info
	given []Size
	taken []bool
	notes []string
	err   *fault.Error
}

func newSizes(info Info, given []Size) *sizes {
	s := &sizes{info: info, given: make([]Size, len(given)), taken: make([]bool, len(given))}
	seen := map[string]bool{}
	for i, g := range given {
		name := g.Name
		// The two radii of a torus are told apart by case alone, and readers
		// of text may have dropped it: the larger one is R.
		if s.info.Kind != Torus {
			name = strings.ToLower(name)
		}
		s.given[i] = Size{name, g.MM}
		switch {
		case math.IsNaN(g.MM) || g.MM < minLength || g.MM > maxLength:
			s.fail(fault.OutOfRange, "%s mm is outside %s to %s mm", num(g.MM), num(minLength), num(maxLength))
		case name != "" && seen[name] && s.info.Kind != Torus:
			s.fail(fault.BadQuantity, "%s is given twice", name)
		}
		seen[name] = true
	}
	return s
}

func (s *sizes) fail(code fault.Code, format string, args ...any) {
	if s.err == nil {
		s.err = fault.New(code, format, args...).In("size").Hint("give %s, such as %s", s.info.Help, s.info.Example)
	}
}

func (s *sizes) note(format string, args ...any) {
	s.notes = append(s.notes, fmt.Sprintf(format, args...))
}

// named reports whether any measure has a name.
func (s *sizes) named() bool {
	for _, g := range s.given {
		if g.Name != "" {
			return true
		}
	}
	return false
}

// has reports whether one of the names was given.
func (s *sizes) has(names ...string) bool {
	for _, g := range s.given {
		for _, n := range names {
			if g.Name == n {
				return true
			}
		}
	}
	return false
}

// positional names unnamed measures by order, if none has a name; the number
// given must be one of the orders' lengths. Mixed forms are refused.
func (s *sizes) positional(orders ...[]string) {
	if s.named() {
		for _, g := range s.given {
			if g.Name == "" {
				s.fail(fault.BadQuantity, "%s mm has no name while others have one", num(g.MM))
			}
		}
		return
	}
	for _, order := range orders {
		if len(order) == len(s.given) {
			for i := range s.given {
				s.given[i].Name = order[i]
			}
			return
		}
	}
	code, most := fault.BadQuantity, 0
	for _, order := range orders {
		most = max(most, len(order))
	}
	if len(s.given) < most {
		code = fault.MissingOption
	}
	s.fail(code, "a %s takes %s, and %d %s given", s.info.Kind, s.info.Order, len(s.given), plural(len(s.given), "size is", "sizes are"))
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// take gives the measure with one of the names; a missing one is an error.
func (s *sizes) take(names ...string) float64 {
	if v, ok := s.maybe(names...); ok {
		return v
	}
	s.fail(fault.MissingOption, "a %s needs %s", s.info.Kind, names[0])
	return 1
}

// maybe gives the measure with one of the names, if it was given.
func (s *sizes) maybe(names ...string) (float64, bool) {
	for i, g := range s.given {
		for _, n := range names {
			if g.Name == n && !s.taken[i] {
				s.taken[i] = true
				if s.err != nil {
					return 1, true
				}
				return g.MM, true
			}
		}
	}
	return 0, false
}

// diameter takes d, or r doubled.
func (s *sizes) diameter() float64 {
	if r, ok := s.maybe("r", "radius"); ok {
		return 2 * r
	}
	return s.take("d", "dia", "diameter", "wide", "across")
}

// height takes what stands upright.
func (s *sizes) height() float64 {
	return s.take("h", "height", "high", "tall", "t", "thick", "thickness")
}

// length takes what lies.
func (s *sizes) length() float64 { return s.take("l", "length", "long", "h", "height") }

// upright takes the height of what may as well lie.
func (s *sizes) upright() float64 {
	return s.take("h", "height", "high", "tall", "l", "length", "long", "t", "thick", "thickness")
}

// width takes what goes across.
func (s *sizes) width(names ...string) float64 {
	return s.take(append(names, "w", "width", "wide")...)
}

// fill takes a level of at most top, if one was given.
func (s *sizes) fill(top float64, what string) (float64, bool) {
	v, ok := s.maybe("fill", "depth", "level")
	if ok && v > top*(1+1e-9) {
		s.fail(fault.OutOfRange, "a level of %s mm is above the %s of %s mm", num(v), what, num(top))
	}
	return min(v, top), ok
}

// done reports what was not used.
func (s *sizes) done() {
	for i, g := range s.given {
		if !s.taken[i] {
			s.fail(fault.BadQuantity, "a %s has no size %q", s.info.Kind, fault.Echo(g.Name))
		}
	}
}
