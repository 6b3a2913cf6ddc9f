package storetest

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

func members(t *testing.T, open Open) {
	w := usual(t, open)
	local, chat := w.member("local:nelly", "nelly"), w.member("discord:80351110224678912", "nelly")
	if local.ID == chat.ID {
		t.Error("a local and a chat member are the same")
	}
	if local != (shop.Member{ID: local.ID, Key: "local:nelly", Name: "nelly"}) {
		t.Errorf("new member: %+v", local)
	}
	for _, c := range []struct{ name, given, want string }{
		{"renamed", "Nelly B", "Nelly B"},
		{"no name given", "", "Nelly B"},
		{"the same name", "Nelly B", "Nelly B"},
		{"a name with control characters", "Nel\x00ly\n\x1b[1m  B", "Nelly [1m B"},
		{"a name that is no text", "Nelly\xff", "Nelly"},
		{"a name without end", strings.Repeat("né", 100), strings.Repeat("né", 50)},
	} {
		m, err := w.Member(w.ctx, "local:nelly", c.given, at)
		if err != nil || m.ID != local.ID || m.Name != c.want {
			t.Errorf("%s: got %+v, %v; want name %q", c.name, m, err, c.want)
		}
	}
	for _, key := range []string{"", "nelly", ":nelly", "local:", "local:" + strings.Repeat("x", 100), "local:\xff"} {
		if _, err := w.Member(w.ctx, key, "x", at); err == nil {
			t.Errorf("member key %q was taken", key)
		}
		if _, err := w.Shop(w.ctx, key, "x", 0, at); err == nil {
			t.Errorf("shop key %q was taken", key)
		}
	}

	want := shop.Prefs{Units: "imperial", Zone: "Europe/London", QuietHours: "22:00-07:00", Ready: "p50", To: "dm"}
	if err := w.SetPrefs(w.ctx, by(w.ada), want); err != nil {
		t.Fatal(err)
	}
	if got := w.member("local:ada", ""); got.Pref != want {
		t.Errorf("wishes %+v, want %+v", got.Pref, want)
	}
	if got := w.member("local:bram", ""); got.Pref != (shop.Prefs{}) {
		t.Errorf("bram's wishes are %+v", got.Pref)
	}
	mustRefuse(t, "a wish that can't be met", w.SetPrefs(w.ctx, by(w.ada), shop.Prefs{Units: "ells"}), fault.OutOfRange)
	mustRefuse(t, "wishes of nobody", w.SetPrefs(w.ctx, by(shop.Viewer{}), want), fault.NotFound)
	mustRefuse(t, "a material of nobody", second(w.AddMaterial(w.ctx, by(shop.Viewer{}), profile("x"), true)), fault.NotFound)
}

// second gives the error of a pair.
func second[T any](_ T, err error) error { return err }

func shops(t *testing.T, open Open) {
	w := usual(t, open)
	if diff := cmp.Diff(shop.NewSettings(), w.ada.Shop.Set); diff != "" {
		t.Errorf("a new shop's settings (-want +got):\n%s", diff)
	}
	set := shop.Settings{Units: "us", Temp: -3.5, Humidity: 0, Altitude: shop.At(1609), Zone: "America/Denver", Currency: "USD", ScaleStep: 0.01, Channel: "112233"}
	if err := w.SetShop(w.ctx, by(w.ada), set); err != nil {
		t.Fatal(err)
	}
	set.Temp = 19.25
	if err := w.SetShop(w.ctx, by(w.ada), set); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"The Hall", "", "Hall & Sons"} {
		got := w.shop("local:hall", name, w.eve.Member.ID)
		if got.ID != w.ada.Shop.ID || got.Set != set || name != "" && got.Name != name || got.Name == "" {
			t.Errorf("found by name %q: %+v, want settings %+v", name, got, set)
		}
	}
	if got := w.shop("local:yard", "", 0); got.Set != shop.NewSettings() {
		t.Errorf("the other shop's settings: %+v", got.Set)
	}
	bad := set
	bad.Zone = "Mars/Olympus"
	mustRefuse(t, "a zone that is none", w.SetShop(w.ctx, by(w.ada), bad), fault.BadTime)
	mustRefuse(t, "a shop that is not kept", w.SetShop(w.ctx, by(shop.Viewer{Member: w.ada.Member, Manager: true}), set), fault.NotFound)
}

func managers(t *testing.T, open Open) {
	w := usual(t, open)
	manages := func(v shop.Viewer) bool {
		t.Helper()
		ok, err := w.Manages(w.ctx, v.Member.ID, v.Shop.ID)
		if err != nil {
			t.Fatal(err)
		}
		return ok
	}
	for who, c := range map[string]struct {
		v    shop.Viewer
		want bool
	}{"ada": {w.ada, true}, "bram": {w.bram, false}, "ada in the yard": {w.adaAway, false}, "eve": {w.eve, true}} {
		if got := manages(c.v); got != c.want {
			t.Errorf("%s manages: %v, want %v", who, got, c.want)
		}
	}
	w.shop("local:hall", "", w.bram.Member.ID)
	if manages(w.bram) {
		t.Error("finding a shop made its finder a manager")
	}

	set := w.ada.Shop.Set
	asAdmin := w.bram
	asAdmin.Manager = true
	for what, do := range map[string]func(v shop.Viewer) error{
		"set the shop": func(v shop.Viewer) error { return w.SetShop(w.ctx, by(v), set) },
		"set a faq":    func(v shop.Viewer) error { return w.SetFAQ(w.ctx, by(v), "pump", "no") },
		"set a manager": func(v shop.Viewer) error {
			return w.SetManager(w.ctx, by(v), w.ada.Member.ID, true)
		},
	} {
		mustRefuse(t, "a member may not "+what, do(w.bram), fault.NotAllowed)
		mustRefuse(t, "a manager of another shop may not "+what, do(w.adaAway), fault.NotAllowed)
		mustRefuse(t, "nobody may "+what, do(shop.Viewer{Shop: w.ada.Shop}), fault.NotAllowed)
		for _, v := range []shop.Viewer{w.ada, asAdmin} {
			if err := do(v); err != nil {
				t.Errorf("%s by %s: %v", what, v.Member.Name, err)
			}
		}
	}

	mustRefuse(t, "the last manager", w.SetManager(w.ctx, by(w.ada), w.ada.Member.ID, false), fault.NotAllowed)
	mustRefuse(t, "a manager who is not kept", w.SetManager(w.ctx, by(w.ada), 9999, true), fault.NotFound)
	for range 2 { // the second time changes nothing
		if err := w.SetManager(w.ctx, by(w.ada), w.bram.Member.ID, true); err != nil {
			t.Fatal(err)
		}
	}
	list, err := w.Managers(w.ctx, w.bram)
	if err != nil || len(list) != 2 || list[0].Name != "ada" || list[1].Key != "local:bram" {
		t.Errorf("managers: %+v, %v", list, err)
	}
	if err := w.SetManager(w.ctx, by(w.bram), w.ada.Member.ID, false); err != nil {
		t.Fatal(err)
	}
	if manages(w.ada) || !manages(w.bram) {
		t.Error("ada was taken off the list by bram, and it does not show")
	}
}
