package recent_test

import (
	"slices"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/recent"
)

// TestAgainstList holds the map against a plain list of pairs, the one used
// last at its end.
func TestAgainstList(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		type pair struct{ key, value int }
		most := rapid.IntRange(1, 5).Draw(t, "most")
		m := recent.Map[int, int]{Most: most}
		var plain []pair
		for n := range rapid.IntRange(0, 60).Draw(t, "uses") {
			key := rapid.IntRange(0, 7).Draw(t, "key")
			at := slices.IndexFunc(plain, func(p pair) bool { return p.key == key })
			if rapid.Bool().Draw(t, "put") {
				m.Put(key, n)
				if at >= 0 {
					plain = slices.Delete(plain, at, at+1)
				}
				plain = append(plain, pair{key, n})
				plain = plain[max(0, len(plain)-most):]
			} else {
				value, ok := m.Get(key)
				if ok != (at >= 0) {
					t.Fatalf("Get(%d) found: %v, want %v of %v", key, ok, at >= 0, plain)
				}
				if ok {
					used := plain[at]
					if value != used.value {
						t.Fatalf("Get(%d) = %d, want %d", key, value, used.value)
					}
					plain = append(slices.Delete(plain, at, at+1), used)
				}
			}
			if m.Len() != len(plain) {
				t.Fatalf("%d kept, want %d", m.Len(), len(plain))
			}
		}
	})
}

// TestManyAtOnce is for the race detector.
func TestManyAtOnce(t *testing.T) {
	m := recent.Map[int, int]{Most: 10}
	var wait sync.WaitGroup
	for range 4 {
		wait.Go(func() {
			for n := range 1000 {
				m.Put(n%20, n)
				m.Get(n % 7)
			}
		})
	}
	wait.Wait()
	if m.Len() != 10 {
		t.Errorf("%d kept, want 10", m.Len())
	}
}
