package commands

import (
	"context"
	"fmt"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/shop"
)

// notCalled is said where no more reminders can be kept.
const notCalled = "You have as many reminders as can be kept, so none was made for this pour: /due list shows them."

// begin keeps a pour with its call, and takes what it needs out of stock, all or
// nothing. Where no more calls can be kept, it is kept without.
func (p pourCommand) begin(ctx context.Context, c *chat.Call, plan shop.Pour, from *supply) (begun shop.Pour, drew []shop.Container, called bool, err error) {
	write := func(calls bool) error {
		return p.Together.Together(ctx, func(books shop.Books) (err error) {
			if begun, err = books.Pours.StartPour(ctx, c.Stamp(), plan); err != nil {
				return err
			}
			if from != nil {
				if drew, err = from.draw(ctx, c, books, begun.ID); err != nil {
					return err
				}
			}
			if d, any := nextCall(c, begun); any && calls {
				d.Pour = begun.ID
				_, err = books.Dues.AddDue(ctx, c.Stamp(), d)
			}
			return err
		})
	}
	err = write(true)
	called = err == nil
	if callsFull(err) {
		err = write(false)
	}
	if err != nil {
		return begun, nil, false, fmt.Errorf("start a pour: %w", err)
	}
	return begun, drew, called, nil
}

// callsFull tells the refusal of one more call from others of its kind.
func callsFull(err error) bool {
	f := fault.As(err)
	return f != nil && f.Code == fault.LimitReached && f.Option == "about"
}

// nextCall is the one call that a pour is due next: of a part built in coats
// when the next goes on, else when it is ready and cool, nine times in ten, or
// at even odds where its member chose that. There is none where nothing is
// foreseen.
func nextCall(c *chat.Call, pour shop.Pour) (shop.Due, bool) {
	about, in := "Ready to come out: ", pour.Foreseen.Remind
	switch {
	case pour.CoatsOn < pour.Coats:
		about, in = fmt.Sprintf("Coat %d of %d goes on: ", pour.CoatsOn+1, pour.Coats), pour.Foreseen.Gel.High
	case c.By.Member.Pref.Ready == "p50" && pour.Foreseen.Demold.Mid > 0:
		about, in = "Worth a look: ", pour.Foreseen.Demold.Mid
	}
	d := callOf(c, about+library.PourName(pour), after(pour.CoatedAt(), in))
	d.Layer = pour.CoatsOn < pour.Coats
	return d, in > 0
}

func callOf(c *chat.Call, about string, at time.Time) shop.Due {
	return shop.Due{At: at, DuePlan: shop.DuePlan{About: fault.Clip(about, 200), First: at, Zone: c.By.Zone().String(), Place: placeFor(c)}}
}

// What is still soft is looked at again after a quarter of the time it has had,
// within these bounds: common practice, no source.
const (
	softShare = 4
	softLeast = 10 * time.Minute
	softMost  = 24 * time.Hour
)

// callAgain makes sure that a pour found soft is called for again, and gives
// when.
func callAgain(ctx context.Context, c *chat.Call, books shop.Books, pour shop.Pour) (time.Time, error) {
	coming, err := books.Dues.Dues(ctx, c.By, library.DuesLooked)
	if err != nil {
		return time.Time{}, fmt.Errorf("list dues: %w", err)
	}
	for _, d := range coming {
		if d.Pour == pour.ID && d.At.After(c.At) {
			return d.At, nil
		}
	}
	at := c.At.Add(min(max(c.At.Sub(pour.CoatedAt())/softShare, softLeast), softMost).Round(time.Second))
	_, err = books.PourLog.FollowUp(ctx, c.Stamp(), pour.ID, callOf(c, "Look again: "+library.PourName(pour), at))
	if err != nil {
		return time.Time{}, fmt.Errorf("add another call of a pour: %w", err)
	}
	return at, nil
}
