package shop

import (
	"math"
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/pourwright/pourwright/internal/fault"
)

// maxText bounds each text of settings and wishes, in bytes.
const maxText = 100

// A room outside these bounds is a slip of the finger, not a shop: the
// altitude of the highest towns is about 5100 m, from memory.
const (
	minRoom, maxRoom         = -20.0, 60.0    // °C
	minAltitude, maxAltitude = -500.0, 6000.0 // m
	minStep, maxStep         = 0.0001, 1000.0 // g
)

// Check refuses settings that no shop can have, with what to type instead.
func (s Settings) Check() error {
	if err := oneOf("units", s.Units, "metric", "us", "imperial"); err != nil {
		return err
	}
	for _, n := range []struct {
		option, what string
		value        float64
		low, high    float64
		such         string
	}{
		{"temp", "room temperature", s.Temp, minRoom, maxRoom, "-20 to 60 °C, such as 21 C"},
		{"humidity", "humidity", s.Humidity, 0, 1, "0 to 100 %, such as 50 %"},
		{"altitude", "altitude", s.Altitude.M, minAltitude, maxAltitude, "-500 to 6000 m, such as 120 m"},
		{"scale_step", "scale step", s.ScaleStep, minStep, maxStep, "0.0001 to 1000 g, such as 0.1 g"},
	} {
		// The negated form also catches what is not a number.
		if !(n.value >= n.low && n.value <= n.high) || math.IsInf(n.value, 0) {
			return fault.New(fault.OutOfRange, "the %s %g is out of range", n.what, n.value).
				In(n.option).Hint("give %s", n.such)
		}
	}
	if err := zone(s.Zone); err != nil {
		return err
	}
	if s.Currency != "" && !currency.MatchString(s.Currency) {
		return fault.New(fault.OutOfRange, "%.20q is no currency code", s.Currency).
			In("currency").Hint("give the three capitals of ISO 4217, such as GBP, EUR or USD")
	}
	return text("channel", s.Channel)
}

// currency is the form of an ISO 4217 code.
var currency = regexp.MustCompile(`^[A-Z]{3}$`)

// Check refuses wishes that can't be met, with what to type instead. The empty
// text follows the shop.
func (p Prefs) Check() error {
	for _, w := range []struct {
		option, value string
		choices       []string
	}{
		{"units", p.Units, []string{"", "metric", "us", "imperial"}},
		{"ready", p.Ready, []string{"", "p50", "p90"}},
		{"to", p.To, []string{"", "here", "dm"}},
	} {
		if err := oneOf(w.option, w.value, w.choices...); err != nil {
			return err
		}
	}
	if p.QuietHours != "" && !quietHours.MatchString(p.QuietHours) {
		return fault.New(fault.BadTime, "%.20q are no quiet hours", p.QuietHours).
			In("quiet_hours").Hint("give two times of day, such as 22:00-07:00")
	}
	if p.Zone == "" {
		return nil
	}
	return zone(p.Zone)
}

// quietHours is two times of day on a 24-hour clock.
var quietHours = regexp.MustCompile(`^([01]\d|2[0-3]):[0-5]\d-([01]\d|2[0-3]):[0-5]\d$`)

// oneOf refuses a word that is none of the choices.
func oneOf(option, word string, choices ...string) error {
	if slices.Contains(choices, word) {
		return nil
	}
	said := slices.DeleteFunc(slices.Clone(choices), func(c string) bool { return c == "" })
	return fault.New(fault.OutOfRange, "%.20q is none of the choices", word).
		In(option).Hint("choose %s", strings.Join(said, ", ")).Choose(said...)
}

// zone refuses a name that the time zone database does not hold. "Local" is
// the server's own zone and means nothing to a member.
func zone(name string) error {
	if len(name) <= maxText && name != "" && name != "Local" {
		if _, err := time.LoadLocation(name); err == nil {
			return nil
		}
	}
	return fault.New(fault.BadTime, "%.40q is no time zone", name).
		In("zone").Hint("give a place of the time zone database, such as Europe/London or America/New_York")
}

// text refuses what is too long or no text.
func text(option, s string) error {
	if len(s) <= maxText && utf8.ValidString(s) && !strings.ContainsRune(s, 0) {
		return nil
	}
	return fault.New(fault.OutOfRange, "the %s is no text of at most %d bytes", option, maxText).
		In(option).Hint("give a shorter one")
}
