package discord

import (
	"context"
	"encoding/json"
	"log/slog"
	"testing"
	"testing/synctest"
	"time"
)

// TestPoolStop lets jobs at hand finish for as long as it said, and cancels
// them then.
func TestPoolStop(t *testing.T) {
	for name, c := range map[string]struct {
		job      time.Duration
		canceled bool
	}{"in time": {9 * time.Second, false}, "too long": {time.Hour, true}} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				canceled := false
				handle := func(ctx context.Context, _ job) {
					select {
					case <-time.After(c.job):
					case <-ctx.Done():
						canceled = true
					}
				}
				p := newPool(2, handle, handle, slog.New(slog.DiscardHandler), nobodyWatches{})
				p.offer(job{raw: json.RawMessage(`{"type":2}`), at: time.Now()})
				began := time.Now()
				p.stop(10 * time.Second)
				if want := min(c.job, 10*time.Second); time.Since(began) != want || canceled != c.canceled {
					t.Errorf("stopped after %v, canceled %v; want %v, %v", time.Since(began), canceled, want, c.canceled)
				}
				p.offer(job{raw: json.RawMessage(`{"type":2}`), at: time.Now()}) // after the stop: ignored
			})
		})
	}
}

// TestPoolPanic keeps a panic to its own job.
func TestPoolPanic(t *testing.T) {
	log := &journal{}
	done := make(chan struct{})
	handle := func(_ context.Context, j job) {
		if string(j.raw) == `{"type":1}` {
			panic("out of resin")
		}
		close(done)
	}
	p := newPool(1, handle, handle, log.logger(), nobodyWatches{})
	p.offer(job{raw: json.RawMessage(`{"type":1}`), at: time.Now()})
	p.offer(job{raw: json.RawMessage(`{"type":2}`), at: time.Now()})
	<-done
	p.stop(time.Second)
	if got := log.String(); got == "" {
		t.Error("the panic was not logged")
	}
}

// TestSeenIDs forgets after a quarter of an hour, and early rather than grow
// without bound.
func TestSeenIDs(t *testing.T) {
	var s seenIDs
	now := testTime
	if !s.first("a", now) || s.first("a", now.Add(time.Minute)) {
		t.Error("a repeat was not seen")
	}
	if now = now.Add(2*seenFor + time.Minute); !s.first("b", now) || !s.first("c", now.Add(seenFor+time.Minute)) || !s.first("a", now.Add(seenFor+time.Minute)) {
		t.Error("an old id was kept")
	}
	for n := range 3 * seenMost {
		if !s.first(big(uint64(n)), now) {
			t.Fatalf("id %d was taken for a repeat", n)
		}
	}
	if len(s.old)+len(s.young) > 2*seenMost {
		t.Errorf("%d ids kept", len(s.old)+len(s.young))
	}
}
