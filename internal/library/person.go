package library

import (
	"regexp"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

// personID is a member's name in the terminal or a member's number in chat.
var personID = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._-]{0,31}$`)

// PersonKey gives the key of the member that a Person option names. A chat
// service hands in the key itself; a typed name, with or without an @, is one
// of the caller's own name space. Errors: not_found, and not_allowed for a
// member of another name space: the two never mix.
func PersonKey(c *chat.Call, option string) (string, error) {
	typed := strings.TrimPrefix(strings.TrimSpace(c.Text(option)), "@")
	here, _, _ := strings.Cut(c.By.Member.Key, ":")
	space, id, named := strings.Cut(typed, ":")
	if !named {
		space, id = here, typed
	}
	if !personID.MatchString(id) {
		return "", fault.New(fault.NotFound, "%q is no member's name", clip(typed)).In(option).
			Hint("give the name that they call themselves here, such as %s:bram", option)
	}
	if space != here {
		return "", fault.New(fault.NotAllowed, "%q is a member of another service", clip(typed)).In(option).
			Hint("name someone who asks from where you ask")
	}
	return space + ":" + id, nil
}
