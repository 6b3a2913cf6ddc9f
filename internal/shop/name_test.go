package shop_test

import (
	"testing"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/shop"
)

func TestNameKey(t *testing.T) {
	for _, c := range []struct {
		name, a, b string
		same       bool
	}{
		{"case", "Slow White", "slow WHITE", true},
		{"space", " slow\u00a0 white\n", "slow white", true},
		{"sharp s", "Weiß", "WEISS", true},
		{"composed and not", "caf\u00e9", "cafe\u0301", true},
		{"Greek final sigma", "ΚΟΣΜΟΣ", "κοσμος", true},
		{"Cherokee", "\u13a0", "\uab70", true},
		{"accents differ", "cafe", "café", false},
		{"one word or two", "slowwhite", "slow white", false},
		{"digits", "white 1", "white 2", false},
	} {
		if got := shop.NameKey(c.a) == shop.NameKey(c.b); got != c.same {
			t.Errorf("%s: %q and %q are the same: %v, want %v", c.name, c.a, c.b, got, c.same)
		}
	}
}

// TestNameKeyAgain: the key of a key is that key.
func TestNameKeyAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		key := shop.NameKey(rapid.String().Draw(t, "name"))
		if again := shop.NameKey(key); again != key {
			t.Fatalf("%q has the key %q", key, again)
		}
	})
}
