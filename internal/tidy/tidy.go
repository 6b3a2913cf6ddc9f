// Package tidy lets go what is over and older than the operator wants to keep.
//
//	err := tidy.New(tidy.Config{Book: db, Keep: 365 * 24 * time.Hour, Now: time.Now, Log: log}).Run(ctx)
//
// What goes and what stays is shop.Tidying's to say; this is the loop. It works
// in small transactions with rests between them, so that members' writes come
// through, and what a kill leaves undone the next run does. When all is gone
// the database's files are written anew, as after an erasure; the first run of
// a program does so in any case, since the one before may have been killed
// between the two.
package tidy

import (
	"cmp"
	"context"
	"fmt"
	"log/slog"
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

// Config is what a service needs.
type Config struct {
	Book  shop.Tidying
	Keep  time.Duration // how long what is over is kept; above zero
	Now   func() time.Time
	Log   *slog.Logger
	Pace  Pace     // zero values mean the usual ones
	Watch Observer // nil if nobody counts
}

// Observer is told what went. It must not block.
type Observer interface {
	// Tidied is n rows of a kind: "pours", "reduced", "reminders", "marks" or
	// "messages".
	Tidied(kind string, n int)
	// TidyEnded is a run: whether all that was old is gone, from the files too.
	TidyEnded(ok bool)
}

// Pace holds the times and bounds of the service.
type Pace struct {
	First time.Duration // before the first run, 1 min: a start is busy enough
	Every time.Duration // between runs, 24 h
	Again time.Duration // after a run that failed, 10 min
	Rest  time.Duration // between two transactions of a run, 50 ms
	Batch int           // rows of each kind in one, 100
}

// Service is the loop. One Service runs once.
type Service struct {
	cfg Config
	// owes says that the files may hold what is gone.
	owes bool
}

// New makes a service.
func New(cfg Config) *Service {
	p := &cfg.Pace
	p.First, p.Every, p.Again = cmp.Or(p.First, time.Minute), cmp.Or(p.Every, 24*time.Hour), cmp.Or(p.Again, 10*time.Minute)
	p.Rest, p.Batch = cmp.Or(p.Rest, 50*time.Millisecond), cmp.Or(p.Batch, 100)
	if cfg.Watch == nil {
		cfg.Watch = nobodyWatches{}
	}
	return &Service{cfg: cfg, owes: true}
}

// Run lets old things go until ctx ends, and returns nil then. What goes wrong
// is logged and tried again.
func (s *Service) Run(ctx context.Context) error {
	wait := s.cfg.Pace.First
	for sleep(ctx, wait) {
		wait = s.cfg.Pace.Every
		n, err := s.RunOnce(ctx)
		if ctx.Err() != nil {
			break
		}
		if err != nil {
			s.cfg.Log.Error("let go what is old", "error", err)
			wait = s.cfg.Pace.Again
		}
		s.cfg.Watch.TidyEnded(err == nil)
		if n.All() > 0 {
			s.cfg.Log.Info("let go what is old", "pours", n.Pours, "reduced", n.Reduced, "reminders", n.Reminders, "marks", n.Marks, "messages", n.Messages)
		}
	}
	return nil
}

// RunOnce lets all go that is old now, and says how much.
func (s *Service) RunOnce(ctx context.Context) (total shop.Tidied, err error) {
	now := s.cfg.Now()
	before := now.Add(-s.cfg.Keep)
	for {
		n, err := s.cfg.Book.TidyUp(ctx, before, now, s.cfg.Pace.Batch)
		if err != nil {
			return total, fmt.Errorf("tidy up: %w", err)
		}
		if n.All() == 0 {
			break
		}
		s.owes = true
		total.Add(n)
		s.tell(n)
		if !sleep(ctx, s.cfg.Pace.Rest) {
			return total, ctx.Err()
		}
	}
	if !s.owes {
		return total, nil
	}
	if err := s.cfg.Book.Scrub(ctx); err != nil {
		return total, fmt.Errorf("take what is gone out of the files: %w", err)
	}
	s.owes = false
	return total, nil
}

func (s *Service) tell(n shop.Tidied) {
	for kind, n := range map[string]int{"pours": n.Pours, "reduced": n.Reduced, "reminders": n.Reminders, "marks": n.Marks, "messages": n.Messages} {
		if n > 0 {
			s.cfg.Watch.Tidied(kind, n)
		}
	}
}

// sleep waits and reports whether ctx goes on.
func sleep(ctx context.Context, d time.Duration) bool {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-ctx.Done():
		return false
	case <-timer.C:
		return ctx.Err() == nil
	}
}

type nobodyWatches struct{}

func (nobodyWatches) Tidied(string, int) {}
func (nobodyWatches) TidyEnded(bool)     {}
