package fake

import (
	"encoding/json"
	"fmt"
	"net/http"
	"time"
)

// Fault is a way in which the service fails instead of doing its work.
type Fault struct {
	// Route it applies to, such as "GET /gateway/bot"; "" is any.
	Route string
	// Times it happens; 0 is once.
	Times int
	// Delay passes before anything else, or Until is closed.
	Delay time.Duration
	Until <-chan struct{}
	// Drop closes the connection without an answer and without doing anything;
	// DropAfter does the work first.
	Drop, DropAfter bool
	// Status, if not 0, is answered in place of doing the work; with After the
	// work is done first.
	Status int
	After  bool
	Header map[string]string
	Body   string
}

// Inject makes the next fitting requests meet the fault.
func (s *Server) Inject(f Fault) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if f.Times == 0 {
		f.Times = 1
	}
	s.faults = append(s.faults, &f)
}

// takeFault finds the first fault for a route. The lock must be held.
func (s *Server) takeFault(route string) *Fault {
	for _, f := range s.faults {
		if f.Times > 0 && (f.Route == "" || f.Route == route) {
			f.Times--
			return f
		}
	}
	return nil
}

// Scope is whom a 429 is for.
type Scope string

// The scopes of a 429; Banned is the answer of the guard before the API, which
// is no JSON.
const (
	User   Scope = "user"
	Shared Scope = "shared"
	Global Scope = "global"
	Banned Scope = "banned"
)

// Limited is a 429 as the service words it, with a wait of our choice. The
// header of the real one is in whole seconds, rounded up.
func Limited(t T, route string, scope Scope, wait time.Duration) Fault {
	t.Helper()
	name := map[Scope]string{User: "429_user", Shared: "429_shared", Global: "429_global", Banned: "429_without_json"}[scope]
	var answer struct {
		Status  int               `json:"status"`
		Headers map[string]string `json:"headers"`
		Body    json.RawMessage   `json:"body"`
	}
	if err := json.Unmarshal(Example(t, "rest/"+name), &answer); err != nil {
		t.Errorf("read example %s: %v", name, err)
	}
	f := Fault{Route: route, Status: answer.Status, Header: answer.Headers}
	f.Header["Retry-After"] = fmt.Sprintf("%.0f", max(1, float64(wait+time.Second-1)/float64(time.Second)))
	if scope == Banned {
		f.Header["Retry-After"] = fmt.Sprintf("%.3f", wait.Seconds())
		if err := json.Unmarshal(answer.Body, &f.Body); err != nil {
			t.Errorf("read example %s: %v", name, err)
		}
		return f
	}
	if scope != Global {
		f.Header["X-RateLimit-Reset-After"] = fmt.Sprintf("%.3f", wait.Seconds())
	}
	var body map[string]any
	if err := json.Unmarshal(answer.Body, &body); err != nil {
		t.Errorf("read example %s: %v", name, err)
	}
	body["retry_after"] = wait.Seconds()
	raw, err := json.Marshal(body)
	if err != nil {
		t.Errorf("encode 429: %v", err)
	}
	f.Header["Content-Type"] = "application/json"
	f.Body = string(raw)
	return f
}

// routeLimit is a limit that the server enforces and tells of.
type routeLimit struct {
	limit  int
	window time.Duration
	start  map[string]time.Time
	used   map[string]int
}

// Limit makes a route allow so many requests in a window, for each channel,
// guild or webhook. A client that sends more gets a 429 and breaks a rule.
func (s *Server) Limit(route string, limit int, window time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.limits[route] = &routeLimit{limit: limit, window: window, start: make(map[string]time.Time), used: make(map[string]int)}
}

// spend counts a request against the route's limit and writes the headers. The
// lock must be held. It returns the wait if there is none left.
func (s *Server) spend(route, major string, h http.Header) time.Duration {
	l := s.limits[route]
	if l == nil {
		return 0
	}
	now := time.Now()
	if now.Sub(l.start[major]) >= l.window {
		l.start[major], l.used[major] = now, 0
	}
	l.used[major]++
	left := l.window - now.Sub(l.start[major])
	h.Set("X-RateLimit-Limit", fmt.Sprint(l.limit))
	h.Set("X-RateLimit-Remaining", fmt.Sprint(max(l.limit-l.used[major], 0)))
	h.Set("X-RateLimit-Reset", fmt.Sprintf("%.3f", float64(now.Add(left).UnixMilli())/1000))
	h.Set("X-RateLimit-Reset-After", fmt.Sprintf("%.3f", left.Seconds()))
	h.Set("X-RateLimit-Bucket", fmt.Sprintf("bucket%08x", len(route)*7919+l.limit))
	if l.used[major] > l.limit {
		s.violate("%s: more than %d requests in %v", route, l.limit, l.window)
		return left
	}
	return 0
}
