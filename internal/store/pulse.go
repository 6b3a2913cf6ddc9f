package store

import "sync"

// pulse counts commits and lets any number wait for the next. The zero value
// is ready.
type pulse struct {
	mu   sync.Mutex
	n    uint64
	next chan struct{}
}

// beat counts one and wakes all who wait.
func (p *pulse) beat() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.n++
	if p.next != nil {
		close(p.next)
		p.next = nil
	}
}

func (p *pulse) wait() (n uint64, next <-chan struct{}) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.next == nil {
		p.next = make(chan struct{})
	}
	return p.n, p.next
}

// Changes is how often something was committed so far, and what is closed with
// the next time. Other processes' commits do not count.
func (s *Store) Changes() (n uint64, next <-chan struct{}) { return s.commits.wait() }
