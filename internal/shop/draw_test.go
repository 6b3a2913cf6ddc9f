package shop_test

import (
	"io"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/shop"
)

// TestDraw uses the test vectors of RFC 4648, section 10, in lower case.
func TestDraw(t *testing.T) {
	if got, err := shop.Draw(strings.NewReader("fooba"), 5); err != nil || got != "mzxw6ytb" {
		t.Errorf(`of the bytes "fooba": %q, %v, want "mzxw6ytb"`, got, err)
	}
	if got, err := shop.Draw(strings.NewReader("short"), 10); err == nil || got != "" {
		t.Errorf("of too few bytes: %q, %v, want an error", got, err)
	} else if !strings.Contains(err.Error(), io.ErrUnexpectedEOF.Error()) {
		t.Errorf("the error %q does not say that bytes are missing", err)
	}
}
