package discord

import (
	"errors"
	"net/http"
	"sync"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/discord/fake"
)

// TestRESTLimitOutlasts returns at once when a limit can't end in time.
func TestRESTLimitOutlasts(t *testing.T) {
	s := fake.Start(t)
	r := restOn(t, s)
	s.Inject(fake.Limited(t, routeCommands, fake.User, time.Hour))
	began := time.Now()
	_, err := r.commands(within(t, surely), fake.ApplicationID)
	var refused *APIError
	if !errors.As(err, &refused) || refused.RetryAfter != time.Hour {
		t.Errorf("got %v", err)
	}
	if _, err := r.commands(within(t, surely), fake.ApplicationID); !errors.Is(err, errTooLong) {
		t.Errorf("second call: %v", err)
	}
	if took := time.Since(began); took > surely/2 {
		t.Errorf("took %v", took)
	}
	if n := len(s.Requests("")); n != 1 {
		t.Errorf("%d requests, want 1", n)
	}
}

// TestRESTBuckets sends many requests at once over a route with a narrow
// limit: none may be refused, and none be lost.
func TestRESTBuckets(t *testing.T) {
	s := fake.Start(t)
	s.Limit(routeCommands, 3, 150*time.Millisecond)
	r := restOn(t, s)
	began := time.Now()
	var wg sync.WaitGroup
	for range 12 {
		wg.Go(func() {
			if _, err := r.commands(within(t, surely), fake.ApplicationID); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	if n := len(s.Requests(routeCommands)); n != 12 {
		t.Errorf("%d requests, want 12", n)
	}
	if took := time.Since(began); took < 400*time.Millisecond {
		t.Errorf("12 requests at 3 each 150 ms took only %v", took)
	}
}

// TestRESTCountsRefusals stops long before the service bans the address, and
// starts again when the refusals are ten minutes old. A shared 429 is nobody's
// fault and does not count.
func TestRESTCountsRefusals(t *testing.T) {
	now := testTime
	l := newLimiter(func() time.Time { return now })
	c := &call{method: "GET", pattern: "/x", path: "/x"}
	turn := func(status int, h http.Header) error {
		t.Helper()
		got, err := l.acquire(t.Context(), &call{method: "GET", pattern: "/y", path: "/y", hook: true})
		if err == nil {
			got.done(status, h, []byte(`{"retry_after":0.001}`))
			now = now.Add(2 * time.Millisecond)
		}
		return err
	}
	for range refusalLimit + 5 {
		if err := turn(429, http.Header{"X-Ratelimit-Scope": {"shared"}}); err != nil {
			t.Fatal(err)
		}
	}
	for n := range refusalLimit {
		if err := turn(403, nil); err != nil {
			t.Fatalf("after %d: %v", n, err)
		}
	}
	if _, err := l.acquire(t.Context(), c); !errors.Is(err, errTooManyRefusals) {
		t.Errorf("after %d refusals: %v", refusalLimit, err)
	}
	now = now.Add(refusalWindow + time.Second)
	if _, err := l.acquire(t.Context(), c); err != nil {
		t.Errorf("ten minutes later: %v", err)
	}
}

// TestRESTForgets keeps no bucket for interactions of the past.
func TestRESTForgets(t *testing.T) {
	now := testTime
	l := newLimiter(func() time.Time { return now })
	for n := range 20_000 {
		c := &call{method: "POST", pattern: callbackPattern, major: big(uint64(n)), hook: true}
		turn, err := l.acquire(t.Context(), c)
		if err != nil {
			t.Fatal(err)
		}
		turn.done(204, nil, nil)
		now = now.Add(50 * time.Millisecond)
	}
	if n := len(l.buckets); n > 4096 {
		t.Errorf("%d buckets kept", n)
	}
}

// TestBucketLosesCount explores anew when answers that would tell the window
// are lost, and does not stand still.
func TestBucketLosesCount(t *testing.T) {
	now := testTime
	l := newLimiter(func() time.Time { return now })
	c := &call{method: "GET", pattern: "/x", path: "/x"}
	headers := http.Header{"X-Ratelimit-Limit": {"2"}, "X-Ratelimit-Remaining": {"1"}, "X-Ratelimit-Reset-After": {"1.0"}, "X-Ratelimit-Bucket": {"b"}}
	turn := func() *turn {
		t.Helper()
		got, err := l.acquire(within(t, time.Second), c)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	turn().done(200, headers, nil)
	now = now.Add(2 * time.Second)
	for n := range 10 {
		if n%2 == 0 {
			turn().lost()
		} else {
			turn().done(502, nil, nil)
		}
	}
	turn().done(200, headers, nil)
	turn().done(200, nil, nil)
	if b := l.bucketFor(c); b.limit != 2 || b.remaining != 0 {
		t.Errorf("limit %d, remaining %d; want 2 and 0", b.limit, b.remaining)
	}
}
