package remind

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"golang.org/x/sync/errgroup"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/shop"
)

// margin is what is left of a lease when the last try of a message must end:
// time to record the outcome.
func (l *Loop) margin() time.Duration { return l.cfg.Pace.Lease / 5 }

// carryOut sends all lanes, some at once. now is when they were claimed.
func (l *Loop) carryOut(ctx context.Context, all [][]*group, claimed time.Time) (total Counts, failed error) {
	var mu sync.Mutex
	var eg errgroup.Group
	eg.SetLimit(l.cfg.Pace.Lanes)
	for _, lane := range all {
		eg.Go(func() error {
			for _, g := range lane {
				if ctx.Err() != nil {
					return nil // the claims run out by themselves
				}
				done, err := l.deliver(ctx, g, claimed)
				mu.Lock()
				total.add(done)
				failed = errors.Join(failed, err)
				mu.Unlock()
			}
			return nil
		})
	}
	_ = eg.Wait() // the errors are joined above
	return total, failed
}

// deliver sends one message to its place or, if that refuses it, to the member
// alone. What refuses everywhere stands in the member's list from then on.
func (l *Loop) deliver(ctx context.Context, g *group, claimed time.Time) (Counts, error) {
	claims, begun, place := g.claims, g.begun, g.place
	look := begun != nil
	until := claimed.Add(l.cfg.Pace.Lease - l.margin())
	for {
		if begun == nil {
			now := l.cfg.Now()
			d, still, err := l.cfg.Book.BeginDelivery(ctx, claims, place, now, l.cfg.Pace.Lease)
			if err != nil {
				return Counts{Unknown: len(claims)}, fmt.Errorf("begin a delivery: %w", err)
			}
			if len(still) == 0 {
				return Counts{Lost: len(claims)}, nil
			}
			claims, begun, until = still, &d, now.Add(l.cfg.Pace.Lease-l.margin())
		}
		outcome, cause := l.attempt(ctx, compose(claims, *begun, l.cfg.Now()), look, until)
		if cause != nil {
			l.cfg.Log.Warn("a call did not go through", "due", claims[0].ID, "calls", len(claims), "outcome", outcome, "error", cause)
		}
		if outcome == chat.Refused && place != "" {
			for i := range claims {
				claims[i].Pending = begun
			}
			begun, place, look = nil, "", false
			continue
		}
		return l.record(ctx, claims, *begun, outcome)
	}
}

// attempt sends a message, at most twice and not past until, looking for it
// whenever it may be there already.
func (l *Loop) attempt(ctx context.Context, m chat.Message, look bool, until time.Time) (chat.Outcome, error) {
	left := until.Sub(l.cfg.Now())
	if left <= 0 {
		return chat.Unknown, nil // too late under this claim
	}
	ctx, cancel := context.WithTimeout(ctx, left)
	defer cancel()
	var causes error
	for try := 0; ; try++ {
		if look {
			seen, err := l.cfg.Sender.Look(ctx, m)
			causes = errors.Join(causes, err)
			if seen != chat.Unseen || try == 2 {
				return unlessSent(seen, try), causes
			}
		}
		outcome, err := l.cfg.Sender.Send(ctx, m)
		causes = errors.Join(causes, err)
		if outcome != chat.Unknown {
			return outcome, causes
		}
		look = true
	}
}

// unlessSent is the outcome after a look. What was sent and is not to be seen
// may yet appear.
func unlessSent(seen chat.Outcome, sent int) chat.Outcome {
	if seen == chat.Unseen && sent > 0 {
		return chat.Unknown
	}
	return seen
}

// record keeps the outcome. It does so even when ctx has ended meanwhile: the
// message is out.
func (l *Loop) record(ctx context.Context, claims []shop.Claim, d shop.Delivery, outcome chat.Outcome) (Counts, error) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), l.margin())
	defer cancel()
	n, now := len(claims), l.cfg.Now()
	switch outcome {
	case chat.Shown:
		if err := l.cfg.Book.EndDelivery(ctx, d, claims, shop.DueSent, now); err != nil {
			return Counts{Unknown: n}, fmt.Errorf("record what was shown: %w", err)
		}
		for _, c := range claims {
			l.cfg.Watch.Late(lateBy(c, now))
		}
		return Counts{Sent: n}, nil
	case chat.Refused:
		if err := l.cfg.Book.EndDelivery(ctx, d, claims, shop.DueFailed, now); err != nil {
			return Counts{Unknown: n}, fmt.Errorf("record what was refused: %w", err)
		}
		return Counts{Failed: n}, nil
	case chat.Unseen:
		if err := l.cfg.Book.PutOff(ctx, claims, now.Add(l.cfg.Pace.Pause)); err != nil {
			return Counts{Unknown: n}, fmt.Errorf("put off: %w", err)
		}
		return Counts{PutOff: n}, nil
	}
	return Counts{Unknown: n}, nil
}
