// Package recent keeps a bounded number of values by key, those that were used
// last: what is dear to work out a second time and may be dropped at any time.
//
//	programs := recent.Map[string, *Program]{Most: 128}
//	programs.Put(text, p)
//	p, ok := programs.Get(text)
package recent

import (
	"container/list"
	"sync"
)

// Map keeps at most Most values. It is ready once Most is set, above 0, and is
// safe for concurrent use; it must not be copied.
type Map[K comparable, V any] struct {
	Most int

	mu    sync.Mutex
	at    map[K]*list.Element
	order list.List // of entry[K, V], the one used last in front
}

type entry[K comparable, V any] struct {
	key   K
	value V
}

// Get gives the value of a key, which counts as a use of it.
func (m *Map[K, V]) Get(key K) (value V, ok bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	e, ok := m.at[key]
	if !ok {
		return value, false
	}
	m.order.MoveToFront(e)
	return e.Value.(entry[K, V]).value, true
}

// Put keeps a value in place of what the key had, and lets the one go that was
// not used for longest if there are too many.
func (m *Map[K, V]) Put(key K, value V) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if e, ok := m.at[key]; ok {
		e.Value = entry[K, V]{key, value}
		m.order.MoveToFront(e)
		return
	}
	if m.at == nil {
		m.at = map[K]*list.Element{}
	}
	m.at[key] = m.order.PushFront(entry[K, V]{key, value})
	if m.order.Len() > m.Most {
		oldest := m.order.Remove(m.order.Back()).(entry[K, V])
		delete(m.at, oldest.key)
	}
}

// Len is the number of values kept.
func (m *Map[K, V]) Len() int {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.order.Len()
}
