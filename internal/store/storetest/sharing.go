package storetest

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
)

const materialKind = shop.KindMaterial

// must is a call that has to succeed.
func must[T any](w *world, what string) func(T, error) T {
	w.t.Helper()
	return func(v T, err error) T {
		w.t.Helper()
		if err != nil {
			w.t.Fatalf("%s: %v", what, err)
		}
		return v
	}
}

// managing is the viewer as a manager of where they ask from.
func managing(v shop.Viewer) shop.Viewer {
	v.Manager = true
	return v
}

// shareBack: private at first, seen by the shop while it is shared.
func shareBack(t *testing.T, open Open) {
	w := usual(t, open)
	m := w.add(w.ada, "slow white", false)
	seen := func(what string, bram, eve int) {
		t.Helper()
		if b, e := len(w.names(w.bram)), len(w.names(w.eve)); b != bram || e != eve {
			t.Errorf("%s: bram sees %d and eve %d, want %d and %d", what, b, e, bram, eve)
		}
	}
	seen("private", 0, 0)
	mustRefuse(t, "another shares what is out of sight", second(w.Share(w.ctx, by(w.bram), materialKind, m.ID)), fault.NotFound)
	out := must[shop.Out](w, "share")(w.Share(w.ctx, by(w.ada), materialKind, m.ID))
	if out.Shop != "The Hall" || out.ShopID != w.ada.Shop.ID || out.Name != "slow white" || out.Kind != materialKind {
		t.Errorf("shared: %+v", out)
	}
	seen("shared", 1, 0)
	must[shop.Out](w, "share again")(w.Share(w.ctx, by(w.ada), materialKind, m.ID))
	mustRefuse(t, "another shares it", second(w.Share(w.ctx, by(w.bram), materialKind, m.ID)), fault.NotAllowed)
	mustRefuse(t, "another takes it back", second(w.Unshare(w.ctx, by(w.bram), materialKind, m.ID, shop.BackAll)), fault.NotAllowed)
	mustRefuse(t, "another makes a code", second(w.Link(w.ctx, by(w.bram), materialKind, m.ID)), fault.NotAllowed)
	mustRefuse(t, "another asks how far it is out", second(w.Out(w.ctx, w.eve, materialKind, m.ID)), fault.NotFound)
	mustRefuse(t, "a second shop", second(w.Share(w.ctx, by(w.adaAway), materialKind, m.ID)), fault.NotAllowed)
	seen("after refusals", 1, 0)

	must[shop.Out](w, "unshare, elsewhere")(w.Unshare(w.ctx, by(w.adaAway), materialKind, m.ID, shop.BackAll))
	seen("taken back", 0, 0)
	must[shop.Out](w, "share with the other shop")(w.Share(w.ctx, by(w.adaAway), materialKind, m.ID))
	seen("shared elsewhere", 0, 1)

	few := store.DefaultLimits()
	few.Shared = 1
	w = newWorld(t, open, few)
	w.add(w.bram, "theirs", true)
	m = w.add(w.ada, "mine", false)
	mustRefuse(t, "past what a shop shares", second(w.Share(w.ctx, by(w.ada), materialKind, m.ID)), fault.LimitReached)
}

var codeShape = regexp.MustCompile(`^([2-9a-y]{3}-){5}[2-9a-y]{3}$`)

// codes: whoever has one adopts, in any shop, until it is revoked.
func codes(t *testing.T, open Open) {
	few := store.DefaultLimits()
	few.Codes = 2
	w := newWorld(t, open, few)
	m := w.add(w.ada, "slow white", false)
	code := must[shop.Out](w, "link")(w.Link(w.ctx, by(w.ada), materialKind, m.ID)).Code
	if !codeShape.MatchString(code) {
		t.Errorf("code %q has not the shape %v", code, codeShape)
	}
	if again := must[shop.Out](w, "link again")(w.Link(w.ctx, by(w.adaAway), materialKind, m.ID)); again.Code != code || again.ShopID != 0 {
		t.Errorf("asked again it is %+v, want code %s and no shop", again, code)
	}
	if len(w.names(w.bram))+len(w.names(w.eve)) != 0 {
		t.Error("a code alone shows it on a shelf")
	}
	for _, typed := range []string{code, strings.ToUpper(code), strings.ReplaceAll(code, "-", ""), " " + strings.ReplaceAll(code, "-", " ") + " "} {
		got, err := w.Look(w.ctx, w.eve, materialKind, shop.Source{Code: typed})
		if err != nil || got.ID != m.ID || got.Name != "slow white" || got.OwnerOf != "ada" || got.Offer || got.Code != code {
			t.Errorf("look by %q: %+v, %v", typed, got, err)
		}
	}
	for what, typed := range map[string]string{"cut": code[:22], "longer": code + "a", "none": "-", "wrong letters": strings.Repeat("o", 18), "another": "444-444-444-444-444-444", "hostile": "' OR 1=1 --\x00"} {
		mustRefuse(t, what, second(w.Look(w.ctx, w.eve, materialKind, shop.Source{Code: typed})), fault.NotFound)
	}
	mustRefuse(t, "as a mold", second(w.Adopt(w.ctx, by(w.eve), shop.KindMold, shop.Source{Code: code}, "")), fault.NotFound)
	mustRefuse(t, "to take it over", second(w.TakeOver(w.ctx, by(w.eve), materialKind, code, "")), fault.NotAllowed)
	mustRefuse(t, "by its owner", second(w.Adopt(w.ctx, by(w.ada), materialKind, shop.Source{Code: code}, "copy")), fault.NotAllowed)
	must[int64](w, "adopt by code")(w.Adopt(w.ctx, by(w.eve), materialKind, shop.Source{Code: code}, ""))

	other := w.add(w.ada, "other", false)
	must[shop.Out](w, "second code")(w.Link(w.ctx, by(w.ada), materialKind, other.ID))
	third := w.add(w.ada, "third", false)
	mustRefuse(t, "a third code", second(w.Link(w.ctx, by(w.ada), materialKind, third.ID)), fault.LimitReached)
	mustRefuse(t, "an offer past the codes", second(w.Offer(w.ctx, by(w.ada), materialKind, third.ID, w.bram.Member.ID)), fault.LimitReached)

	out := must[shop.Out](w, "revoke")(w.Unshare(w.ctx, by(w.ada), materialKind, m.ID, shop.BackCode))
	if out.Code != "" || out.Copies != 1 {
		t.Errorf("revoked: %+v", out)
	}
	mustRefuse(t, "a revoked code", second(w.Adopt(w.ctx, by(w.bram), materialKind, shop.Source{Code: code}, "")), fault.NotFound)
	if fresh := must[shop.Out](w, "anew")(w.Link(w.ctx, by(w.ada), materialKind, m.ID)); fresh.Code == code {
		t.Error("a revoked code came back")
	}
	if err := w.RemoveMaterial(w.ctx, by(w.ada), other.ID); err != nil {
		t.Fatal(err)
	}
	must[shop.Out](w, "in place of a removed one's")(w.Link(w.ctx, by(w.ada), materialKind, third.ID))
}

// adopted makes v's copy of m, which must succeed, and gives it.
func (w *world) adopted(v shop.Viewer, from shop.Source, name string) shop.Material {
	w.t.Helper()
	id := must[int64](w, "adopt")(w.Adopt(w.ctx, by(v), materialKind, from, name))
	return must[shop.Material](w, "read the copy")(w.Material(w.ctx, v, id, 0))
}

// adoption: a private copy of one's own that remembers its line.
func adoption(t *testing.T, open Open) {
	few := store.DefaultLimits()
	few.Materials = 3
	w := newWorld(t, open, few)
	m := w.add(w.ada, "slow white", true)
	m, err := w.EditMaterial(w.ctx, by(w.ada), m.ID, 1, full())
	if err != nil {
		t.Fatal(err)
	}
	own := w.add(w.ada, "own", false)
	copied := w.adopted(w.bram, shop.Source{ID: m.ID}, "")
	want := shop.Material{Profile: m.Profile, Record: shop.Record{ID: copied.ID, Owner: w.bram.Member.ID, OwnerOf: "bram", Shop: w.bram.Shop.ID, Version: 1, Created: at, Edited: at,
		Origin: shop.Origin{ID: m.ID, Version: 2, By: "ada", First: m.ID, FirstBy: "ada"}}}
	if diff := cmp.Diff(want, copied); diff != "" {
		t.Errorf("copy (-want +got):\n%s", diff)
	}
	mustRefuse(t, "the name again", second(w.Adopt(w.ctx, by(w.bram), materialKind, shop.Source{ID: m.ID}, "")), fault.NameTaken)
	w.adopted(w.bram, shop.Source{ID: m.ID}, "under another name")
	mustRefuse(t, "what is out of sight", second(w.Adopt(w.ctx, by(w.bram), materialKind, shop.Source{ID: own.ID}, "")), fault.NotFound)
	mustRefuse(t, "from another shop", second(w.Adopt(w.ctx, by(w.eve), materialKind, shop.Source{ID: m.ID}, "")), fault.NotFound)
	mustRefuse(t, "what is one's own", second(w.Adopt(w.ctx, by(w.ada), materialKind, shop.Source{ID: m.ID}, "again")), fault.NotAllowed)
	mustRefuse(t, "a name that can't be kept", second(w.Adopt(w.ctx, by(w.bram), materialKind, shop.Source{ID: m.ID}, strings.Repeat("x", 81))), fault.OutOfRange)

	// Whoever edits the copy edits the copy.
	if _, err := w.EditMaterial(w.ctx, by(w.bram), copied.ID, 1, profile("mine now")); err != nil {
		t.Fatal(err)
	}
	if now, err := w.Material(w.ctx, w.ada, m.ID, 0); err != nil || !cmp.Equal(now, m) {
		t.Errorf("the origin is now %+v, %v", now, err)
	}
	if out := must[shop.Out](w, "out")(w.Out(w.ctx, w.ada, materialKind, m.ID)); out.Copies != 2 {
		t.Errorf("%d copies, want 2", out.Copies)
	}

	// A copy of a copy keeps the line to where it began.
	must[shop.Out](w, "share the copy")(w.Share(w.ctx, by(w.bram), materialKind, copied.ID))
	cleo := shop.Viewer{Member: w.member("local:cleo", "cleo"), Shop: w.ada.Shop}
	third := w.adopted(cleo, shop.Source{ID: copied.ID}, "")
	if diff := cmp.Diff(shop.Origin{ID: copied.ID, Version: 2, By: "bram", First: m.ID, FirstBy: "ada"}, third.Origin); diff != "" {
		t.Errorf("line of a copy's copy (-want +got):\n%s", diff)
	}
	w.add(w.bram, "third of bram's", false)
	mustRefuse(t, "past the limit", second(w.Adopt(w.ctx, by(w.bram), materialKind, shop.Source{ID: m.ID}, "fourth")), fault.LimitReached)

	// A mold's copy has its own life before it.
	mold := must[shop.Mold](w, "add a mold")(w.AddMold(w.ctx, by(w.ada), shop.MoldProfile{Name: "pawn", Family: "condensation", Volume: 6, Cavities: 6, Pulls: 17, LastCoat: 15,
		ReleaseEvery: 5, MadeOn: at, Retired: "torn", RetiredNote: "neck", Notes: "left flask"}, true))
	id := must[int64](w, "adopt a mold")(w.Adopt(w.ctx, by(w.bram), shop.KindMold, shop.Source{ID: mold.ID}, ""))
	got := must[shop.Mold](w, "read it")(w.Mold(w.ctx, w.bram, id, 0))
	if diff := cmp.Diff(shop.MoldProfile{Name: "pawn", Family: "condensation", Volume: 6, Cavities: 6, ReleaseEvery: 5, Notes: "left flask"}, got.MoldProfile); diff != "" || got.PullsSoFar() != 0 {
		t.Errorf("copy of a mold (-want +got):\n%s", diff)
	}
}

// follows: what becomes of the origin is offered, taken or declined.
func follows(t *testing.T, open Open) {
	w := usual(t, open)
	m := w.add(w.ada, "slow white", true)
	copied := w.adopted(w.bram, shop.Source{ID: m.ID}, "")
	changed := func(what string, v shop.Viewer, id int64, want int) {
		t.Helper()
		got, err := w.Changed(w.ctx, v, materialKind)
		if err != nil || got[id] != want || len(got) != min(want, 1) {
			t.Errorf("%s: changed %v (%v), want version %d", what, got, err, want)
		}
	}
	edit := func(version int, pot float64) {
		t.Helper()
		p := profile("slow white")
		p.PotLife = pot
		if _, err := w.EditMaterial(w.ctx, by(w.ada), m.ID, version-1, p); err != nil {
			t.Fatal(err)
		}
	}
	take := func(base, version int, pot float64) error {
		p := profile("slow white")
		p.PotLife = pot
		text, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		return w.Follow(w.ctx, by(w.bram), materialKind, copied.ID, base, version, text)
	}
	changed("unchanged", w.bram, copied.ID, 0)
	mustRefuse(t, "a change that is not there", take(1, 2, 240), fault.NotFound)
	edit(2, 240)
	changed("edited", w.bram, copied.ID, 2)
	changed("edited, for the owner", w.ada, m.ID, 0)
	c := must[shop.Change](w, "change")(w.Change(w.ctx, w.bram, materialKind, copied.ID, 0))
	if !c.Reach || c.Version != 2 || c.Newest != 2 || !strings.Contains(string(c.Was), `"pot_life":180`) || !strings.Contains(string(c.Now), `"pot_life":240`) {
		t.Errorf("change: %+v\n%s\n%s", c, c.Was, c.Now)
	}
	mustRefuse(t, "what is no copy", second(w.Change(w.ctx, w.ada, materialKind, m.ID, 0)), fault.NotFound)
	mustRefuse(t, "another's copy", second(w.Change(w.ctx, w.ada, materialKind, copied.ID, 0)), fault.NotFound)
	mustRefuse(t, "on top of a version that is not the newest", take(7, 2, 240), fault.NotAllowed)
	if err := take(1, 2, 240); err != nil {
		t.Fatal(err)
	}
	if now := must[shop.Material](w, "copy")(w.Material(w.ctx, w.bram, copied.ID, 0)); now.Version != 2 || now.PotLife != 240 || now.Origin.Version != 2 {
		t.Errorf("after taking: %+v", now)
	}
	changed("taken", w.bram, copied.ID, 0)
	mustRefuse(t, "the same again", take(2, 2, 240), fault.NotFound)

	edit(3, 300)
	if err := w.Follow(w.ctx, by(w.bram), materialKind, copied.ID, 2, 3, nil); err != nil {
		t.Fatal(err)
	}
	changed("left", w.bram, copied.ID, 0)
	if now := must[shop.Material](w, "copy")(w.Material(w.ctx, w.bram, copied.ID, 0)); now.Version != 2 || now.Origin.Version != 2 || now.Origin.Left != 3 {
		t.Errorf("after leaving: %+v", now)
	}
	edit(4, 360)
	changed("a later change", w.bram, copied.ID, 4)
	if c := must[shop.Change](w, "an older one")(w.Change(w.ctx, w.bram, materialKind, copied.ID, 3)); c.Version != 3 || c.Newest != 4 || !strings.Contains(string(c.Now), `"pot_life":300`) {
		t.Errorf("change to version 3: %+v", c)
	}

	must[shop.Out](w, "unshare")(w.Unshare(w.ctx, by(w.ada), materialKind, m.ID, shop.BackAll))
	changed("out of sight", w.bram, copied.ID, 0)
	if c := must[shop.Change](w, "change")(w.Change(w.ctx, w.bram, materialKind, copied.ID, 0)); c.Reach || c.Now != nil || c.Was != nil {
		t.Errorf("out of sight: %+v", c)
	}
	mustRefuse(t, "out of sight", take(2, 4, 360), fault.NotFound)
	must[shop.Out](w, "share")(w.Share(w.ctx, by(w.ada), materialKind, m.ID))
	changed("back in sight", w.bram, copied.ID, 4)
	if err := w.RemoveMaterial(w.ctx, by(w.ada), m.ID); err != nil {
		t.Fatal(err)
	}
	changed("removed", w.bram, copied.ID, 0)
	if _, err := w.Material(w.ctx, w.bram, copied.ID, 0); err != nil {
		t.Errorf("the copy: %v", err)
	}
}

// followsByCode: who came by a code sees changes while that code stands.
func followsByCode(t *testing.T, open Open) {
	w := usual(t, open)
	m := w.add(w.ada, "slow white", false)
	code := must[shop.Out](w, "link")(w.Link(w.ctx, by(w.ada), materialKind, m.ID)).Code
	copied := w.adopted(w.eve, shop.Source{Code: code}, "")
	if _, err := w.EditMaterial(w.ctx, later(w.ada, time.Hour), m.ID, 1, full()); err != nil {
		t.Fatal(err)
	}
	reach := func(what string, want bool) {
		t.Helper()
		got, err := w.Changed(w.ctx, w.eve, materialKind)
		c, err2 := w.Change(w.ctx, w.eve, materialKind, copied.ID, 0)
		if err != nil || err2 != nil || len(got) == 1 != want || c.Reach != want {
			t.Errorf("%s: changed %v, reach %v (%v, %v), want %v", what, got, c.Reach, err, err2, want)
		}
	}
	reach("by code", true)
	mustRefuse(t, "the origin itself", second(w.Material(w.ctx, w.eve, m.ID, 0)), fault.NotFound)
	must[shop.Out](w, "revoke")(w.Unshare(w.ctx, by(w.ada), materialKind, m.ID, shop.BackCode))
	reach("revoked", false)
	must[shop.Out](w, "another code")(w.Link(w.ctx, by(w.ada), materialKind, m.ID))
	reach("with a code that others got", false)
}
