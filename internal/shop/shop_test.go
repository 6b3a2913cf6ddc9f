package shop_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

func TestMaySeeAndChange(t *testing.T) {
	viewer := func(m shop.MemberID, s shop.ID) shop.Viewer {
		return shop.Viewer{Member: shop.Member{ID: m}, Shop: shop.Shop{ID: s}, Manager: true}
	}
	own := shop.Record{ID: 1, Owner: 7, Shop: 9}
	shared := own
	shared.Shared = true
	for _, c := range []struct {
		name        string
		v           shop.Viewer
		r           shop.Record
		see, change bool
	}{
		{"owner", viewer(7, 9), own, true, true},
		{"owner elsewhere", viewer(7, 8), own, true, true},
		{"another member", viewer(6, 9), own, false, false},
		{"another member, shared", viewer(6, 9), shared, true, false},
		{"another shop, shared", viewer(6, 8), shared, false, false},
		{"owner elsewhere, shared", viewer(7, 8), shared, true, true},
		{"nobody", shop.Viewer{}, own, false, false},
		{"nobody and a record of nobody", shop.Viewer{}, shop.Record{}, false, false},
	} {
		if got := c.v.MaySee(c.r); got != c.see {
			t.Errorf("%s sees: %v, want %v", c.name, got, c.see)
		}
		if got := c.v.MayChange(c.r); got != c.change {
			t.Errorf("%s changes: %v, want %v", c.name, got, c.change)
		}
	}
}

func TestViewerFollowsMemberThenShop(t *testing.T) {
	v := shop.Viewer{Shop: shop.Shop{Set: shop.NewSettings()}}
	if v.System() != quantity.Metric || v.Zone() != time.UTC {
		t.Errorf("a new shop reads %v in %v", v.System(), v.Zone())
	}
	v.Shop.Set.Units, v.Shop.Set.Zone = "imperial", "Europe/London"
	if v.System() != quantity.Imperial || v.Zone().String() != "Europe/London" {
		t.Errorf("the shop says imperial in London, got %v in %v", v.System(), v.Zone())
	}
	v.Member.Pref = shop.Prefs{Units: "us", Zone: "America/Denver"}
	if v.System() != quantity.US || v.Zone().String() != "America/Denver" {
		t.Errorf("the member says us in Denver, got %v in %v", v.System(), v.Zone())
	}
	v.Member.Pref.Zone = "Mars/Olympus"
	if v.Zone().String() != "Europe/London" {
		t.Errorf("an unknown zone falls back to %v, want the shop's", v.Zone())
	}
}

func TestSettingsCheck(t *testing.T) {
	if err := shop.NewSettings().Check(); err != nil {
		t.Errorf("a new shop's settings: %v", err)
	}
	for _, c := range []struct {
		name   string
		set    func(*shop.Settings)
		code   fault.Code // "" = taken
		option string
	}{
		{"all said", func(s *shop.Settings) {
			*s = shop.Settings{Units: "us", Temp: -20, Humidity: 1, Altitude: shop.At(-500), Zone: "Europe/London", Currency: "GBP", ScaleStep: 1000, Channel: "123"}
		}, "", ""},
		{"no units", func(s *shop.Settings) { s.Units = "" }, fault.OutOfRange, "units"},
		{"ells", func(s *shop.Settings) { s.Units = "ells" }, fault.OutOfRange, "units"},
		{"too cold", func(s *shop.Settings) { s.Temp = -20.1 }, fault.OutOfRange, "temp"},
		{"too hot", func(s *shop.Settings) { s.Temp = 60.1 }, fault.OutOfRange, "temp"},
		{"no number", func(s *shop.Settings) { s.Temp = math.NaN() }, fault.OutOfRange, "temp"},
		{"wetter than water", func(s *shop.Settings) { s.Humidity = 1.01 }, fault.OutOfRange, "humidity"},
		{"in the stratosphere", func(s *shop.Settings) { s.Altitude = shop.At(math.Inf(1)) }, fault.OutOfRange, "altitude"},
		{"a scale without steps", func(s *shop.Settings) { s.ScaleStep = 0 }, fault.OutOfRange, "scale_step"},
		{"no zone", func(s *shop.Settings) { s.Zone = "" }, fault.BadTime, "zone"},
		{"the server's own zone", func(s *shop.Settings) { s.Zone = "Local" }, fault.BadTime, "zone"},
		{"a path for a zone", func(s *shop.Settings) { s.Zone = "../etc/passwd" }, fault.BadTime, "zone"},
		{"a currency sign", func(s *shop.Settings) { s.Currency = "£" }, fault.OutOfRange, "currency"},
		{"small letters", func(s *shop.Settings) { s.Currency = "gbp" }, fault.OutOfRange, "currency"},
		{"an endless channel", func(s *shop.Settings) { s.Channel = strings.Repeat("1", 101) }, fault.OutOfRange, "channel"},
		{"a channel that is no text", func(s *shop.Settings) { s.Channel = "\xff" }, fault.OutOfRange, "channel"},
	} {
		s := shop.NewSettings()
		c.set(&s)
		check(t, c.name, s.Check(), c.code, c.option)
	}
}

func TestPrefsCheck(t *testing.T) {
	for _, c := range []struct {
		name   string
		p      shop.Prefs
		code   fault.Code
		option string
	}{
		{"nothing said", shop.Prefs{}, "", ""},
		{"all said", shop.Prefs{Units: "imperial", Zone: "UTC", QuietHours: "22:00-07:00", Ready: "p50", To: "dm"}, "", ""},
		{"ells", shop.Prefs{Units: "ells"}, fault.OutOfRange, "units"},
		{"no zone of that name", shop.Prefs{Zone: "Kettle/Lane"}, fault.BadTime, "zone"},
		{"hours past midnight", shop.Prefs{QuietHours: "22:00-24:30"}, fault.BadTime, "quiet_hours"},
		{"one time only", shop.Prefs{QuietHours: "22:00"}, fault.BadTime, "quiet_hours"},
		{"a third quantile", shop.Prefs{Ready: "p99"}, fault.OutOfRange, "ready"},
		{"by post", shop.Prefs{To: "post"}, fault.OutOfRange, "to"},
	} {
		check(t, c.name, c.p.Check(), c.code, c.option)
	}
}

// check wants a refusal of an option that says what to type instead, or none.
func check(t *testing.T, name string, err error, code fault.Code, option string) {
	t.Helper()
	f := fault.As(err)
	switch {
	case code == "" && err != nil:
		t.Errorf("%s: %v, want it taken", name, err)
	case code == "":
	case f == nil || f.Code != code || f.Option != option || f.HintText() == "":
		t.Errorf("%s: got %v, want %s of option %s with a hint", name, err, code, option)
	}
}
