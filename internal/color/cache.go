package color

import "github.com/pourwright/pourwright/internal/recent"

// cacheUsual is the number of curves that a cache keeps if none is given: 4096
// take about 1.5 MB.
const cacheUsual = 4096

// Cache keeps the smooth curves of colors that were read as codes, the ones
// used last. It may be shared. A nil Cache works each curve out anew.
type Cache struct {
	curves recent.Map[RGB, Spectrum]
}

// NewCache makes a cache of at most so many curves; 0 or less is 4096.
func NewCache(most int) *Cache {
	if most <= 0 {
		most = cacheUsual
	}
	return &Cache{curves: recent.Map[RGB, Spectrum]{Most: most}}
}

// Len is the number of curves kept.
func (c *Cache) Len() int {
	if c == nil {
		return 0
	}
	return c.curves.Len()
}

// Reflectance is the smooth curve that a surface of this color is taken to
// have, gloss left out: within 1e-6 of the smoothest, and of exactly the color.
func (c *Cache) Reflectance(color RGB) Spectrum {
	if c == nil {
		return smoothHex(color)
	}
	if curve, ok := c.curves.Get(color); ok {
		return curve
	}
	curve := smoothHex(color) // two at once may work out the same
	c.curves.Put(color, curve)
	return curve
}

// smoothHex solves for a code. All of sRGB converges (a grid of it is tested).
func smoothHex(color RGB) Spectrum {
	curve, _ := smooth(color.Linear())
	return curve
}
