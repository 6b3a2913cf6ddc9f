package formula

import (
	"container/list"
	"crypto/sha256"
	"sync"

	"github.com/pourwright/pourwright/internal/quantity"
)

// cacheMost is how many programs are kept: a few kilobytes each as a rule, and
// what TestProgramSize tells of the largest there can be.
const cacheMost = 128

// Cache keeps the programs that were asked for last. The zero value is ready.
// It is safe for concurrent use.
type Cache struct {
	mu    sync.Mutex
	known map[cacheKey]*list.Element
	order *list.List // latest first; its values are cached
}

// cacheKey is a text by its hash: two texts are never taken for each other, and
// nobody's text is kept longer than its program. The unit system belongs to it,
// as a gallon differs.
type cacheKey struct {
	text   [sha256.Size]byte
	system quantity.System
}

type cached struct {
	key cacheKey
	p   *Program
}

// Compile is the package's Compile, remembered.
func (c *Cache) Compile(text string, s quantity.System) (*Program, error) {
	if len(text) > 4*MaxText {
		return Compile(text, s) // refuses it
	}
	key := cacheKey{sha256.Sum256([]byte(text)), s}
	if p := c.get(key); p != nil {
		return p, nil
	}
	p, err := Compile(text, s)
	if err != nil {
		return nil, err
	}
	c.put(key, p)
	return p, nil
}

func (c *Cache) get(key cacheKey) *Program {
	c.mu.Lock()
	defer c.mu.Unlock()
	e := c.known[key]
	if e == nil {
		return nil
	}
	c.order.MoveToFront(e)
	return e.Value.(*cached).p
}

func (c *Cache) put(key cacheKey, p *Program) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.known == nil {
		c.known, c.order = map[cacheKey]*list.Element{}, list.New()
	}
	if c.known[key] != nil {
		return
	}
	c.known[key] = c.order.PushFront(&cached{key, p})
	if c.order.Len() > cacheMost {
		oldest := c.order.Remove(c.order.Back()).(*cached)
		delete(c.known, oldest.key)
	}
}
