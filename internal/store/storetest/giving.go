package storetest

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
)

// giving: an offer is taken by the one it names, with all that belongs to it.
func giving(t *testing.T, open Open) {
	w := usual(t, open)
	cleo := shop.Viewer{Member: w.member("local:cleo", "cleo"), Shop: w.ada.Shop}
	m := w.add(w.ada, "slow white", true)
	if _, err := w.EditMaterial(w.ctx, by(w.ada), m.ID, 1, profile("slow white")); err != nil {
		t.Fatal(err)
	}
	link := must[shop.Out](w, "link")(w.Link(w.ctx, by(w.ada), materialKind, m.ID)).Code
	evesCopy := w.adopted(w.eve, shop.Source{Code: link}, "")

	mustRefuse(t, "to oneself", second(w.Offer(w.ctx, by(w.ada), materialKind, m.ID, w.ada.Member.ID)), fault.NotAllowed)
	mustRefuse(t, "what is another's", second(w.Offer(w.ctx, by(w.bram), materialKind, m.ID, cleo.Member.ID)), fault.NotAllowed)
	mustRefuse(t, "to nobody", second(w.Offer(w.ctx, by(w.ada), materialKind, m.ID, 1<<40)), fault.NotFound)
	first := must[shop.Out](w, "offer")(w.Offer(w.ctx, by(w.ada), materialKind, m.ID, cleo.Member.ID))
	out := must[shop.Out](w, "offer to another")(w.Offer(w.ctx, by(w.ada), materialKind, m.ID, w.bram.Member.ID))
	if out.Taker != "bram" || out.Offer == "" || out.Offer == first.Offer || out.Code != link {
		t.Errorf("offered: %+v", out)
	}
	if list := must[[]shop.Sight](w, "offers")(w.Offers(w.ctx, cleo, materialKind)); len(list) != 0 {
		t.Errorf("an offer that was replaced: %+v", list)
	}
	want := []shop.Sight{{ID: m.ID, Name: "slow white", Family: "urethane", OwnerOf: "ada", Code: out.Offer, Offer: true, Version: 2}}
	if diff := cmp.Diff(want, must[[]shop.Sight](w, "offers")(w.Offers(w.ctx, w.bram, materialKind))); diff != "" {
		t.Errorf("offers (-want +got):\n%s", diff)
	}
	mustRefuse(t, "by someone else", second(w.TakeOver(w.ctx, by(cleo), materialKind, out.Offer, "")), fault.NotAllowed)
	mustRefuse(t, "a copy by someone else", second(w.Adopt(w.ctx, by(w.eve), materialKind, shop.Source{Code: out.Offer}, "")), fault.NotAllowed)
	mustRefuse(t, "the replaced offer", second(w.TakeOver(w.ctx, by(cleo), materialKind, first.Offer, "")), fault.NotFound)
	mustRefuse(t, "a copy of what is offered", second(w.Adopt(w.ctx, by(w.bram), materialKind, shop.Source{Code: out.Offer}, "")), fault.NotAllowed)
	if now := must[shop.Material](w, "still")(w.Material(w.ctx, w.ada, m.ID, 0)); now.Owner != w.ada.Member.ID {
		t.Error("an offer alone changed the owner")
	}

	// Withdrawn, and offered again.
	if out := must[shop.Out](w, "withdraw")(w.Offer(w.ctx, by(w.ada), materialKind, m.ID, 0)); out.Offer != "" || out.Code != link {
		t.Errorf("withdrawn: %+v", out)
	}
	mustRefuse(t, "what was withdrawn", second(w.TakeOver(w.ctx, by(w.bram), materialKind, out.Offer, "")), fault.NotFound)
	out = must[shop.Out](w, "offer again")(w.Offer(w.ctx, by(w.ada), materialKind, m.ID, w.bram.Member.ID))

	own := w.add(w.bram, "Slow White", false)
	mustRefuse(t, "a name the taker has", second(w.TakeOver(w.ctx, by(w.bram), materialKind, out.Offer, "")), fault.NameTaken)
	if now := must[shop.Material](w, "after a refusal")(w.Material(w.ctx, w.ada, m.ID, 0)); now.Owner != w.ada.Member.ID || len(must[[]shop.Version](w, "history")(w.MaterialHistory(w.ctx, w.ada, m.ID))) != 2 {
		t.Error("a refused take-over moved something")
	}
	if id := must[int64](w, "take over")(w.TakeOver(w.ctx, by(w.bram), materialKind, out.Offer, "ada's white")); id != m.ID || id == own.ID {
		t.Errorf("took over %d, want %d", id, m.ID)
	}
	now := must[shop.Material](w, "taken")(w.Material(w.ctx, w.bram, m.ID, 0))
	if now.Owner != w.bram.Member.ID || now.Version != 3 || now.Name != "ada's white" || !now.Shared || now.Shop != w.ada.Shop.ID {
		t.Errorf("taken: %+v", now)
	}
	if old := must[shop.Material](w, "version 1")(w.Material(w.ctx, w.ada, m.ID, 1)); old.Name != "slow white" {
		t.Errorf("version 1: %+v", old)
	}
	_, err := w.EditMaterial(w.ctx, by(w.ada), m.ID, 3, m.Profile)
	mustRefuse(t, "edit by who gave it away", err, fault.NotAllowed)
	mustRefuse(t, "the offer again", second(w.TakeOver(w.ctx, by(w.bram), materialKind, out.Offer, "")), fault.NotFound)

	// Copies keep their line, and the code goes with the thing.
	evesCopy = must[shop.Material](w, "eve's copy")(w.Material(w.ctx, w.eve, evesCopy.ID, 0))
	if diff := cmp.Diff(shop.Origin{ID: m.ID, Version: 2, By: "ada", First: m.ID, FirstBy: "ada"}, evesCopy.Origin); diff != "" {
		t.Errorf("line of a copy (-want +got):\n%s", diff)
	}
	if got := must[map[int64]int](w, "changed")(w.Changed(w.ctx, w.eve, materialKind)); got[evesCopy.ID] != 3 {
		t.Errorf("changed: %v", got)
	}
	if out := must[shop.Out](w, "out")(w.Out(w.ctx, w.bram, materialKind, m.ID)); out.Code != link || out.Offer != "" || out.Copies != 1 {
		t.Errorf("out: %+v", out)
	}
}

// givingMolds: the log of a mold goes with it, within the taker's limits.
func givingMolds(t *testing.T, open Open) {
	few := store.DefaultLimits()
	few.Pulls, few.Molds, few.Total = 4, 2, 4
	w := newWorld(t, open, few)
	p := shop.MoldProfile{Name: "pawn", Family: "condensation", Volume: 6, Cavities: 6, ReleaseEvery: 5}
	mold := must[shop.Mold](w, "add")(w.AddMold(w.ctx, by(w.ada), p, false))
	for range 3 {
		must[shop.Mold](w, "pull")(w.PullMold(w.ctx, by(w.ada), mold.ID, true, ""))
	}
	give := func(id int64, to shop.Viewer) string {
		t.Helper()
		return must[shop.Out](w, "offer")(w.Offer(w.ctx, by(w.ada), shop.KindMold, id, to.Member.ID)).Offer
	}
	p.Name = "knob"
	knob := must[shop.Mold](w, "add")(w.AddMold(w.ctx, by(w.bram), p, false))
	for range 2 {
		must[shop.Mold](w, "pull")(w.PullMold(w.ctx, by(w.bram), knob.ID, true, ""))
	}
	mustRefuse(t, "with a log past the limit", second(w.TakeOver(w.ctx, by(w.bram), shop.KindMold, give(mold.ID, w.bram), "")), fault.LimitReached)
	if now := must[shop.Mold](w, "after a refusal")(w.Mold(w.ctx, w.ada, mold.ID, 0)); now.Tally.Good != 3 {
		t.Errorf("after a refusal the log is %+v", now.Tally)
	}
	must[int64](w, "take over")(w.TakeOver(w.ctx, by(w.eve), shop.KindMold, give(mold.ID, w.eve), ""))
	if now := must[shop.Mold](w, "taken")(w.Mold(w.ctx, w.eve, mold.ID, 0)); now.Tally.Good != 3 || now.Owner != w.eve.Member.ID || now.Shop != w.eve.Shop.ID {
		t.Errorf("taken: %+v", now)
	}
	if log := must[[]shop.MoldMark](w, "log")(w.MoldMarks(w.ctx, w.eve, mold.ID, 10)); len(log) != 3 {
		t.Errorf("log: %+v", log)
	}
	if _, _, err := w.UndoMark(w.ctx, by(w.eve), mold.ID); err != nil {
		t.Errorf("the new owner takes the last pull back: %v", err)
	}
	mustRefuse(t, "for who gave it", second(w.Mold(w.ctx, w.ada, mold.ID, 0)), fault.NotFound)

	p.Name = "third"
	third := must[shop.Mold](w, "add")(w.AddMold(w.ctx, by(w.ada), p, false))
	p.Name = "fourth"
	must[shop.Mold](w, "add")(w.AddMold(w.ctx, by(w.bram), p, false))
	mustRefuse(t, "a mold too many", second(w.TakeOver(w.ctx, by(w.bram), shop.KindMold, give(third.ID, w.bram), "")), fault.LimitReached)
	p.Name = "third"
	for version := 1; version < 4; version++ {
		must[shop.Mold](w, "edit")(w.EditMold(w.ctx, by(w.ada), third.ID, version, p))
	}
	mustRefuse(t, "versions too many", second(w.TakeOver(w.ctx, by(w.eve), shop.KindMold, give(third.ID, w.eve), "")), fault.LimitReached)
}

// allKinds: what holds for materials holds for the others.
func allKinds(t *testing.T, open Open) {
	w := usual(t, open)
	ids := map[shop.Kind]int64{
		shop.KindMaterial: w.add(w.ada, "a", false).ID,
		shop.KindMold:     must[shop.Mold](w, "mold")(w.AddMold(w.ctx, by(w.ada), shop.MoldProfile{Name: "a", Cavities: 1}, false)).ID,
		shop.KindTint:     must[shop.Tint](w, "tint")(w.AddTint(w.ctx, by(w.ada), shop.TintProfile{Name: "a", Base: 3, BaseName: "white"}, false)).ID,
		shop.KindFormula:  must[shop.Formula](w, "formula")(w.AddFormula(w.ctx, by(w.ada), formulaProfile("a"), false)).ID,
	}
	for _, k := range shop.Kinds() {
		id := ids[k]
		must[shop.Out](w, "share")(w.Share(w.ctx, by(w.ada), k, id))
		copied := must[int64](w, "adopt")(w.Adopt(w.ctx, by(w.bram), k, shop.Source{ID: id}, "b"))
		if c := must[shop.Change](w, "change")(w.Change(w.ctx, w.bram, k, copied, 0)); !c.Reach || c.Version != 1 {
			t.Errorf("%s: change %+v", k, c)
		}
		if err := w.Mark(w.ctx, by(w.ada), k, id, shop.MarkPin, ""); err != nil {
			t.Errorf("pin a %s: %v", k, err)
		}
		code := must[shop.Out](w, "offer")(w.Offer(w.ctx, by(w.ada), k, id, w.eve.Member.ID)).Offer
		must[int64](w, "take over")(w.TakeOver(w.ctx, by(w.eve), k, code, ""))
		if out := must[shop.Out](w, "out")(w.Out(w.ctx, w.eve, k, id)); out.Copies != 1 || out.Shop != "The Hall" {
			t.Errorf("%s of eve's: %+v", k, out)
		}
	}
	if list := must[[]shop.Out](w, "all")(w.SharedOut(w.ctx, w.eve)); len(list) != 4 {
		t.Errorf("eve's out: %+v", list)
	}
	if err := w.Mark(w.ctx, by(w.ada), "pour", 1, shop.MarkPin, ""); err == nil || fault.As(err) != nil {
		t.Errorf("a kind that is none: %v", err)
	}
	if err := w.Mark(w.ctx, by(w.ada), shop.KindTint, 1, "paint", ""); err == nil || fault.As(err) != nil {
		t.Errorf("a mark that is none: %v", err)
	}
}

// curating: managers hide and pin what is on their shop's shelf.
func curating(t *testing.T, open Open) {
	w := usual(t, open)
	cleo := shop.Viewer{Member: w.member("local:cleo", "cleo"), Shop: w.ada.Shop}
	m := w.add(w.bram, "odd", true)
	w.add(w.bram, "even", true)
	private := w.add(w.bram, "private", false)
	mark := func(v shop.Viewer, id int64, m shop.Mark, why string) error {
		return w.Mark(w.ctx, by(v), materialKind, id, m, why)
	}

	mustRefuse(t, "by a member", mark(cleo, m.ID, shop.MarkHide, ""), fault.NotAllowed)
	mustRefuse(t, "by its owner, who manages nothing", mark(w.bram, m.ID, shop.MarkPin, ""), fault.NotAllowed)
	mustRefuse(t, "by another shop's manager", mark(w.eve, m.ID, shop.MarkHide, ""), fault.NotFound)
	mustRefuse(t, "what is private", mark(w.ada, private.ID, shop.MarkHide, ""), fault.NotFound)
	mine := w.add(w.ada, "mine", false)
	mustRefuse(t, "one's own that is not on the shelf", mark(w.ada, mine.ID, shop.MarkPin, ""), fault.NotAllowed)
	mustRefuse(t, "a reason without end", mark(w.ada, m.ID, shop.MarkHide, string(make([]byte, 300))), fault.OutOfRange)

	if err := mark(w.ada, m.ID, shop.MarkHide, "numbers look wrong"); err != nil {
		t.Fatal(err)
	}
	for who, c := range map[string]struct {
		v    shop.Viewer
		sees bool
	}{"another": {cleo, false}, "the owner": {w.bram, true}, "a manager": {managing(w.ada), true}, "who manages elsewhere": {managing(w.eve), false}} {
		if sees := slices.Contains(w.names(c.v), "odd"); sees != c.sees {
			t.Errorf("hidden, %s sees it: %v", who, sees)
		}
		got, err := w.Material(w.ctx, c.v, m.ID, 0)
		if c.sees && (err != nil || !got.Hidden || got.Why != "numbers look wrong") {
			t.Errorf("%s sees %+v, %v", who, got.Record, err)
		}
	}
	mustRefuse(t, "adopt what is hidden", second(w.Adopt(w.ctx, by(cleo), materialKind, shop.Source{ID: m.ID}, "")), fault.NotFound)
	_, err := w.EditMaterial(w.ctx, by(managing(w.ada)), m.ID, 1, m.Profile)
	mustRefuse(t, "edit by a manager", err, fault.NotAllowed)
	if out := must[shop.Out](w, "out")(w.Out(w.ctx, w.bram, materialKind, m.ID)); !out.Hidden || out.Why != "numbers look wrong" {
		t.Errorf("out: %+v", out)
	}
	// Taking it back and sharing it again does not undo what managers did.
	must[shop.Out](w, "unshare")(w.Unshare(w.ctx, by(w.bram), materialKind, m.ID, shop.BackAll))
	if got := must[shop.Material](w, "private again")(w.Material(w.ctx, w.bram, m.ID, 0)); got.Hidden || got.Why != "" {
		t.Errorf("private again: %+v", got.Record)
	}
	must[shop.Out](w, "share")(w.Share(w.ctx, by(w.bram), materialKind, m.ID))
	if slices.Contains(w.names(cleo), "odd") {
		t.Error("sharing again shows what is hidden")
	}
	if err := mark(managing(w.ada), m.ID, shop.MarkUnhide, ""); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"even", "odd"}, w.names(cleo)); diff != "" {
		t.Errorf("back (-want +got):\n%s", diff)
	}

	// Pinned comes first, before one's own, in that shop.
	w.add(cleo, "a", false)
	if err := mark(w.ada, m.ID, shop.MarkPin, ""); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"odd", "a", "even"}, w.names(cleo)); diff != "" {
		t.Errorf("pinned (-want +got):\n%s", diff)
	}
	if got := must[shop.Material](w, "pinned")(w.Material(w.ctx, cleo, m.ID, 0)); !got.Pinned || got.Version != 1 || !got.Edited.Equal(at) {
		t.Errorf("pinned: %+v", got.Record)
	}
	away := shop.Viewer{Member: w.bram.Member, Shop: w.eve.Shop}
	if diff := cmp.Diff([]string{"even", "odd", "private"}, w.names(away)); diff != "" {
		t.Errorf("pinned, from elsewhere (-want +got):\n%s", diff)
	}
	if err := mark(w.ada, m.ID, shop.MarkUnpin, ""); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"a", "even", "odd"}, w.names(cleo)); diff != "" {
		t.Errorf("unpinned (-want +got):\n%s", diff)
	}
}

// leaving: who is erased takes what is theirs; copies stay, without the name.
func leaving(t *testing.T, open Open) {
	w := usual(t, open)
	m := w.add(w.ada, "slow white", true)
	kept := w.add(w.ada, "to stay", true)
	code := must[shop.Out](w, "link")(w.Link(w.ctx, by(w.ada), materialKind, m.ID)).Code
	copied := w.adopted(w.bram, shop.Source{ID: m.ID}, "")
	evesCopy := w.adopted(w.eve, shop.Source{Code: code}, "")
	pour := w.start(t, w.bram, m)
	toBram := must[shop.Out](w, "offer")(w.Offer(w.ctx, by(w.ada), materialKind, m.ID, w.bram.Member.ID)).Offer
	must[int64](w, "take over")(w.TakeOver(w.ctx, by(w.bram), materialKind, must[shop.Out](w, "offer")(w.Offer(w.ctx, by(w.ada), materialKind, kept.ID, w.bram.Member.ID)).Offer, ""))
	must[shop.Out](w, "offer to who goes")(w.Offer(w.ctx, by(w.bram), materialKind, kept.ID, w.ada.Member.ID))

	list := must[[]shop.Out](w, "shared out")(w.SharedOut(w.ctx, w.ada))
	if len(list) != 1 || list[0].Name != "slow white" || list[0].Copies != 2 || list[0].Shop != "The Hall" || list[0].Code != code || list[0].Offer != toBram {
		t.Errorf("out before leaving: %+v", list)
	}
	if text := string(must[[]byte](w, "export")(w.Export(w.ctx, w.ada))); strings.Count(text, code) != 1 || strings.Count(text, toBram) != 1 || !strings.Contains(text, `"offered": true`) {
		t.Errorf("export without the codes:\n%s", text)
	}
	if text := string(must[[]byte](w, "export")(w.Export(w.ctx, w.eve))); strings.Contains(text, "ada") || !strings.Contains(text, `"origin"`) {
		t.Errorf("export of who adopted:\n%s", text)
	}
	if err := w.Erase(w.ctx, by(w.ada)); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		v  shop.Viewer
		id int64
	}{{w.bram, copied.ID}, {w.eve, evesCopy.ID}} {
		got := must[shop.Material](w, "copy")(w.Material(w.ctx, c.v, c.id, 0))
		if diff := cmp.Diff(shop.Origin{ID: m.ID, Version: 1, First: m.ID}, got.Origin); diff != "" {
			t.Errorf("line after leaving (-want +got):\n%s", diff)
		}
		if ch := must[shop.Change](w, "change")(w.Change(w.ctx, c.v, materialKind, c.id, 0)); ch.Reach {
			t.Errorf("the origin is still in reach: %+v", ch)
		}
	}
	mustRefuse(t, "the code", second(w.Look(w.ctx, w.eve, materialKind, shop.Source{Code: code})), fault.NotFound)
	mustRefuse(t, "the offer", second(w.TakeOver(w.ctx, by(w.bram), materialKind, toBram, "")), fault.NotFound)
	if got := must[shop.Material](w, "handed over before")(w.Material(w.ctx, w.bram, kept.ID, 0)); got.Owner != w.bram.Member.ID || !got.Shared {
		t.Errorf("what was handed over: %+v", got.Record)
	}
	if out := must[shop.Out](w, "out")(w.Out(w.ctx, w.bram, materialKind, kept.ID)); out.Offer != "" {
		t.Errorf("an offer to who is gone: %+v", out)
	}
	if got, err := w.Pour(w.ctx, w.bram, pour.ID); err != nil || got.Material != pour.Material || got.Foreseen != pour.Foreseen {
		t.Errorf("bram's pour: %+v, %v", got, err)
	}
}
