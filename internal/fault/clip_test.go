package fault_test

import (
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/fault"
)

func TestClip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text, most := rapid.String().Draw(t, "text"), rapid.IntRange(1, 60).Draw(t, "most")
		got := fault.Clip(text, most)
		whole := utf8.RuneCountInString(text) <= most
		switch {
		case whole && got != text:
			t.Fatalf("Clip(%q, %d) = %q though it fits", text, most, got)
		case whole:
		case utf8.RuneCountInString(got) != most:
			t.Fatalf("Clip(%q, %d) = %q", text, most, got)
		case !strings.HasPrefix(text, strings.TrimSuffix(got, "…")):
			t.Fatalf("Clip(%q, %d) = %q, which is not its beginning", text, most, got)
		}
	})
}
