package fake

import (
	"encoding/json"
	"fmt"
	"net/http"
	"time"
)

// Kinds of first answers (Receiving and Responding, "Interaction Callback
// Type").
const (
	Pong        = 1
	Message     = 4
	Defer       = 5
	DeferUpdate = 6
	Update      = 7
	Suggestions = 8
	Form        = 9
)

const (
	typePing         = 1
	typeComponent    = 3
	typeAutocomplete = 4
	typeForm         = 5

	answerIn   = 3 * time.Second
	tokenLives = 15 * time.Minute

	// surely bounds a wait for something that will surely come: nothing is
	// judged by it.
	surely = time.Minute
)

// Exchange is one interaction and all that was answered to it.
type Exchange struct {
	ID, Token string
	Type      int
	s         *Server
	sent      time.Time
	onMessage bool
	userOnly  bool

	kind       int // of the first answer; 0 before it
	answeredAt time.Time
	ephemeral  bool
	current    *Shown // the message, suggestions or form as seen now
	v2         bool
	followups  []*Shown
	message    string // the id of the message that the first answer became
	deleted    bool
	again      bool   // it was delivered more than once
	replies    []int  // statuses, where it was posted
	first      *Shown // what current was at first
}

// Shown is what the member sees.
type Shown struct {
	Kind      int // of the first answer
	Ephemeral bool
	Body      map[string]any // a message, {"choices": …} or a form
	Files     []File
	Edited    bool
}

// newExchange reads an interaction that is about to be sent. The lock must be
// held.
func (s *Server) newExchange(raw []byte) *Exchange {
	var doc struct {
		ID      string            `json:"id"`
		Token   string            `json:"token"`
		Type    int               `json:"type"`
		Message json.RawMessage   `json:"message"`
		Owners  map[string]string `json:"authorizing_integration_owners"`
	}
	if err := json.Unmarshal(raw, &doc); err != nil {
		s.violate("interaction to send: %v", err)
	}
	if err := CheckInbound("Interaction", raw); err != nil {
		s.violate("interaction to send: %v", err)
	}
	e := &Exchange{ID: doc.ID, Token: doc.Token, Type: doc.Type, s: s, sent: s.now(), onMessage: len(doc.Message) > 0}
	_, user := doc.Owners["1"]
	_, guild := doc.Owners["0"]
	e.userOnly = user && !guild
	s.exchanges[doc.Token] = e
	return e
}

// shownNow reports whether there is more than an announcement.
func (e *Exchange) shownNow() bool { return e.current != nil }

// Await waits for the answer: a message, suggestions or a form, and after an
// announcement its edit.
func (e *Exchange) Await() *Shown {
	e.s.t.Helper()
	if !e.s.waitUntil(surely, e.shownNow) {
		e.s.t.Errorf("no answer to interaction %s (first answer: %d)", e.ID, e.Kind())
		return &Shown{Body: map[string]any{}}
	}
	e.s.mu.Lock()
	defer e.s.mu.Unlock()
	seen := *e.current
	return &seen
}

// AwaitFollowup waits for the nth follow-up, counted from 0.
func (e *Exchange) AwaitFollowup(n int) *Shown {
	e.s.t.Helper()
	if !e.s.waitUntil(surely, func() bool { return len(e.followups) > n }) {
		e.s.t.Errorf("no follow-up %d to interaction %s", n, e.ID)
		return &Shown{Body: map[string]any{}}
	}
	e.s.mu.Lock()
	defer e.s.mu.Unlock()
	return e.followups[n]
}

// AwaitKind waits for the first answer and gives its kind.
func (e *Exchange) AwaitKind() int {
	e.s.t.Helper()
	if !e.s.waitUntil(surely, func() bool { return e.kind != 0 }) {
		e.s.t.Errorf("no first answer to interaction %s", e.ID)
	}
	return e.Kind()
}

// AwaitEdited waits until the answer has been edited.
func (e *Exchange) AwaitEdited() *Shown {
	e.s.t.Helper()
	if !e.s.waitUntil(surely, func() bool { return e.current != nil && e.current.Edited }) {
		e.s.t.Errorf("the answer to interaction %s was not edited", e.ID)
	}
	return e.Await()
}

// Kind is the first answer's kind, 0 before there is one.
func (e *Exchange) Kind() int {
	e.s.mu.Lock()
	defer e.s.mu.Unlock()
	return e.kind
}

// Took is how long the first answer took.
func (e *Exchange) Took() time.Duration {
	e.s.mu.Lock()
	defer e.s.mu.Unlock()
	return e.answeredAt.Sub(e.sent)
}

func (s *Server) postCallback(x *exchange) reply {
	e := s.exchanges[x.PathValue("token")]
	if e == nil || e.ID != x.PathValue("interaction") {
		return refuse(http.StatusNotFound, 10062, "Unknown interaction")
	}
	return s.takeAnswer(e, x)
}

// takeAnswer takes a first answer, whichever way it came. The lock must be
// held.
func (s *Server) takeAnswer(e *Exchange, x *exchange) reply {
	kind := number(x.body["type"])
	switch {
	case e.kind != 0:
		if !e.again {
			s.violate("%s: a second answer (%d after %d)", x.route, kind, e.kind)
		}
		return refuse(http.StatusBadRequest, 40060, "Interaction has already been acknowledged")
	case x.at.Sub(e.sent) > s.answerIn:
		if !e.again {
			s.violate("%s: %v after the interaction", x.route, x.at.Sub(e.sent))
		}
		return refuse(http.StatusNotFound, 10062, "Unknown interaction")
	}
	if err := e.allows(kind); err != nil {
		s.violate("%s: %v", x.route, err)
		return refuse(http.StatusBadRequest, 50035, "Invalid Form Body")
	}
	data := object(x.body["data"])
	var bad []string
	switch kind {
	case Message, Update:
		bad = judgeMessage(data, x.files)
	case Form:
		bad = judgeForm(data)
	}
	if s.complain(x.route, bad) {
		return refuse(http.StatusBadRequest, 50035, "Invalid Form Body")
	}
	e.kind, e.answeredAt = kind, x.at
	flags := number(data["flags"])
	e.ephemeral, e.v2 = flags&flagEphemeral != 0, flags&flagV2 != 0
	switch kind {
	case Message, Update, Suggestions, Form, Pong:
		e.current = &Shown{Kind: kind, Ephemeral: e.ephemeral, Body: data, Files: x.files}
		e.first = e.current
	}
	return reply{http.StatusNoContent, nil}
}

// allows says whether an interaction takes a kind of answer.
func (e *Exchange) allows(kind int) error {
	switch {
	case e.Type == typePing && kind != Pong, kind == Pong && e.Type != typePing:
		return fmt.Errorf("answer %d to a ping or pong to no ping", kind)
	case e.Type == typeAutocomplete != (kind == Suggestions):
		return fmt.Errorf("answer %d to type %d: completions and nothing else take suggestions", kind, e.Type)
	case (kind == DeferUpdate || kind == Update) && e.Type != typeComponent && !(e.Type == typeForm && e.onMessage):
		return fmt.Errorf("answer %d without a message to update", kind)
	case kind == Form && e.Type == typeForm:
		return fmt.Errorf("a form after a form")
	}
	return nil
}

// complain notes broken rules and reports whether there are any.
func (s *Server) complain(route string, bad []string) bool {
	for _, b := range bad {
		s.violate("%s: %s", route, b)
	}
	return len(bad) > 0
}

// hook finds the interaction behind a webhook route.
func (s *Server) hook(x *exchange) (*Exchange, *reply) {
	e := s.exchanges[x.PathValue("token")]
	switch {
	case e == nil || x.PathValue("application") != ApplicationID:
		r := refuse(http.StatusUnauthorized, 50027, "Invalid Webhook Token")
		return nil, &r
	case s.now().Sub(e.sent) > tokenLives:
		r := refuse(http.StatusUnauthorized, 50027, "Invalid Webhook Token")
		return nil, &r
	case e.kind == 0:
		r := refuse(http.StatusNotFound, 10015, "Unknown Webhook")
		return nil, &r
	}
	return e, nil
}

func (s *Server) patchOriginal(x *exchange) reply {
	e, failed := s.hook(x)
	if failed != nil {
		return *failed
	}
	if e.kind == Suggestions || e.kind == Form || e.kind == Pong {
		s.violate("%s: there is no message to edit after answer %d", x.route, e.kind)
		return refuse(http.StatusNotFound, 10008, "Unknown Message")
	}
	flags := number(x.body["flags"])
	bad := judgeMessage(x.body, x.files)
	if e.v2 && flags&flagV2 == 0 {
		bad = append(bad, "the edit of a components-v2 message leaves its flag out")
	}
	if flags&flagEphemeral != 0 {
		bad = append(bad, "an edit can't change who sees the message")
	}
	if flags&flagV2 != 0 && !e.v2 && e.current != nil {
		if content, sent := x.body["content"]; !sent || content != nil {
			bad = append(bad, "an edit into components v2 without content null")
		}
	}
	if s.complain(x.route, bad) {
		return refuse(http.StatusBadRequest, 50035, "Invalid Form Body")
	}
	e.v2 = e.v2 || flags&flagV2 != 0
	e.current = &Shown{Kind: e.kind, Ephemeral: e.ephemeral, Body: x.body, Files: x.files, Edited: true}
	if e.first == nil {
		e.first = e.current
	}
	return reply{http.StatusOK, s.message(x.body)}
}

func (s *Server) postFollowup(x *exchange) reply {
	e, failed := s.hook(x)
	if failed != nil {
		return *failed
	}
	if e.userOnly && len(e.followups) >= 5 {
		return refuse(http.StatusBadRequest, 40094, "This interaction has hit the maximum number of follow up messages")
	}
	bad := judgeMessage(x.body, x.files)
	if e.kind == Defer && e.current == nil {
		bad = append(bad, "a follow-up before the announced message was edited")
	}
	if s.complain(x.route, bad) {
		return refuse(http.StatusBadRequest, 50035, "Invalid Form Body")
	}
	e.followups = append(e.followups, &Shown{Kind: Message, Ephemeral: number(x.body["flags"])&flagEphemeral != 0, Body: x.body, Files: x.files})
	return reply{http.StatusOK, s.message(x.body)}
}

// message is the stored form of a message, as far as clients of ours read it.
func (s *Server) message(body map[string]any) map[string]any {
	return map[string]any{"id": s.id(), "channel_id": ChannelID, "type": 0, "content": text(body["content"]),
		"embeds": list(body["embeds"]), "components": list(body["components"]), "timestamp": s.now().UTC().Format(time.RFC3339)}
}
