package formula

import (
	"crypto/sha256"

	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/recent"
)

// cacheMost is how many programs are kept: a few kilobytes each as a rule, and
// what TestProgramSize tells of the largest there can be.
const cacheMost = 128

// Cache keeps the programs that were asked for last. It is safe for concurrent
// use.
type Cache struct {
	programs recent.Map[cacheKey, *Program]
}

// NewCache makes an empty one.
func NewCache() *Cache {
	return &Cache{recent.Map[cacheKey, *Program]{Most: cacheMost}}
}

// cacheKey is a text by its hash: two texts are never taken for each other, and
// nobody's text is kept longer than its program. The unit system belongs to it,
// as a gallon differs.
type cacheKey struct {
	text   [sha256.Size]byte
	system quantity.System
}

// Compile is the package's Compile, remembered.
func (c *Cache) Compile(text string, s quantity.System) (*Program, error) {
	if len(text) > 4*MaxText {
		return Compile(text, s) // refuses it
	}
	key := cacheKey{sha256.Sum256([]byte(text)), s}
	if p, ok := c.programs.Get(key); ok {
		return p, nil
	}
	p, err := Compile(text, s)
	if err != nil {
		return nil, err
	}
	c.programs.Put(key, p)
	return p, nil
}
