package library

import (
	"context"
	"fmt"
	"regexp"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// personID is a member's name in the terminal or a member's number in chat.
var personID = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._-]{0,31}$`)

// Person finds or makes the member that a Person option names. A chat service
// hands in the key itself; a typed name, with or without an @, is one of the
// caller's own name space. Errors: not_found, and not_allowed for a member of
// another name space: the two never mix.
func Person(ctx context.Context, c *chat.Call, people shop.People, option string) (shop.Member, error) {
	typed := strings.TrimPrefix(strings.TrimSpace(c.Text(option)), "@")
	here, _, _ := strings.Cut(c.By.Member.Key, ":")
	space, id, named := strings.Cut(typed, ":")
	if !named {
		space, id = here, typed
	}
	if !personID.MatchString(id) {
		return shop.Member{}, fault.New(fault.NotFound, "%q is no member's name", fault.Echo(typed)).In(option).
			Hint("give the name that they ask by, such as %s:bram", option)
	}
	if space != here {
		return shop.Member{}, fault.New(fault.NotAllowed, "%q asks from another service", fault.Echo(typed)).In(option).
			Hint("name someone who asks from where you ask")
	}
	name := ""
	if space == "local" {
		name = id // in a terminal the name is the key
	}
	m, err := people.Member(ctx, space+":"+id, name, c.At)
	if err != nil {
		return shop.Member{}, fmt.Errorf("find the member: %w", err)
	}
	return m, nil
}
