package library_test

import (
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/shop"
)

// What is read here the shop's own rules take too; what is refused is refused
// in words for the member.
func FuzzWords(f *testing.F) {
	for _, s := range []string{
		"Europe/London", "new york", "22:00-07:00", "10 pm to 7 am", "24-7", "9.30-17.00", "12am-12pm",
		"GBP", "xxx", "", "\x00", "../../etc/passwd",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		refusal := func(what string, err error) bool {
			if err != nil && fault.As(err) == nil {
				t.Errorf("%s %q: %v is no refusal", what, typed, err)
			}
			return err != nil
		}
		set := shop.NewSettings()
		if zone, err := library.Zone(typed); !refusal("zone", err) {
			set.Zone = zone
		}
		if code, err := library.Currency(typed); !refusal("currency", err) {
			set.Currency = code
		}
		if err := set.Check(); err != nil {
			t.Errorf("%q was taken as %+v, which no shop may have: %v", typed, set, err)
		}
		var wish shop.Prefs
		if hours, err := library.QuietHours(typed); !refusal("quiet hours", err) {
			wish.QuietHours = hours
		}
		if err := wish.Check(); err != nil {
			t.Errorf("%q was taken as %+v, which nobody may wish: %v", typed, wish, err)
		}
	})
}
