package board

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"sync"
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

// How old a picture of the board may be while nothing was committed: on a page
// that is asked for, and on one that waits for news. Another process that
// writes to the same database is seen after the second.
const (
	pageAge = time.Second
	newsAge = 10 * time.Second
)

// shotsMost bounds the pictures that are kept, of about 1 kB for each pour.
const shotsMost = 128

// shot is the board as one viewer sees it. All who look with the same eye
// share it, so that ten tablets cost what one does.
type shot struct {
	mu    sync.Mutex
	taken time.Time
	count uint64 // commits so far, when it was taken
	view  view
	mark  string // the same while the board says the same
	html  []byte // what stands below the head
}

// still is a shot that changes no more.
type still struct {
	view view
	mark string
	html []byte
}

// shot gives the board, anew if it is older than age or something happened.
func (b *Board) shot(ctx context.Context, v shop.Viewer, home string, age time.Duration) (still, error) {
	s := b.shotOf(eye{v.Member.ID, v.Shop.ID})
	s.mu.Lock()
	defer s.mu.Unlock()
	now := b.cfg.Now()
	count, _ := b.cfg.Changes()
	fresh := count == s.count && !now.Before(s.taken) && now.Sub(s.taken) < age &&
		(s.view.next.IsZero() || now.Before(s.view.next))
	if s.html == nil || !fresh {
		seen, err := b.see(ctx, v, home, now)
		if err != nil {
			return still{}, err
		}
		html, err := b.page.live(seen)
		if err != nil {
			return still{}, err
		}
		mark, err := markOf(seen)
		if err != nil {
			return still{}, err
		}
		s.taken, s.count, s.view, s.html, s.mark = now, count, seen, html, mark
	}
	return still{s.view, s.mark, s.html}, nil
}

func (b *Board) shotOf(e eye) *shot {
	b.mu.Lock()
	defer b.mu.Unlock()
	s := b.shots[e]
	if s == nil {
		if len(b.shots) >= shotsMost {
			clear(b.shots) // those that are looked at come back at once
		}
		s = &shot{}
		b.shots[e] = s
	}
	return s
}

// markOf is a short name of what a board says. What only tells the time is no
// part of it.
func markOf(v view) (string, error) {
	text, err := json.Marshal(v)
	if err != nil {
		return "", fmt.Errorf("mark a board: %w", err)
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:8]), nil
}
