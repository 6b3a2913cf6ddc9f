package fake

import (
	"encoding/json"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"
)

// nonceLives is for how long a repeat of a nonce shows nothing. The service says
// "a few minutes".
const nonceLives = 3 * time.Minute

// Post is a message that stands in a channel.
type Post struct {
	Channel string
	Body    map[string]any
	At      time.Time
}

// Posts lists what was shown in channels and direct messages, oldest first.
func (s *Server) Posts() []Post {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.posts)
}

// AwaitPosts waits until there are so many.
func (s *Server) AwaitPosts(n int, within time.Duration) bool {
	return s.waitUntil(within, func() bool { return len(s.posts) >= n })
}

// Fill lets other people write in a channel.
func (s *Server) Fill(channel string, n int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for range n {
		said := s.message(map[string]any{"content": "hello"})
		said["channel_id"], said["nonce"] = channel, 7.0
		s.posts = append(s.posts, Post{Channel: channel, Body: said, At: s.now()})
	}
}

// CloseChannel makes a channel answer each request with that code: 10003 where
// it is gone, 50013 where we may not post, 50007 where a user takes no direct
// messages.
func (s *Server) CloseChannel(channel string, code int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.closed[channel] = code
}

// DirectChannel is the channel of direct messages with a user.
func DirectChannel(user string) string { return "8" + user[1:] }

// refusedAt is the answer of a closed channel.
func (s *Server) refusedAt(channel string) (reply, bool) {
	switch code := s.closed[channel]; code {
	case 0:
		return reply{}, false
	case 10003:
		return refuse(http.StatusNotFound, code, "Unknown Channel"), true
	default:
		return refuse(http.StatusForbidden, code, "Missing Permissions"), true
	}
}

// postMessage takes a message for a channel. With an enforced nonce a repeat
// gives the first message back.
func (s *Server) postMessage(x *exchange) reply {
	channel := x.PathValue("channel")
	if r, closed := s.refusedAt(channel); closed {
		return r
	}
	nonce, enforced := text(x.body["nonce"]), x.body["enforce_nonce"] == true
	key := channel + " " + nonce
	if enforced && nonce != "" {
		if before, ok := s.nonces[key]; ok && !s.olderThan(before, nonceLives) {
			return reply{http.StatusOK, before}
		}
	}
	if s.complain(x.route, slices.Concat(judgeMessage(x.body, x.files), judgePost(x.body))) {
		return refuse(http.StatusBadRequest, 50035, "Invalid Form Body")
	}
	stored := s.message(x.body)
	stored["channel_id"] = channel
	raw, err := json.Marshal(stored)
	if err != nil {
		s.violate("%s: %v", x.route, err)
	}
	if enforced && nonce != "" {
		s.nonces[key] = raw
	}
	s.posts = append(s.posts, Post{Channel: channel, Body: stored, At: s.now()})
	return reply{http.StatusOK, json.RawMessage(raw)}
}

func (s *Server) olderThan(message json.RawMessage, d time.Duration) bool {
	var m struct {
		Timestamp time.Time `json:"timestamp"`
	}
	return json.Unmarshal(message, &m) == nil && s.now().Sub(m.Timestamp) > d
}

// judgePost wants a message that comes by itself to call one member by name and
// nobody else.
func judgePost(m map[string]any) (bad []string) {
	allowed := object(m["allowed_mentions"])
	users := list(allowed["users"])
	if len(list(allowed["parse"])) > 0 || len(list(allowed["roles"])) > 0 || len(users) > 1 {
		bad = append(bad, "a post may call more than one member")
	}
	for _, u := range users {
		if !strings.Contains(text(m["content"]), "<@"+text(u)+">") {
			bad = append(bad, "a post may call a member whom it does not name")
		}
	}
	return bad
}

// getMessages lists a channel's newest messages, or those before one of them,
// newest first.
func (s *Server) getMessages(x *exchange) reply {
	channel := x.PathValue("channel")
	if r, closed := s.refusedAt(channel); closed {
		return r
	}
	most, err := strconv.Atoi(x.URL.Query().Get("limit"))
	if err != nil || most < 1 || most > 100 {
		s.violate("%s: limit %q", x.route, x.URL.Query().Get("limit"))
	}
	before := x.URL.Query().Get("before")
	found := []any{}
	for _, p := range slices.Backward(s.posts) {
		// the ids here are of one length
		if p.Channel == channel && len(found) < most && (before == "" || text(p.Body["id"]) < before) {
			found = append(found, p.Body)
		}
	}
	return reply{http.StatusOK, found}
}

// postDM opens the channel of direct messages with a user.
func (s *Server) postDM(x *exchange) reply {
	return reply{http.StatusOK, map[string]any{"id": DirectChannel(text(x.body["recipient_id"])), "type": 1, "last_message_id": nil, "flags": 0}}
}
