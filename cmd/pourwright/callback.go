package main

import (
	"context"
	"log/slog"

	"github.com/pourwright/pourwright/internal/bench"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/console"
	"github.com/pourwright/pourwright/internal/remind"
)

// transport is what calls members back and keeps their cards up to date.
type transport interface {
	remind.Sender
	remind.Editor
}

// callsBack is the loop that calls members of a name space back, and shows the
// pours they posted as they go on.
func (p *program) callsBack(db records, space string, to transport, desk *chat.Dispatcher, log *slog.Logger, watch remind.Observer) *remind.Loop {
	c := remind.Config{
		Book: db, Sender: to, Space: space, Bell: db.Bell(), Now: p.Now, Log: log, Pace: p.Pace,
		Cards: db, CardBell: db.CardBell(), Editor: to, Desk: desk, Watch: watch,
	}
	if way, ok := to.(*wayIn); ok && !way.speaks {
		c.Cards = nil // they wait for a run that can edit them
	}
	return remind.New(c)
}

// localSender shows calls in the terminal and on the page of one member. Those
// of other members of the database wait until they are there.
type localSender struct {
	member string // key
	prompt *console.Prompt
	page   *bench.Bench
}

// Send shows a call in both places.
func (s localSender) Send(ctx context.Context, m chat.Message) (chat.Outcome, error) {
	if m.MemberKey != s.member {
		return chat.Unseen, nil
	}
	s.page.Call(ctx, m.Reply)
	// It stands on the page by now, whatever becomes of the terminal.
	return chat.Shown, s.prompt.Tell(m.Reply)
}

// Look finds nothing: what an earlier run has shown went away with it.
func (s localSender) Look(context.Context, chat.Message) (chat.Outcome, error) {
	return chat.Unseen, nil
}

// Edit shows a card anew on the page. The terminal stays as it is: what scrolled
// by there was true when it was printed, and a prompt is not to be disturbed.
func (s localSender) Edit(_ context.Context, place, message string, r *chat.Reply) (chat.Outcome, error) {
	return s.page.Edit(place, message, r)
}
