package discord

import (
	"encoding/json"
	"math"
	"net/http"
	"strconv"
	"time"
)

// bucket is one rate limit as far as the answers have told. Its lock is the
// limiter's.
type bucket struct {
	known        bool // an answer has told the limit, or that there is none
	limit        int  // requests in one window; 0 means no limit
	remaining    int
	reset        time.Time
	untold       bool // a window has begun whose end no answer has told yet
	blockedUntil time.Time
	inFlight     int
	used         time.Time
	changed      chan struct{} // closed and replaced whenever a wait may end
}

func newBucket() *bucket { return &bucket{changed: make(chan struct{})} }

// take reserves a place, or says how long to wait (0: until a change). Before
// the first answer a single request explores the bucket.
func (b *bucket) take(now time.Time) (time.Duration, bool) {
	switch {
	case b.blockedUntil.After(now):
		return b.blockedUntil.Sub(now), false
	case !b.known && b.inFlight > 0:
		return 0, false
	case b.known && b.limit > 0:
		if !b.untold && !b.reset.After(now) {
			// The next window opens when its first request arrives there.
			b.remaining, b.untold = b.limit-b.inFlight, true
		}
		if b.remaining <= 0 {
			return b.untilReset(now), false
		}
		b.remaining--
	}
	b.inFlight++
	return 0, true
}

// untilReset is the rest of the window, or 0 for a window whose end is still
// to be told by an answer under way.
func (b *bucket) untilReset(now time.Time) time.Duration {
	if b.untold {
		return 0
	}
	return max(b.reset.Sub(now), time.Millisecond)
}

// release gives a place back. When the last answer under way has not told when
// the window ends, nothing is known any more and one request explores anew.
func (b *bucket) release() {
	b.inFlight--
	if b.inFlight == 0 && b.untold {
		b.known, b.untold, b.limit = false, false, 0
	}
	b.wake()
}

func (b *bucket) wake() {
	close(b.changed)
	b.changed = make(chan struct{})
}

// learn takes over what the headers of an answer say. Answers can overtake one
// another, so within a window the lower count wins; a new window's count does
// not hold the others still under way.
func (b *bucket) learn(now time.Time, h http.Header, others int) {
	defer b.wake()
	b.known = true
	limit, errLimit := strconv.Atoi(h.Get("X-RateLimit-Limit"))
	remaining, errRemaining := strconv.Atoi(h.Get("X-RateLimit-Remaining"))
	after := seconds(h.Get("X-RateLimit-Reset-After"))
	if errLimit != nil || errRemaining != nil || after < 0 || limit <= 0 {
		return
	}
	reset := now.Add(after)
	sameWindow := b.limit > 0 && !b.untold && b.reset.Sub(reset).Abs() < 250*time.Millisecond
	if sameWindow {
		remaining = min(remaining, b.remaining)
	} else {
		remaining -= others
	}
	b.limit, b.remaining, b.reset, b.untold = limit, max(remaining, 0), reset, false
}

// idle reports whether forgetting the bucket loses nothing.
func (b *bucket) idle(now time.Time) bool {
	return b.inFlight == 0 && !b.blockedUntil.After(now) &&
		(b.limit == 0 || !b.reset.After(now)) && now.Sub(b.used) > 10*time.Second
}

// The scopes of a 429.
const (
	scopeUser   = "user"
	scopeShared = "shared"
	scopeGlobal = "global"
	// scopeBan is ours: a 429 that does not come from the API itself but from
	// the guard before it, and stands for all routes.
	scopeBan = "ban"
)

type limitAnswer struct {
	scope string
	wait  time.Duration
}

// readLimit reads a 429. The body's number is finer than the header's whole
// seconds; a body that is no JSON comes from the guard before the API.
func readLimit(h http.Header, body []byte) limitAnswer {
	var doc struct {
		RetryAfter *float64 `json:"retry_after"`
		Global     bool     `json:"global"`
		Code       int      `json:"code"`
	}
	header := seconds(h.Get("Retry-After"))
	if json.Unmarshal(body, &doc) != nil || doc.RetryAfter == nil {
		if header <= 0 {
			header = time.Minute
		}
		if json.Valid(body) && (h.Get("X-RateLimit-Scope") != "" || doc.Code == codeTooManyEdits) {
			return limitAnswer{scopeUser, header}
		}
		return limitAnswer{scopeBan, header}
	}
	answer := limitAnswer{scope: scopeUser, wait: toDuration(*doc.RetryAfter)}
	if answer.wait <= 0 {
		answer.wait = max(header, time.Second)
	}
	switch {
	case doc.Global, h.Get("X-RateLimit-Global") != "", h.Get("X-RateLimit-Scope") == scopeGlobal:
		answer.scope = scopeGlobal
	case h.Get("X-RateLimit-Scope") == scopeShared:
		answer.scope = scopeShared
	}
	return answer
}

// seconds reads a decimal number of seconds, or -1.
func seconds(s string) time.Duration {
	f, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return -1
	}
	return toDuration(f)
}

// toDuration is seconds rounded up to the millisecond, at most a day, and -1
// for what is no time to wait.
func toDuration(f float64) time.Duration {
	if math.IsNaN(f) || f < 0 {
		return -1
	}
	return time.Duration(math.Ceil(min(f, 86400)*1000)) * time.Millisecond
}
