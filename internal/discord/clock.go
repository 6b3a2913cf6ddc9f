package discord

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
)

// clocks puts stamps that each reader sees in their own zone in the place of
// the times in a reply's texts. What stands between the times is escaped by
// itself, so no stamp comes of anything that a member wrote.
type clocks []chat.Clock

// mostClocks bounds the work: a reply with more times keeps the rest as they
// are.
const mostClocks = 64

func newClocks(all []chat.Clock) clocks {
	c := slices.Clone(all[:min(len(all), mostClocks)])
	c = slices.DeleteFunc(c, func(one chat.Clock) bool { return one.Text == "" })
	// "Mon 2 Jan 15:04" before "15:04"
	slices.SortStableFunc(c, func(a, b chat.Clock) int { return cmp.Compare(len(b.Text), len(a.Text)) })
	return c
}

// escape is the text with its times as stamps, and everything else shown as it
// was typed.
func (c clocks) escape(s string) string {
	var b strings.Builder
	for {
		at, found := c.first(s)
		if found < 0 {
			return b.String() + escape(s)
		}
		b.WriteString(escape(s[:at]))
		b.WriteString(stamp(c[found]))
		s = s[at+len(c[found].Text):]
	}
}

// first finds the first time in a text, the longest of those that begin there;
// found is negative where there is none.
func (c clocks) first(s string) (at, found int) {
	at, found = len(s), -1
	for i, one := range c {
		if j := strings.Index(s, one.Text); j >= 0 && j < at {
			at, found = j, i
		}
	}
	return at, found
}

// tells reports whether a text holds a time.
func (c clocks) tells(s string) bool {
	_, found := c.first(s)
	return found >= 0
}

// stamp is a time of day, with seconds or a date where the text has them.
func stamp(c chat.Clock) string {
	style := "f"
	switch len(c.Text) {
	case len("15:04"):
		style = "t"
	case len("15:04:05"):
		style = "T"
	}
	return fmt.Sprintf("<t:%d:%s>", c.At.Unix(), style)
}
