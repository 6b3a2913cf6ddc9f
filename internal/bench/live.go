package bench

import (
	"errors"
	"strconv"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
)

// A card of the page is kept like one in a channel of the chat service: the
// page of its member is the place, and its name tells the run and the entry.
// What an earlier run showed went away with it.

func (b *Bench) place() string { return "page of " + b.cfg.MemberKey }

func (b *Bench) cardName(id int) string { return b.run[:8] + "-" + strconv.Itoa(id) }

// Edit shows a card anew in its place in the conversation. A card of another
// member's page waits until that page is there.
func (b *Bench) Edit(place, name string, r *chat.Reply) (chat.Outcome, error) {
	if place != b.place() {
		return chat.Unseen, errors.New("a card of another page")
	}
	number, ours := strings.CutPrefix(name, b.run[:8]+"-")
	id, err := strconv.Atoi(number)
	if !ours || err != nil {
		return chat.Refused, nil
	}
	old, there := b.said.find(id)
	if !there || old.ans.Reply == nil || old.ans.Reply.Live == nil || r.Live == nil || old.ans.Reply.Live.Pour != r.Live.Pour {
		return chat.Refused, nil // it went, or another answer took its place
	}
	old.ans.Reply, old.pictures, old.files = r, nil, nil
	if _, err := b.keep(old, id); err != nil {
		return chat.Unseen, err
	}
	return chat.Shown, nil
}
