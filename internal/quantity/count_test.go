package quantity_test

import (
	"testing"

	"github.com/pourwright/pourwright/internal/quantity"
)

func TestCount(t *testing.T) {
	for n, want := range map[int]string{0: "0 cavities", 1: "1 cavity", 2: "2 cavities", 12: "12 cavities"} {
		if got := quantity.Count(n, "cavity", "cavities"); got != want {
			t.Errorf("%d: %q, want %q", n, got, want)
		}
	}
}
