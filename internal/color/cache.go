package color

import (
	"container/list"
	"sync"
)

// cacheUsual is the number of curves that a cache keeps if none is given: 4096
// take about 1.5 MB.
const cacheUsual = 4096

// Cache keeps the smooth curves of colors that were read as codes, the ones
// used last. It may be shared. A nil Cache works each curve out anew.
type Cache struct {
	mu     sync.Mutex
	most   int
	recent list.List // of *cached, the last used in front
	at     map[RGB]*list.Element
}

type cached struct {
	color RGB
	curve Spectrum
}

// NewCache makes a cache of at most so many curves; 0 or less is 4096.
func NewCache(most int) *Cache {
	if most <= 0 {
		most = cacheUsual
	}
	return &Cache{most: most, at: map[RGB]*list.Element{}}
}

// Len is the number of curves kept.
func (c *Cache) Len() int {
	if c == nil {
		return 0
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.recent.Len()
}

// Reflectance is the smooth curve that a surface of this color is taken to
// have, gloss left out: within 1e-6 of the smoothest, and of exactly the color.
func (c *Cache) Reflectance(color RGB) Spectrum {
	if c == nil {
		return smoothHex(color)
	}
	if curve, ok := c.get(color); ok {
		return curve
	}
	curve := smoothHex(color) // outside of the lock: two may work out the same
	c.put(color, curve)
	return curve
}

func (c *Cache) get(color RGB) (Spectrum, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	e, ok := c.at[color]
	if !ok {
		return Spectrum{}, false
	}
	c.recent.MoveToFront(e)
	return e.Value.(*cached).curve, true
}

func (c *Cache) put(color RGB, curve Spectrum) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if _, ok := c.at[color]; ok {
		return
	}
	c.at[color] = c.recent.PushFront(&cached{color, curve})
	if c.recent.Len() > c.most {
		last := c.recent.Back()
		delete(c.at, last.Value.(*cached).color)
		c.recent.Remove(last)
	}
}

// smoothHex solves for a code. All of sRGB converges (a grid of it is tested).
func smoothHex(color RGB) Spectrum {
	curve, _ := smooth(color.Linear())
	return curve
}
