package fake

import (
	"bytes"
	"crypto/ed25519"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"time"
)

// Signature headers of posted interactions.
const (
	SignatureHeader = "X-Signature-Ed25519"
	TimestampHeader = "X-Signature-Timestamp"
)

// poster is the way by which interactions are posted instead of sent over the
// gateway.
type poster struct {
	urls   []string // of replicas, taken in turn
	client *http.Client
	turn   int
}

// PublicKey is the application's, as its page shows it.
func (s *Server) PublicKey() string { return hex.EncodeToString(s.key.Public().(ed25519.PublicKey)) }

// Sign gives the headers of a body posted at that time.
func (s *Server) Sign(body []byte, at time.Time) http.Header {
	timestamp := strconv.FormatInt(at.Unix(), 10)
	seal := s.Seal(append([]byte(timestamp), body...))
	return http.Header{
		"Content-Type": {"application/json"}, "User-Agent": {"Discord-Interactions/1.0 (+https://discord.com)"},
		SignatureHeader: {hex.EncodeToString(seal)}, TimestampHeader: {timestamp},
	}
}

// Seal is the signature of whatever it is given.
func (s *Server) Seal(text []byte) []byte { return ed25519.Sign(s.key, text) }

// PostsTo gives the addresses of PostTo.
func (s *Server) PostsTo() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.poster.urls
}

// PostTo has interactions posted, signed, from now on, each to the next of the
// addresses. A nil client is one of its own.
func (s *Server) PostTo(client *http.Client, urls ...string) {
	if client == nil {
		client = &http.Client{Transport: &http.Transport{}, Timeout: surely}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.poster = &poster{urls: urls, client: client}
	s.changed.Broadcast()
}

// AwaitPosted waits until every posted interaction has been replied to.
func (s *Server) AwaitPosted() bool {
	return s.waitUntil(surely, func() bool { return s.posting == 0 })
}

// post sends an interaction on its way, and takes what comes back. The lock
// must be held.
func (s *Server) post(interaction []byte, e *Exchange) {
	p := s.poster
	url := p.urls[p.turn%len(p.urls)]
	p.turn++
	s.posting++
	header := s.Sign(interaction, s.now())
	go func() {
		status, body, err := exchangePosted(p.client, url, header, interaction)
		s.mu.Lock()
		defer s.mu.Unlock()
		s.posting--
		s.changed.Broadcast()
		if err != nil {
			e.replies = append(e.replies, 0) // nobody was there
			return
		}
		s.takeReply(e, status, body)
	}()
}

func exchangePosted(client *http.Client, url string, header http.Header, interaction []byte) (int, []byte, error) {
	request, err := http.NewRequest(http.MethodPost, url, bytes.NewReader(interaction))
	if err != nil {
		return 0, nil, err
	}
	request.Header = header
	response, err := client.Do(request)
	if err != nil {
		return 0, nil, err
	}
	defer response.Body.Close()
	body, err := io.ReadAll(io.LimitReader(response.Body, maxBody))
	return response.StatusCode, body, err
}

// takeReply judges a reply: 202 with nothing in it, as the answer comes by
// callback, or 200 with the answer. The lock must be held.
func (s *Server) takeReply(e *Exchange, status int, body []byte) {
	e.replies = append(e.replies, status)
	switch {
	case status == http.StatusAccepted && len(body) == 0:
	case status == http.StatusServiceUnavailable:
		// Turned away: the member sees that it did not answer.
	case status != http.StatusOK:
		s.violate("a posted interaction of type %d: status %d with %d bytes", e.Type, status, len(body))
	default:
		x := &exchange{route: "reply to a posted interaction", raw: body, at: s.now()}
		if err := CheckOutbound("InteractionCallback", body); err != nil {
			s.violate("%s: %v", x.route, err)
			return
		}
		if err := json.Unmarshal(body, &x.body); err != nil {
			s.violate("%s: %v", x.route, err)
			return
		}
		s.takeAnswer(e, x)
	}
}

// Replies lists the statuses of the replies to a posted interaction, 0 for one
// that did not come.
func (e *Exchange) Replies() []int {
	e.s.mu.Lock()
	defer e.s.mu.Unlock()
	return append([]int(nil), e.replies...)
}

// newKey draws the key pair of the application.
func newKey(t T) ed25519.PrivateKey {
	t.Helper()
	_, key, err := ed25519.GenerateKey(nil)
	if err != nil {
		t.Errorf("draw a key: %v", err)
	}
	return key
}

// send delivers an interaction over the live connection, or posts it. The lock
// must not be held.
func (s *Server) send(interaction []byte, e func() *Exchange) *Exchange {
	s.t.Helper()
	s.mu.Lock()
	if s.poster != nil {
		defer s.mu.Unlock()
		sent := e()
		s.post(interaction, sent)
		return sent
	}
	s.mu.Unlock()
	c := s.live()
	s.mu.Lock()
	sent := e()
	if c == nil {
		s.mu.Unlock()
		return sent
	}
	c.seq++
	frame := fmt.Sprintf(`{"t":"INTERACTION_CREATE","s":%d,"op":0,"d":%s}`, c.seq, interaction)
	s.mu.Unlock()
	c.frame(frame)
	return sent
}
