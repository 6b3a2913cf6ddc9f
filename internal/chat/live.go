package chat

import (
	"context"
	"fmt"
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

// Live says that a reply is the card of a pour under way. Where others see the
// message, it is shown anew at Next and whenever the pour is changed. A message
// that the service shows to its asker alone can't be changed once its token is
// spent: such a card tells its times relative to the reader's clock, which then
// run by themselves.
type Live struct {
	Pour int64
	Next time.Time // when it changes by itself; zero if it does not
	Over bool      // it changes no more, unless its end is taken back
}

// Posted tells what message an answer became, so that a live card can be kept
// up to date. Transports call it after they showed an answer where it can be
// changed later; of any other answer it takes no note.
func (d *Dispatcher) Posted(ctx context.Context, inv Invocation, ans Answer, message string) error {
	if d.cfg.Cards == nil || !ans.Live() || inv.Place == "" || message == "" {
		return nil
	}
	by, err := d.identify(ctx, inv)
	if err != nil {
		return err
	}
	live := ans.Reply.Live
	card := shop.Card{Pour: live.Pour, Place: inv.Place, Message: message}
	if err := d.cfg.Cards.PostCard(ctx, shop.Stamp{By: by, At: inv.At}, card, live.Next); err != nil {
		return fmt.Errorf("keep a live card: %w", err)
	}
	return nil
}

// Live reports whether an answer is a card that goes on changing.
func (a Answer) Live() bool { return a.Reply != nil && a.Reply.Live != nil && !a.Reply.Live.Over }
