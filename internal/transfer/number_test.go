package transfer

import (
	"regexp"
	"testing"

	"pgregory.net/rapid"
)

// The readers of numbers say what these say, which are easier to check.
var (
	plainNumbers   = regexp.MustCompile(`^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?$`)
	leadingNumbers = regexp.MustCompile(`^[+-]?[\d.,]+`)
)

func TestNumbersAsWritten(t *testing.T) {
	for _, text := range []string{"", "+", "-", ".", "1", "-1", "+1.", ".5", "1.5", "1.5.2", "1e", "1e5", "1E-05", "1e+1234", "e5", ".e5", "1,5", "--1", "12 g", "٣", "1.5\n"} {
		sameReading(t, text)
	}
	rapid.Check(t, func(t *rapid.T) {
		sameReading(t, rapid.StringMatching(`[+-]?[0-9]{0,3}[.,]?[0-9]{0,4}([eE]?[+-]?[0-9]{0,4})?[ a-z.,]?`).Draw(t, "text"))
	})
	rapid.Check(t, func(t *rapid.T) { sameReading(t, rapid.String().Draw(t, "any text")) })
}

func sameReading(t interface{ Errorf(string, ...any) }, text string) {
	if got, want := plainNumber(text), plainNumbers.MatchString(text); got != want {
		t.Errorf("%q is a plain number: %v, want %v", text, got, want)
	}
	if got, want := leadingNumber(text), leadingNumbers.FindString(text); got != want {
		t.Errorf("%q begins with the number %q, want %q", text, got, want)
	}
}
