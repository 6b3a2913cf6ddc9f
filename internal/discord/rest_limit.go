package discord

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// The service allows 50 requests in any second (Rate Limits, "Global Rate
// Limit"). A refill of 45 with a burst of 5 never sends more than that in one
// second, whichever way the second is laid.
const (
	globalRefill = 45
	globalBurst  = 5
)

// limiter keeps requests within the service's limits: one bucket for each
// method, bucket name and major parameter, as told by the answers, and one
// limit over all routes but those of interactions.
type limiter struct {
	now    func() time.Time
	global *rate.Limiter
	watch  Observer

	mu          sync.Mutex
	globalUntil time.Time
	bannedUntil time.Time
	names       map[string]string // route → bucket name given by the service
	buckets     map[string]*bucket
	refusals    refusalLog
	swept       time.Time
}

func newLimiter(now func() time.Time) *limiter {
	return &limiter{
		now:     now,
		watch:   nobodyWatches{},
		global:  rate.NewLimiter(globalRefill, globalBurst),
		names:   make(map[string]string),
		buckets: make(map[string]*bucket),
	}
}

// errTooLong says that a limit lasts longer than the caller can wait.
var errTooLong = errors.New("the service's rate limit outlasts this request")

// turn is the right to send one request; exactly one of done and lost ends it.
type turn struct {
	limits *limiter
	call   *call
	bucket *bucket
}

// acquire waits until the call may be sent.
func (l *limiter) acquire(ctx context.Context, c *call) (*turn, error) {
	began := time.Now()
	waited := false
	for {
		b, wait, changed, err := l.try(c)
		if err != nil {
			return nil, err
		}
		if b != nil {
			if waited {
				l.watch.Waited(limitTold, time.Since(began))
			}
			if c.hook {
				return &turn{l, c, b}, nil
			}
			return l.globally(ctx, &turn{l, c, b})
		}
		waited = true
		if deadline, ok := ctx.Deadline(); ok && wait > time.Until(deadline) {
			return nil, fmt.Errorf("%w (%s left)", errTooLong, wait.Round(time.Millisecond))
		}
		if err := waitFor(ctx, wait, changed); err != nil {
			return nil, err
		}
	}
}

// globally waits for the limit over all routes.
func (l *limiter) globally(ctx context.Context, t *turn) (*turn, error) {
	if l.global.Allow() {
		return t, nil
	}
	began := time.Now()
	if err := l.global.Wait(ctx); err != nil {
		t.lost()
		return nil, err
	}
	l.watch.Waited(limitOwn, time.Since(began))
	return t, nil
}

// waitFor ends after the wait (if above 0), at a change, or with the context.
func waitFor(ctx context.Context, wait time.Duration, changed <-chan struct{}) error {
	var timeout <-chan time.Time
	if wait > 0 {
		t := time.NewTimer(wait)
		defer t.Stop()
		timeout = t.C
	}
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-timeout:
		return nil
	case <-changed:
		return nil
	}
}

// try takes a place in the call's bucket, or says how long to wait; a wait of
// 0 means until something changes.
func (l *limiter) try(c *call) (b *bucket, wait time.Duration, changed <-chan struct{}, err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	now := l.now()
	l.sweep(now)
	if err := l.refusals.check(c, now); err != nil {
		return nil, 0, nil, err
	}
	until := l.bannedUntil
	if !c.hook && l.globalUntil.After(until) {
		until = l.globalUntil
	}
	b = l.bucketFor(c)
	b.used = now
	if until.After(now) {
		return nil, until.Sub(now), b.changed, nil
	}
	wait, ok := b.take(now)
	if !ok {
		return nil, wait, b.changed, nil
	}
	return b, 0, nil, nil
}

// bucketFor finds the bucket of a call: by the name the service gave the
// route, else by the route itself.
func (l *limiter) bucketFor(c *call) *bucket {
	name := l.names[c.route()]
	if name == "" {
		name = c.route()
	}
	key := c.method + " " + name + " " + c.major
	b := l.buckets[key]
	if b == nil {
		b = newBucket()
		l.buckets[key] = b
	}
	return b
}

// sweep forgets buckets that hold nothing any more: each interaction has a
// bucket of its own, so they would pile up.
func (l *limiter) sweep(now time.Time) {
	if now.Sub(l.swept) < time.Minute && len(l.buckets) < 4096 {
		return
	}
	l.swept = now
	for key, b := range l.buckets {
		if b.idle(now) {
			delete(l.buckets, key)
		}
	}
	l.refusals.sweep(now)
}

// lost ends a turn whose request brought no answer.
func (t *turn) lost() {
	t.limits.mu.Lock()
	defer t.limits.mu.Unlock()
	t.bucket.release()
}

// done ends a turn with the answer's headers and returns the wait a 429 asks
// for.
func (t *turn) done(status int, h http.Header, body []byte) time.Duration {
	l := t.limits
	l.mu.Lock()
	defer l.mu.Unlock()
	now := l.now()
	b, others := t.bucket, t.bucket.inFlight-1
	if name := h.Get("X-RateLimit-Bucket"); name != "" && name != l.names[t.call.route()] {
		if len(l.names) < 256 {
			l.names[t.call.route()] = cutBytes(name, 128)
		}
		b = l.bucketFor(t.call)
		b.used = now
		others = b.inFlight
	}
	b.learn(now, h, others)
	t.bucket.release()
	if status != http.StatusTooManyRequests {
		l.refusals.count(status, now)
		return 0
	}
	limit := readLimit(h, body)
	if limit.scope != scopeShared {
		l.refusals.count(status, now)
	}
	until := now.Add(limit.wait)
	switch {
	case limit.scope == scopeBan:
		l.bannedUntil = later(l.bannedUntil, until)
	case limit.scope == scopeGlobal && !t.call.hook:
		l.globalUntil = later(l.globalUntil, until)
	default:
		b.blockedUntil = later(b.blockedUntil, until)
	}
	return limit.wait
}

// remember keeps refusals that must not be provoked twice.
func (t *turn) remember(e *APIError) {
	t.limits.mu.Lock()
	defer t.limits.mu.Unlock()
	t.limits.refusals.remember(t.call, e, t.limits.now())
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}
