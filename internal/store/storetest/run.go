// Package storetest is what every store must do, as plain functions: the test
// of a database opens it and calls Run.
//
//	func TestConformance(t *testing.T) { storetest.Run(t, open) }
package storetest

import (
	"context"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
)

// Open makes an empty store, to be closed at the end of the test.
type Open func(t testing.TB, limits store.Limits) *store.Store

// Run runs the whole suite. Each case has a store of its own.
func Run(t *testing.T, open Open) {
	for _, c := range []struct {
		name string
		run  func(t *testing.T, open Open)
	}{
		{"sight", sight},
		{"sight agrees with the rule in Go", sightAgrees},
		{"profiles come back whole", roundTrip},
		{"order of lists", order},
		{"searches", searches},
		{"lookalikes", lookalikes},
		{"versions", versions},
		{"names", names},
		{"removal", removal},
		{"molds", molds},
		{"pulls", moldPulls},
		{"sight of pulls", pullSight},
		{"limits of pulls", pullLimits},
		{"tints", tints},
		{"formulas", formulas},
		{"share and take back", shareBack},
		{"codes", codes},
		{"adoption", adoption},
		{"copies follow", follows},
		{"copies follow by code", followsByCode},
		{"giving", giving},
		{"giving molds", givingMolds},
		{"sharing of all kinds", allKinds},
		{"curating", curating},
		{"leaving", leaving},
		{"repeated interactions", repeats},
		{"together", together},
		{"contexts", contexts},
		{"races", races},
		{"readers see whole writes", wholeWrites},
		{"limits", limits},
		{"texts", texts},
		{"members", members},
		{"shops", shops},
		{"managers", managers},
		{"faqs", faqs},
		{"measures", measures},
		{"lines", lines},
		{"computed answers", computed},
		{"boards", boards},
		{"boards outlive", boardsOutlive},
		{"changes", changes},
		{"pours", pourings},
		{"sight of pours", pourSight},
		{"answers to pours", pourAnswers},
		{"cure logs", cureLogs},
		{"limits of pours", pourLimits},
		{"pours outlive", pourOutlives},
		{"ends of pours", pourEnds},
		{"pours taken back", pourTakenBack},
		{"walks of pours", pourWalks},
		{"pulls of pours", pourPullsMove},
		{"coats of pours", pourCoats},
		{"containers", stockKept},
		{"sight of containers", stockSight},
		{"containers taken back", stockUndone},
		{"stock of pours", stockOfPours},
		{"calls of containers", stockCalls},
		{"limits of containers", stockLimits},
		{"walks of containers", stockWalks},
		{"containers outlive", stockOutlives},
		{"pours shown", pourShown},
		{"notes at pours", pourNotes},
		{"dues", dues},
		{"sight of dues", dueSight},
		{"changes of dues", dueChanges},
		{"dues of pours", duesOfPours},
		{"limits of dues", dueLimits},
		{"dues are owned", duesOwned},
		{"claims", claims},
		{"claims race", claimRace},
		{"leases", leases},
		{"deliveries", deliveries},
		{"claims lost", claimsLost},
		{"series", series},
		{"missed calls", missed},
		{"cards", cards},
		{"cards follow their pour", cardsFollow},
		{"a card changed while shown", cardChangedWhileShown},
		{"leases of cards", cardLeases},
		{"cards are owned", cardsOwned},
		{"old things go", oldThingsGo},
		{"what is under way stays", underWayStays},
		{"tidying in steps", tidyingInSteps},
		{"bulk", bulk},
		{"export", export},
		{"erase", erase},
		{"erase a bench", eraseBench},
		{"ids are given once", idsStay},
	} {
		t.Run(c.name, func(t *testing.T) { c.run(t, open) })
	}
}

// at is when the cases take place; a store keeps milliseconds.
var at = time.Date(2026, 11, 25, 9, 30, 0, 123e6, time.UTC)

// world is a store with two shops and four members in it.
type world struct {
	*store.Store
	t   testing.TB
	ctx context.Context

	ada, bram shop.Viewer // in the hall, which ada manages
	eve       shop.Viewer // in the yard, which eve manages
	adaAway   shop.Viewer // ada, asking from the yard
}

func newWorld(t testing.TB, open Open, limits store.Limits) *world {
	t.Helper()
	w := &world{Store: open(t, limits), t: t, ctx: context.Background()}
	ada, bram, eve := w.member("local:ada", "ada"), w.member("local:bram", "bram"), w.member("local:eve", "eve")
	hall, yard := w.shop("local:hall", "The Hall", ada.ID), w.shop("local:yard", "The Yard", eve.ID)
	w.ada = shop.Viewer{Member: ada, Shop: hall}
	w.bram = shop.Viewer{Member: bram, Shop: hall}
	w.eve = shop.Viewer{Member: eve, Shop: yard}
	w.adaAway = shop.Viewer{Member: ada, Shop: yard}
	return w
}

// usual is a world under the default limits.
func usual(t testing.TB, open Open) *world {
	t.Helper()
	return newWorld(t, open, store.DefaultLimits())
}

func (w *world) member(key, name string) shop.Member {
	w.t.Helper()
	m, err := w.Member(w.ctx, key, name, at)
	if err != nil {
		w.t.Fatalf("member %s: %v", key, err)
	}
	return m
}

func (w *world) shop(key, name string, by shop.MemberID) shop.Shop {
	w.t.Helper()
	s, err := w.Shop(w.ctx, key, name, by, at)
	if err != nil {
		w.t.Fatalf("shop %s: %v", key, err)
	}
	return s
}

// add stores a material that must be taken.
func (w *world) add(v shop.Viewer, name string, shared bool) shop.Material {
	w.t.Helper()
	m, err := w.AddMaterial(w.ctx, by(v), profile(name), shared)
	if err != nil {
		w.t.Fatalf("add %s: %v", name, err)
	}
	return m
}

// names lists the materials in sight of a viewer, in order.
func (w *world) names(v shop.Viewer) []string {
	w.t.Helper()
	all, err := w.Materials(w.ctx, v)
	if err != nil {
		w.t.Fatalf("list: %v", err)
	}
	var names []string
	for _, m := range all {
		names = append(names, m.Name)
	}
	return names
}

// by is a viewer's stamp without an interaction, under one with.
func by(v shop.Viewer) shop.Stamp { return shop.Stamp{By: v, At: at} }

func under(v shop.Viewer, interaction string) shop.Stamp {
	return shop.Stamp{By: v, At: at, Interaction: interaction}
}

// profile is a plain material of that name.
func profile(name string) material.Profile {
	return material.Profile{
		Name: name, Family: material.Urethane,
		Ratio:    quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume},
		DensityA: 1.10, DensityB: 1.02, PotLife: 180,
	}
}

// mustRefuse fails unless err is a refusal with that code, in words.
func mustRefuse(t testing.TB, what string, err error, code fault.Code) {
	t.Helper()
	f := fault.As(err)
	switch {
	case f == nil:
		t.Errorf("%s: got error %v, want refusal %s", what, err, code)
	case f.Code != code:
		t.Errorf("%s: got %s (%v), want %s", what, f.Code, err, code)
	case f.Message == "" || f.HintText() == "":
		t.Errorf("%s: the refusal %v lacks a message or what to do instead", what, err)
	}
}
