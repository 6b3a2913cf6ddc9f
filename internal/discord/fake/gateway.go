package fake

import (
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/gorilla/websocket"
)

// Plan says how the next connection to the gateway goes wrong. The zero value
// is a connection that works.
type Plan struct {
	// Refuse answers the upgrade with this HTTP status.
	Refuse int
	// NoHello keeps silent from the start.
	NoHello bool
	// First is sent in place of READY: a frame such as {"op":7,"d":null}.
	First string
	// CloseWith closes with this code in place of READY.
	CloseWith int
	// Lose drops the connection in place of READY, without a close frame.
	Lose bool
	// NoReady keeps silent in place of READY.
	NoReady bool
	// NoAcks takes heartbeats without acknowledging them.
	NoAcks bool
	// Interval of heartbeats; 0 is the usual 41.25 s.
	Interval time.Duration
}

const usualInterval = 41250 * time.Millisecond

// Plan makes the next connections go so, one plan each.
func (s *Server) Plan(plans ...Plan) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.plans = append(s.plans, plans...)
}

// SetStarts sets how many session starts are left and when the day ends.
func (s *Server) SetStarts(left int, reset time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.startsLeft, s.startsReset = left, reset
}

// SetShards sets the number of shards that the service advises.
func (s *Server) SetShards(n int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.shards = n
}

// WantIdentifyGap makes identifies that come sooner after one another a
// violation.
func (s *Server) WantIdentifyGap(d time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.identifyGap = d
}

// Identifies is how often the bot has identified itself.
func (s *Server) Identifies() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.identifies)
}

// AwaitReady waits until that many sessions in all have become ready.
func (s *Server) AwaitReady(n int) bool {
	s.t.Helper()
	ok := s.waitUntil(surely, func() bool { return s.readies >= n || s.poster != nil })
	if !ok {
		s.t.Errorf("the bot was not ready %d times", n)
	}
	return ok
}

// connection is one socket of the gateway.
type connection struct {
	s    *Server
	conn *websocket.Conn
	plan Plan

	write sync.Mutex
	seq   int
	// Under the server's lock:
	identified bool
	sends      []time.Time
}

var upgrader = websocket.Upgrader{CheckOrigin: func(*http.Request) bool { return true }}

func (s *Server) serveGateway(w http.ResponseWriter, r *http.Request) {
	s.mu.Lock()
	plan := Plan{}
	if len(s.plans) > 0 {
		plan, s.plans = s.plans[0], s.plans[1:]
	}
	if q := r.URL.Query(); q.Get("v") != "10" || q.Get("encoding") != "json" {
		s.violate("gateway query %q", r.URL.RawQuery)
	}
	s.mu.Unlock()
	if plan.Refuse != 0 {
		http.Error(w, "not now", plan.Refuse)
		return
	}
	conn, err := upgrader.Upgrade(w, r, nil)
	if err != nil {
		return
	}
	if plan.Interval == 0 {
		plan.Interval = usualInterval
	}
	c := &connection{s: s, conn: conn, plan: plan}
	s.mu.Lock()
	s.links[c] = true
	s.mu.Unlock()
	defer func() {
		conn.Close()
		s.mu.Lock()
		defer s.mu.Unlock()
		delete(s.links, c)
		if !c.identified && (plan.NoReady || plan.First != "") {
			// It was given up before the plan could be played: the next one plays it.
			s.plans = append([]Plan{plan}, s.plans...)
		}
		if s.connection == c {
			s.connection = nil
		}
		s.changed.Broadcast()
	}()
	if !plan.NoHello {
		c.frame(fmt.Sprintf(`{"t":null,"s":null,"op":10,"d":{"heartbeat_interval":%d}}`, plan.Interval.Milliseconds()))
	}
	c.read()
}

// read takes the bot's frames until the connection ends.
func (c *connection) read() {
	c.conn.SetReadLimit(4096)
	for {
		kind, raw, err := c.conn.ReadMessage()
		if err != nil {
			if strings.Contains(err.Error(), "read limit") {
				c.s.complainAbout("a frame of more than 4096 bytes was sent to the gateway")
			}
			return
		}
		var f struct {
			Op   int             `json:"op"`
			Data json.RawMessage `json:"d"`
		}
		if kind != websocket.TextMessage || json.Unmarshal(raw, &f) != nil {
			c.Close(4002)
			return
		}
		if !c.take(f.Op, f.Data) {
			return
		}
	}
}

func (s *Server) complainAbout(format string, args ...any) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.violate(format, args...)
}

// take acts on one frame and reports whether the connection goes on.
func (c *connection) take(op int, data json.RawMessage) bool {
	if c.tooMany() {
		c.Close(4008)
		return false
	}
	switch op {
	case 1:
		if !c.plan.NoAcks {
			c.frame(`{"t":null,"s":null,"op":11,"d":null}`)
		}
		return true
	case 2:
		return c.identify(data)
	case 6:
		c.s.complainAbout("the bot resumed a session: an interaction older than 3 s is dead anyway")
		c.frame(`{"t":null,"s":null,"op":9,"d":false}`)
		return true
	}
	c.s.complainAbout("the bot sent op %d", op)
	c.Close(4001)
	return false
}

// tooMany counts sends: 120 in 60 s are allowed.
func (c *connection) tooMany() bool {
	c.s.mu.Lock()
	defer c.s.mu.Unlock()
	now := time.Now()
	c.sends = append(slices.DeleteFunc(c.sends, func(at time.Time) bool { return now.Sub(at) > time.Minute }), now)
	if len(c.sends) > 120 {
		c.s.violate("more than 120 sends to the gateway in a minute")
		return true
	}
	return false
}

// privileged intents need a permission that the bot does not ask for.
const privileged = 1<<1 | 1<<8 | 1<<15

// identify judges who is there and plays the plan.
func (c *connection) identify(data json.RawMessage) bool {
	var id struct {
		Token    string  `json:"token"`
		Intents  *int    `json:"intents"`
		Compress bool    `json:"compress"`
		Shard    *[2]int `json:"shard"`
	}
	err := json.Unmarshal(data, &id)
	s := c.s
	s.mu.Lock()
	code := 0
	switch {
	case err != nil || id.Intents == nil:
		s.violate("identify without intents: %v", err)
		code = 4002
	case c.identified:
		s.violate("the bot identified twice on one connection")
		code = 4005
	case *id.Intents&privileged != 0:
		s.violate("identify with privileged intents %d", *id.Intents)
		code = 4014
	case strings.TrimPrefix(id.Token, "Bot ") != Token:
		code = 4004
	}
	now := time.Now()
	if n := len(s.identifies); n > 0 && id.Shard == nil && now.Sub(s.identifies[n-1]) < s.identifyGap {
		s.violate("identified again after %v", now.Sub(s.identifies[n-1]))
	}
	s.identifies = append(s.identifies, now)
	s.startsLeft--
	c.identified = true
	s.mu.Unlock()
	if code != 0 {
		c.Close(code)
		return false
	}
	return c.ready(id.Shard)
}

func (c *connection) ready(shard *[2]int) bool {
	p := c.plan
	switch {
	case p.CloseWith != 0:
		c.Close(p.CloseWith)
		return false
	case p.Lose:
		c.conn.NetConn().Close()
		return false
	case p.NoReady:
		return true
	case p.First != "":
		c.frame(p.First)
		return true
	}
	if shard == nil {
		shard = &[2]int{0, 1}
	}
	raw, err := testdata.ReadFile("testdata/examples/gateway/ready.json")
	if err == nil {
		c.frame(string(With(c.s.t, raw, map[string]any{"d.shard": shard})))
	}
	c.s.mu.Lock()
	defer c.s.mu.Unlock()
	c.seq = 1
	c.s.readies++
	c.s.connection = c
	c.s.changed.Broadcast()
	return true
}

func (c *connection) frame(raw string) {
	c.write.Lock()
	defer c.write.Unlock()
	c.conn.SetWriteDeadline(time.Now().Add(5 * time.Second))
	c.conn.WriteMessage(websocket.TextMessage, []byte(raw))
}

// Close sends a close frame and ends the connection.
func (c *connection) Close(code int) {
	c.write.Lock()
	defer c.write.Unlock()
	c.conn.WriteControl(websocket.CloseMessage, websocket.FormatCloseMessage(code, ""), time.Now().Add(time.Second))
	// Some time for the frame to arrive before the socket goes.
	c.conn.SetReadDeadline(time.Now().Add(2 * time.Second))
}
