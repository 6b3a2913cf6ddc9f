package fake

import (
	"net/http"
	"slices"
	"time"
)

// Edit is a change of a standing message with the bot's token.
type Edit struct {
	Channel, Message string
	Body             map[string]any
	At               time.Time
}

// Edits lists the changes of standing messages, oldest first.
func (s *Server) Edits() []Edit {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.edits)
}

// AwaitEdits waits until there are so many.
func (s *Server) AwaitEdits(n int, within time.Duration) bool {
	return s.waitUntil(within, func() bool { return len(s.edits) >= n })
}

// Shown is an edit as members see it.
func (e Edit) Shown() *Shown { return &Shown{Kind: Message, Body: e.Body, Edited: true} }

// Delete takes the message of an answer away, as a moderator of its channel
// does.
func (e *Exchange) Delete() {
	e.s.mu.Lock()
	defer e.s.mu.Unlock()
	e.deleted = true
}

// standing is the message that an answer became, with an id of its own. The
// lock must be held.
func (e *Exchange) standing() map[string]any {
	if e.message == "" {
		e.message = e.s.id()
	}
	m := e.s.message(e.current.Body)
	m["id"], m["flags"] = e.message, 0
	if e.ephemeral {
		m["flags"] = flagEphemeral
	}
	return m
}

// getOriginal gives the message of a first answer.
func (s *Server) getOriginal(x *exchange) reply {
	e, failed := s.hook(x)
	switch {
	case failed != nil:
		return *failed
	case e.kind == Defer && e.current == nil:
		m := s.message(nil)
		m["flags"] = flagLoading
		return reply{http.StatusOK, m}
	case e.deleted || e.current == nil || e.kind == Suggestions || e.kind == Form || e.kind == Pong:
		return refuse(http.StatusNotFound, 10008, "Unknown Message")
	}
	return reply{http.StatusOK, e.standing()}
}

// patchMessage changes a message in a channel: one that an answer became and
// that others see. What its asker alone sees is in no channel.
func (s *Server) patchMessage(x *exchange) reply {
	channel, id := x.PathValue("channel"), x.PathValue("message")
	if r, closed := s.refusedAt(channel); closed {
		return r
	}
	var e *Exchange
	for _, one := range s.exchanges {
		if one.message == id && !one.deleted && !one.ephemeral && channel == ChannelID {
			e = one
		}
	}
	if e == nil {
		return refuse(http.StatusNotFound, 10008, "Unknown Message")
	}
	if s.complain(x.route, judgeMessage(x.body, x.files)) {
		return refuse(http.StatusBadRequest, 50035, "Invalid Form Body")
	}
	e.current = &Shown{Kind: e.kind, Body: x.body, Files: x.files, Edited: true}
	s.edits = append(s.edits, Edit{Channel: channel, Message: id, Body: x.body, At: s.now()})
	return reply{http.StatusOK, e.standing()}
}

// First is what the member saw as the answer at first, nil if nothing.
func (e *Exchange) First() *Shown {
	e.s.mu.Lock()
	defer e.s.mu.Unlock()
	return e.first
}

// Redeliver sends an interaction once more, as a service that is not sure
// whether it got through. An answer that comes too late or for the second time
// is refused, and no fault of the bot's.
func (s *Server) Redeliver(interaction []byte, e *Exchange) {
	s.t.Helper()
	s.send(interaction, func() *Exchange {
		e.again = true
		return e
	})
}

// Standing is what the message with that id shows, nil if there is none.
func (s *Server) Standing(message string) *Shown {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, e := range s.exchanges {
		if e.message == message && !e.deleted {
			seen := *e.current
			return &seen
		}
	}
	return nil
}
