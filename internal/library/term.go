package library

import (
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

// Term finds the glossary's entry for the word that the option gives; a near
// one is taken and said. Errors: not_found.
func Term(c *chat.Call, option string) (caution.Term, error) {
	typed := c.Text(option)
	if t, ok := caution.Lookup(typed); ok {
		return t, nil
	}
	near := chat.Nearest(typed, caution.Words())
	if len(near) == 0 {
		return caution.Term{}, fault.New(fault.NotFound, "the glossary has no word %q", fault.Echo(typed)).In(option).
			Hint(`try a shorter one, such as %s:"pot life"`, option)
	}
	t, _ := caution.Lookup(near[0])
	c.Note(fmt.Sprintf("%q was read as %q.", fault.Echo(typed), near[0]))
	return t, nil
}

// SuggestTerm completes a word of the glossary.
func SuggestTerm(_ context.Context, _ *chat.Call, typed string) ([]chat.Choice, error) {
	return chat.Narrow(typed, caution.Words()), nil
}
