package remind

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"golang.org/x/sync/errgroup"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// Editor is a transport that can show a message of ours anew.
type Editor interface {
	// Edit puts the reply in the place of what the message shows. Doing it
	// twice does what doing it once does, so any outcome but Shown and Refused
	// is tried again. It must end when ctx does.
	Edit(ctx context.Context, place, message string, r *chat.Reply) (chat.Outcome, error)
}

// Desk makes the answers that cards show; chat.Dispatcher is one.
type Desk interface {
	Do(ctx context.Context, inv chat.Invocation) chat.Answer
}

// mostPause bounds the wait before a card that the service does not take is
// tried again: the wait doubles from Pace.Pause on.
const mostPause = 10 * time.Minute

// CardCounts is what one round of cards came to.
type CardCounts struct {
	Claimed int
	Shown   int
	Dropped int // the message is gone, or the pour is
	PutOff  int // the service takes nothing now
	Unknown int // left to whoever takes it on once the claim has run out
}

func (c *CardCounts) add(d CardCounts) {
	c.Shown += d.Shown
	c.Dropped += d.Dropped
	c.PutOff += d.PutOff
	c.Unknown += d.Unknown
}

// ShowOnce takes on one batch of the cards that are due and shows each as its
// pour is now: however much was slept through, it is one edit.
func (l *Loop) ShowOnce(ctx context.Context) (CardCounts, error) {
	now := l.cfg.Now()
	claims, err := l.cfg.Cards.ClaimCards(ctx, l.cfg.Space, now, l.cfg.Pace.Lease, l.cfg.Pace.Batch)
	if err != nil {
		return CardCounts{}, fmt.Errorf("claim the cards that are due: %w", err)
	}
	total := CardCounts{Claimed: len(claims)}
	var failed error
	var mu sync.Mutex
	var eg errgroup.Group
	eg.SetLimit(l.cfg.Pace.Lanes)
	for _, c := range claims {
		eg.Go(func() error {
			done, err := l.showCard(ctx, c, now)
			mu.Lock()
			defer mu.Unlock()
			total.add(done)
			failed = errors.Join(failed, err)
			return nil
		})
	}
	_ = eg.Wait() // the errors are joined above
	total.tell(l.cfg.Watch)
	return total, failed
}

// showCard makes the answer that a card shows and puts it in its place.
func (l *Loop) showCard(ctx context.Context, c shop.CardClaim, claimed time.Time) (CardCounts, error) {
	at := l.cfg.Now()
	left := claimed.Add(l.cfg.Pace.Lease - l.margin()).Sub(at)
	if left <= 0 || ctx.Err() != nil {
		return CardCounts{Unknown: 1}, nil // too late under this claim
	}
	within, cancel := context.WithTimeout(ctx, left)
	defer cancel()
	ans := l.cfg.Desk.Do(within, chat.Invocation{
		At: at, Renewal: true, Place: c.Place,
		MemberKey: c.Member.Key, MemberName: c.Member.Name, ShopKey: c.Shop.Key, ShopName: c.Shop.Name,
		Line: chat.FormatLine("pour show", map[string]string{"pour": chat.Ref(c.Pour, 0), "show": "yes"}, nil),
	})
	outcome, err := l.outcomeOf(within, c, ans)
	if err != nil {
		l.cfg.Log.Warn("a card was not shown anew", "card", c.ID, "pour", c.Pour, "outcome", outcome, "tries", c.Tries, "error", err)
	}
	return l.recordCard(ctx, c, outcome, ans, at)
}

// outcomeOf shows the answer, or says what is to become of a card that has none.
func (l *Loop) outcomeOf(ctx context.Context, c shop.CardClaim, ans chat.Answer) (chat.Outcome, error) {
	switch {
	case fault.Is(errorOf(ans), fault.UnknownPour), fault.Is(errorOf(ans), fault.NotFound), fault.Is(errorOf(ans), fault.NotAllowed):
		return chat.Refused, nil // its owner sees the pour no more
	case ans.Fault != nil:
		return chat.Unseen, ans.Fault
	case ans.Reply == nil || ans.Reply.Live == nil:
		return chat.Refused, errors.New("the answer is no card")
	}
	return l.cfg.Editor.Edit(ctx, c.Place, c.Message, ans.Reply)
}

// errorOf is an answer's fault as an error, nil where there is none.
func errorOf(ans chat.Answer) error {
	if ans.Fault == nil {
		return nil
	}
	return ans.Fault
}

// recordCard keeps the outcome, even when ctx has ended meanwhile: the message
// was changed. at is when its answer was made.
func (l *Loop) recordCard(ctx context.Context, c shop.CardClaim, outcome chat.Outcome, ans chat.Answer, at time.Time) (CardCounts, error) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), l.margin())
	defer cancel()
	now := l.cfg.Now()
	switch outcome {
	case chat.Shown:
		next := ans.Reply.Live.Next
		if !next.After(at) {
			next = time.Time{} // a phase ends after it is shown, or not by itself
		}
		if err := l.cfg.Cards.EndShowing(ctx, c, next, ans.Reply.Live.Over, now); err != nil {
			return CardCounts{Unknown: 1}, fmt.Errorf("record a card that was shown: %w", err)
		}
		return CardCounts{Shown: 1}, nil
	case chat.Refused:
		if err := l.cfg.Cards.DropCard(ctx, c); err != nil {
			return CardCounts{Unknown: 1}, fmt.Errorf("record a card that is gone: %w", err)
		}
		return CardCounts{Dropped: 1}, nil
	}
	pause := min(l.cfg.Pace.Pause<<min(c.Tries, 10), mostPause)
	if err := l.cfg.Cards.PutOffCard(ctx, c, now.Add(pause)); err != nil {
		return CardCounts{Unknown: 1}, fmt.Errorf("put a card off: %w", err)
	}
	return CardCounts{PutOff: 1}, nil
}
