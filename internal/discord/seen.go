package discord

import (
	"sync"
	"time"
)

const (
	seenFor  = 15 * time.Minute // how long an interaction's token lives
	seenMost = 20_000
)

// seenIDs drops interactions that come twice. It forgets after seenFor, and
// the oldest half early when there are very many.
type seenIDs struct {
	mu         sync.Mutex
	old, young map[string]struct{}
	turned     time.Time
}

// first reports whether the id is new, and notes it.
func (s *seenIDs) first(id string, now time.Time) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.young == nil || now.Sub(s.turned) > seenFor || len(s.young) >= seenMost {
		s.old, s.young, s.turned = s.young, make(map[string]struct{}), now
	}
	_, a := s.old[id]
	_, b := s.young[id]
	if a || b {
		return false
	}
	s.young[id] = struct{}{}
	return true
}
