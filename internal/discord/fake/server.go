package fake

import (
	"crypto/ed25519"
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"time"
)

// Who the fake believes the bot to be; the examples use the same ids.
const (
	Token         = "demo.bot-token.0123456789"
	ApplicationID = "715000000000000001"
	GuildID       = "715000000000000010"
	ChannelID     = "715000000000000020"
)

// T is what the fake needs of a test or benchmark.
type T interface {
	Helper()
	Errorf(format string, args ...any)
	Cleanup(func())
}

// Server is one service. All methods are safe for concurrent use.
type Server struct {
	t    T
	http *httptest.Server

	mu          sync.Mutex
	changed     *sync.Cond
	violations  []string
	requests    []Request
	commands    []json.RawMessage
	puts        int
	names       map[string]bool // every command name ever created
	exchanges   map[string]*Exchange
	files       map[string]*file
	faults      []*Fault
	limits      map[string]*routeLimit
	global      []time.Time
	clock       func() time.Time
	shift       time.Duration
	answerIn    time.Duration
	serial      int
	nonces      map[string]json.RawMessage
	posts       []Post
	edits       []Edit
	closed      map[string]int
	plans       []Plan
	connection  *connection
	links       map[*connection]bool
	readies     int
	identifies  []time.Time
	identifyGap time.Duration
	key         ed25519.PrivateKey
	poster      *poster // nil: interactions go over the gateway
	posting     int     // on their way
	shards      int
	startsLeft  int
	startsReset time.Duration
}

// Request is what came in, for tests that look closer.
type Request struct {
	Route  string // "PATCH /webhooks/{application}/{token}/messages/@original"
	Path   string
	Body   json.RawMessage
	Files  []File
	At     time.Time
	Status int // what was answered; 0 for none
}

// File is an uploaded file.
type File struct {
	Name string
	Data []byte
}

// Start begins to serve. When the test ends the server stops and every
// violation not taken is an error.
func Start(t T) *Server {
	t.Helper()
	s := &Server{
		t: t, names: make(map[string]bool), exchanges: make(map[string]*Exchange), files: make(map[string]*file),
		limits: make(map[string]*routeLimit), nonces: make(map[string]json.RawMessage), closed: make(map[string]int), links: make(map[*connection]bool),
		clock: time.Now, answerIn: answerIn, key: newKey(t), shards: 1, startsLeft: 1000, startsReset: 14 * time.Hour, serial: 1000,
	}
	s.changed = sync.NewCond(&s.mu)
	warm()
	s.http = httptest.NewUnstartedServer(s.routes())
	s.http.Config.ErrorLog = nil
	s.http.Start()
	t.Cleanup(func() {
		t.Helper()
		s.stop()
		for _, v := range s.TakeViolations() {
			t.Errorf("chat service: %s", v)
		}
	})
	return s
}

func (s *Server) stop() {
	s.AwaitPosted()
	s.mu.Lock()
	links := make([]*connection, 0, len(s.links))
	for c := range s.links {
		links = append(links, c)
	}
	p := s.poster
	s.mu.Unlock()
	if p != nil {
		p.client.CloseIdleConnections()
	}
	for _, c := range links {
		c.conn.Close()
	}
	s.http.CloseClientConnections()
	s.http.Close()
	s.waitUntil(surely, func() bool { return len(s.links) == 0 })
}

// APIBase is the address of the REST API.
func (s *Server) APIBase() string { return s.http.URL + "/api/v10" }

// Host is host:port of the server, which also serves files.
func (s *Server) Host() string { return strings.TrimPrefix(s.http.URL, "http://") }

// now is the server's clock, which tests may move.
func (s *Server) now() time.Time { return s.clock().Add(s.shift) }

// Patience makes the service wait so long for a first answer, for tests that
// are about something else: a slow machine then breaks no rule of time.
func (s *Server) Patience(d time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.answerIn = d
}

// Advance moves the server's clock, so that tokens grow old.
func (s *Server) Advance(d time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.shift += d
}

// violate notes a broken rule. The lock must be held.
func (s *Server) violate(format string, args ...any) {
	if len(s.violations) < 100 {
		s.violations = append(s.violations, fmt.Sprintf(format, args...))
	}
}

// TakeViolations returns the rules broken so far and forgets them.
func (s *Server) TakeViolations() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	v := s.violations
	s.violations = nil
	return v
}

// Requests lists what came in on a route; "" lists all.
func (s *Server) Requests(route string) []Request {
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []Request
	for _, r := range s.requests {
		if route == "" || r.Route == route {
			out = append(out, r)
		}
	}
	return out
}

// AwaitRequests waits until so many came in on a route.
func (s *Server) AwaitRequests(route string, n int) []Request {
	s.t.Helper()
	came := func() (count int) {
		for _, r := range s.requests {
			if r.Route == route {
				count++
			}
		}
		return count
	}
	if !s.waitUntil(surely, func() bool { return came() >= n }) {
		s.t.Errorf("%s did not come %d times", route, n)
	}
	return s.Requests(route)
}

// Commands gives the registered commands and how often they were written.
func (s *Server) Commands() (list []json.RawMessage, puts int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]json.RawMessage(nil), s.commands...), s.puts
}

// waitUntil waits for a condition, which is asked under the lock.
func (s *Server) waitUntil(within time.Duration, ok func() bool) bool {
	timer := time.AfterFunc(within, func() {
		s.mu.Lock()
		defer s.mu.Unlock()
		s.changed.Broadcast()
	})
	defer timer.Stop()
	end := time.Now().Add(within)
	s.mu.Lock()
	defer s.mu.Unlock()
	for !ok() {
		if !time.Now().Before(end) {
			return false
		}
		s.changed.Wait()
	}
	return true
}

// id makes a new snowflake. The lock must be held.
func (s *Server) id() string {
	s.serial++
	return fmt.Sprintf("7159%014d", s.serial)
}

// isLoopback guards against a test that would serve strangers.
func isLoopback(addr string) bool {
	host, _, err := net.SplitHostPort(addr)
	ip := net.ParseIP(host)
	return err == nil && ip != nil && ip.IsLoopback()
}

func (s *Server) routes() http.Handler {
	mux := http.NewServeMux()
	s.handleREST(mux)
	mux.HandleFunc("GET /files/{name}", s.serveFile)
	mux.HandleFunc("GET /{$}", s.serveGateway)
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		s.mu.Lock()
		s.violate("%s %s is no route", r.Method, r.URL.Path)
		s.mu.Unlock()
		writeJSON(w, http.StatusNotFound, apiError{Message: "404: Not Found"})
	})
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !isLoopback(r.RemoteAddr) {
			http.Error(w, "this is a test", http.StatusForbidden)
			return
		}
		mux.ServeHTTP(w, r)
	})
}

// Close stops the server before the test ends.
func (s *Server) Close() { s.stop() }
