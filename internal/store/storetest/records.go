package storetest

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// full is a profile with something in every field.
func full() material.Profile {
	pot, low, high := 0.0, -5.5, 60.0 // zero is a temperature like any other
	return material.Profile{
		Name: "Größe <1> & \"co\"", Family: material.SiliconeAddition,
		Ratio:    quantity.Ratio{A: 100, B: 44.9, By: quantity.ByWeight},
		DensityA: 1.1, DensityB: 1.02, DensityMixed: 1.0613,
		PotLife: 180, PotLifeMass: 100, PotLifeTemp: &pot,
		Demold: 720, DemoldSection: 6, FullCure: 86400,
		Hardness:   &material.Hardness{Shore: 30, Scale: "00"},
		CuredColor: "#F2EFE6", TintSide: material.SideB, MaxTint: 0.02,
		MinTemp: &low, MaxTemp: &high, MaxDepth: 10, MaxMass: 500,
		ShelfLife: material.Span{Months: 6, Days: 3}, ShelfOpened: material.Span{Months: 4},
		Price: 42, Pack: 1800, PackA: 932, PackB: 868, Heat: 250.123456789,
		Notes: "line one\nline two\t\U0001F9EA'; DROP TABLE member; --?", Link: "https://example.org/?a=1&b=2",
	}
}

func roundTrip(t *testing.T, open Open) {
	w := usual(t, open)
	for _, p := range []material.Profile{full(), profile("plain")} {
		m, err := w.AddMaterial(w.ctx, by(w.ada), p, true)
		if err != nil {
			t.Fatal(err)
		}
		want := shop.Material{
			Record: shop.Record{ID: m.ID, Owner: w.ada.Member.ID, OwnerOf: "ada", Shared: true, Shop: w.ada.Shop.ID,
				Version: 1, Created: at, Edited: at},
			Profile: p,
		}
		if diff := cmp.Diff(want, m); diff != "" {
			t.Errorf("added (-want +got):\n%s", diff)
		}
		got, err := w.Material(w.ctx, w.bram, m.ID, 0)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("read by another (-want +got):\n%s", diff)
		}
	}
}

// order: own ones first, then by name without case.
func order(t *testing.T, open Open) {
	w := usual(t, open)
	w.add(w.ada, "b ada's", true)
	w.add(w.bram, "Zinc", true)
	w.add(w.ada, "A ada's", true)
	w.add(w.bram, "apple", false)
	w.add(w.bram, "Éclair", true)
	if diff := cmp.Diff([]string{"apple", "Zinc", "Éclair", "A ada's", "b ada's"}, w.names(w.bram)); diff != "" {
		t.Errorf("bram's list (-want +got):\n%s", diff)
	}
	entries, err := w.MaterialNames(w.ctx, w.bram)
	if err != nil {
		t.Fatal(err)
	}
	for i, name := range w.names(w.bram) {
		if entries[i].Name != name || entries[i].Family != string(material.Urethane) || entries[i].OwnerOf == "" || entries[i].Owner == 0 {
			t.Errorf("entry %d is %+v, want name %s and the rest filled", i, entries[i], name)
		}
	}
}

func versions(t *testing.T, open Open) {
	w := usual(t, open)
	first := w.add(w.ada, "slow white", true)
	p := profile("slow white, winter")
	p.Family = material.Epoxy
	later := shop.Stamp{By: w.adaAway, At: at.Add(time.Hour)}
	second, err := w.EditMaterial(w.ctx, later, first.ID, 1, p)
	if err != nil {
		t.Fatal(err)
	}
	want := first
	want.Version, want.Edited, want.Profile = 2, later.At, p
	if diff := cmp.Diff(want, second); diff != "" {
		t.Errorf("edited elsewhere (-want +got):\n%s", diff)
	}

	_, err = w.EditMaterial(w.ctx, by(w.ada), first.ID, 1, profile("from the old one"))
	mustRefuse(t, "edit of an old version", err, fault.NotAllowed)
	_, err = w.EditMaterial(w.ctx, by(w.ada), first.ID, 3, profile("from one that is not there"))
	mustRefuse(t, "edit of a coming version", err, fault.NotAllowed)

	for version, want := range map[int]material.Profile{0: p, 1: first.Profile, 2: p} {
		got, err := w.Material(w.ctx, w.bram, first.ID, version)
		if err != nil {
			t.Fatalf("version %d: %v", version, err)
		}
		if diff := cmp.Diff(want, got.Profile); diff != "" {
			t.Errorf("version %d (-want +got):\n%s", version, diff)
		}
	}
	for _, version := range []int{3, -1} {
		_, err = w.Material(w.ctx, w.bram, first.ID, version)
		mustRefuse(t, "a version that is not there", err, fault.NotFound)
	}
	got, err := w.MaterialHistory(w.ctx, w.bram, first.ID)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]shop.Version{{Number: 2, At: later.At, By: "ada"}, {Number: 1, At: at, By: "ada"}}, got); diff != "" {
		t.Errorf("history (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]string{p.Name}, w.names(w.ada)); diff != "" {
		t.Errorf("list after an edit (-want +got):\n%s", diff)
	}
}

func names(t *testing.T, open Open) {
	w := usual(t, open)
	first := w.add(w.ada, "Straße Weiß", false)
	second := w.add(w.ada, "other", false)
	for _, same := range []string{"Straße Weiß", "STRASSE WEISS", "  straße \t weiß ", "Straße Weiß"} {
		_, err := w.AddMaterial(w.ctx, by(w.ada), profile(same), false)
		mustRefuse(t, "add "+same, err, fault.NameTaken)
		_, err = w.EditMaterial(w.ctx, by(w.ada), second.ID, 1, profile(same))
		mustRefuse(t, "rename to "+same, err, fault.NameTaken)
	}
	if _, err := w.EditMaterial(w.ctx, by(w.ada), first.ID, 1, profile("STRASSE weiß")); err != nil {
		t.Errorf("a record may change the case of its own name: %v", err)
	}
	if _, err := w.AddMaterial(w.ctx, by(w.bram), profile("Straße Weiß"), true); err != nil {
		t.Errorf("another member may use the name: %v", err)
	}
	if m := w.add(w.ada, "  two \n words ", false); m.Name != "two words" {
		t.Errorf("name kept as %q, want %q", m.Name, "two words")
	}
}

func removal(t *testing.T, open Open) {
	w := usual(t, open)
	m := w.add(w.ada, "gone soon", true)
	if err := w.RemoveMaterial(w.ctx, by(w.ada), m.ID); err != nil {
		t.Fatal(err)
	}
	if got := w.names(w.ada); len(got) != 0 {
		t.Errorf("list after removal: %q", got)
	}
	_, err := w.Material(w.ctx, w.ada, m.ID, 0)
	mustRefuse(t, "get", err, fault.NotFound)
	_, err = w.EditMaterial(w.ctx, by(w.ada), m.ID, 1, profile("back"))
	mustRefuse(t, "edit", err, fault.NotFound)
	mustRefuse(t, "second removal", w.RemoveMaterial(w.ctx, by(w.ada), m.ID), fault.NotFound)
	again := w.add(w.ada, "gone soon", true)
	if again.ID == m.ID || again.Version != 1 {
		t.Errorf("a new record of the name has id %d version %d; the removed one had id %d", again.ID, again.Version, m.ID)
	}
}

func molds(t *testing.T, open Open) {
	w := usual(t, open)
	p := shop.MoldProfile{
		Name: "harbor pawn", Family: "condensation", Volume: 6.2, Cavities: 6, Thickest: 14, Thinnest: 5, Wall: 10,
		Pulls: 17, LastCoat: 15, ReleaseEvery: 5, MadeOn: time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC),
		Cost: 12.5, Retired: "torn", RetiredNote: "at the neck", Notes: "left flask",
	}
	m, err := w.AddMold(w.ctx, by(w.ada), p, true)
	if err != nil {
		t.Fatal(err)
	}
	hidden, err := w.AddMold(w.ctx, by(w.ada), shop.MoldProfile{Name: "hidden", Cavities: 1}, false)
	if err != nil {
		t.Fatal(err)
	}
	got, err := w.Mold(w.ctx, w.bram, m.ID, 1)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(m, got); diff != "" || !cmp.Equal(p, got.MoldProfile) {
		t.Errorf("read by another (-want +got):\n%s\nprofile %+v", diff, got.MoldProfile)
	}
	_, err = w.Mold(w.ctx, w.bram, hidden.ID, 0)
	mustRefuse(t, "another's own mold", err, fault.NotFound)
	_, err = w.Mold(w.ctx, w.eve, m.ID, 0)
	mustRefuse(t, "a mold of another shop", err, fault.NotFound)
	_, err = w.AddMold(w.ctx, by(w.ada), shop.MoldProfile{Name: "Harbor Pawn"}, false)
	mustRefuse(t, "the name again", err, fault.NameTaken)
	w.add(w.ada, "harbor pawn", false) // a material may have a mold's name

	for who, want := range map[string]struct {
		v shop.Viewer
		n int
	}{"owner": {w.ada, 2}, "shop": {w.bram, 1}, "stranger": {w.eve, 0}} {
		all, err := w.Molds(w.ctx, want.v)
		entries, err2 := w.MoldNames(w.ctx, want.v)
		if err != nil || err2 != nil || len(all) != want.n || len(entries) != want.n {
			t.Errorf("%s sees %d molds and %d names (%v, %v), want %d", who, len(all), len(entries), err, err2, want.n)
		}
	}
}
