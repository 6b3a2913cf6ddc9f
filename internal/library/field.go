package library

import (
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Field ties one option to one line of a profile P: how it is asked for,
// stored and shown.
type Field[P any] struct {
	chat.Option
	Set func(c *chat.Call, p *P) error
	// Show gives the value as a fact; ok is false where it is not said.
	Show func(p *P, s quantity.System) (f chat.Fact, ok bool)
	// Clear forgets the value; nil for what a profile can't be without.
	Clear func(p *P)
	// Copy takes the value over from another profile; nil for what belongs to
	// one thing alone and means nothing to a copy of it.
	Copy func(to, from *P)
}

// copying is how the value at a place in a profile is taken over.
func copying[P, V any](at func(*P) *V) func(to, from *P) {
	return func(to, from *P) { *at(to) = *at(from) }
}

// SetGiven takes the options that were given into a profile.
func SetGiven[P any](c *chat.Call, fields []Field[P], p *P) error {
	for _, f := range fields {
		if !c.Has(f.Name) {
			continue
		}
		if err := f.Set(c, p); err != nil {
			if refusal := fault.As(err); refusal != nil {
				return refusal.In(f.Name)
			}
			return err
		}
	}
	return nil
}

// ClearNames are the values that the option clear names.
func ClearNames(c *chat.Call) []string {
	return strings.FieldsFunc(c.Text("clear"), func(r rune) bool { return r == ',' || r == ' ' })
}

// ClearOne forgets the value of that name; it is unknown_option where there is
// none that a profile can be without.
func ClearOne[P any](fields []Field[P], p *P, name, like string) error {
	for _, f := range fields {
		if f.Name == name && f.Clear != nil {
			f.Clear(p)
			return nil
		}
	}
	return fault.New(fault.UnknownOption, "%.40q can't be cleared", name).In("clear").Hint("name optional values, such as %s", like)
}
