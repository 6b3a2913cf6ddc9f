package library_test

import (
	"slices"
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // the names are checked against the database of the Go release

	"golang.org/x/text/currency"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
)

func TestZone(t *testing.T) {
	for typed, want := range map[string]string{
		"Europe/London": "Europe/London", "europe/london": "Europe/London", "America/New York": "America/New_York",
		" UTC ": "UTC", "utc": "UTC", "Etc/GMT+5": "Etc/GMT+5",
	} {
		if got, err := library.Zone(typed); err != nil || got != want {
			t.Errorf("Zone(%q) = %q, %v; want %q", typed, got, err, want)
		}
	}
}

func TestZoneOffersNearOnes(t *testing.T) {
	for _, c := range []struct{ typed, near string }{
		{"London", "Europe/London"}, {"Europe/Lodnon", "Europe/London"}, {"Lodnon", "Europe/London"},
		{"new york", "America/New_York"}, {"Berlinn", "Europe/Berlin"},
	} {
		_, err := library.Zone(c.typed)
		f := fault.As(err)
		if f == nil || f.Code != fault.BadTime {
			t.Errorf("Zone(%q): %v, want bad_time", c.typed, err)
			continue
		}
		if !slices.ContainsFunc(f.Choices(), func(ch fault.Choice) bool { return ch.Value == c.near }) {
			t.Errorf("Zone(%q) offers %v, want %s among them", c.typed, f.Choices(), c.near)
		}
	}
	for _, typed := range []string{"", "Local", "../etc/passwd", "moon base", strings.Repeat("x", 5000)} {
		_, err := library.Zone(typed)
		if !fault.Is(err, fault.BadTime) {
			t.Errorf("Zone(%.20q): %v, want bad_time", typed, err)
		} else if n := len(fault.As(err).Message); n > 200 {
			t.Errorf("Zone(%.20q): a message of %d bytes", typed, n)
		}
	}
}

// Every name that is offered is one that the clock knows.
func TestOfferedZonesAreKnown(t *testing.T) {
	n := 0
	for _, start := range "abcdefghijklmnopqrstuvwxyz" {
		choices, err := library.SuggestZone(t.Context(), nil, string(start))
		if err != nil {
			t.Fatal(err)
		}
		for _, ch := range choices {
			n++
			if _, err := time.LoadLocation(ch.Value); err != nil {
				t.Errorf("%s is offered: %v", ch.Value, err)
			}
		}
	}
	if n < 60 {
		t.Errorf("%d names offered over the alphabet, want 60 or more", n)
	}
}

func TestCurrency(t *testing.T) {
	for typed, want := range map[string]string{"GBP": "GBP", "eur": "EUR", " usd ": "USD"} {
		if got, err := library.Currency(typed); err != nil || got != want {
			t.Errorf("Currency(%q) = %q, %v; want %q", typed, got, err, want)
		}
	}
	for _, typed := range []string{"", "pounds", "GPB", "£", "ZZZ"} {
		if _, err := library.Currency(typed); !fault.Is(err, fault.NotFound) {
			t.Errorf("Currency(%q): %v, want not_found", typed, err)
		}
	}
	_, err := library.Currency("GPB")
	if ch := fault.As(err).Choices(); len(ch) == 0 || ch[0].Value != "GBP" {
		t.Errorf("Currency(GPB) offers %v, want GBP first", ch)
	}
}

func TestSuggestedCurrenciesAreCodes(t *testing.T) {
	choices, err := library.SuggestCurrency(t.Context(), nil, "G")
	if err != nil || len(choices) == 0 {
		t.Fatalf("got %v, %v", choices, err)
	}
	for _, ch := range choices {
		if _, err := currency.ParseISO(ch.Value); err != nil {
			t.Errorf("%s: %v", ch.Value, err)
		}
	}
}
