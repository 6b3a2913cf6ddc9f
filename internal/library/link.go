package library

import (
	"net/url"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

// Link refuses what is no plain link to the open web: it is kept and shown as
// text, and never fetched. A link in other letters than plain ones could look
// like one it is not. Error: bad_file, in that option.
func Link(option, link string) error {
	bad := func(why string) error {
		return fault.New(fault.BadFile, "that link can't be kept: %s", why).In(option).Hint("give it in full, such as https://example.org/pawns.jpg")
	}
	if strings.ContainsFunc(link, func(r rune) bool { return r <= ' ' || r > '~' || strings.ContainsRune("<>\"`\\|", r) }) {
		return bad("it holds spaces, quotes, brackets or letters that a link has none of")
	}
	u, err := url.Parse(link)
	switch {
	case err != nil:
		return bad("it does not read as one")
	case !strings.HasPrefix(link, "https://"):
		return bad("it does not begin with https://")
	case u.Hostname() == "" || u.Opaque != "":
		return bad("it names no host")
	case u.User != nil:
		return bad("it holds a name or a password")
	}
	return nil
}
