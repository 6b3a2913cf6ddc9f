package storetest

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
)

// plan is a pour of a material, with something in every field.
func plan(m shop.Material) shop.Pour {
	resin, mold := 0.0, 35.5
	return shop.Pour{MaterialID: m.ID, MaterialVersion: m.Version, PourPlan: shop.PourPlan{
		Material: m.Name, Mold: "a mold", Thickest: 14, Thinnest: 5, Volume: 37.2, Mass: 39.4, Count: 6,
		Room: 21, Resin: &resin, MoldTemp: &mold,
		Foreseen: shop.Foreseen{PotLife: quantity.Range{Low: 150, Mid: 180, High: 210}, Gel: quantity.Range{Low: 200, Mid: 260, High: 400},
			Demold: quantity.Range{Low: 600, Mid: 900, High: 1500}, Cool: quantity.Range{Low: 500, Mid: 800, High: 1200},
			Peak: quantity.Range{Low: 70, Mid: 80.5, High: 95}, Physics: 900, Remind: 1500},
	}}
}

func (w *world) start(t testing.TB, v shop.Viewer, m shop.Material) shop.Pour {
	t.Helper()
	p, err := w.StartPour(w.ctx, by(v), plan(m))
	if err != nil {
		t.Fatalf("start a pour: %v", err)
	}
	return p
}

// later is a stamp some time after the pours of start began.
func later(v shop.Viewer, d time.Duration) shop.Stamp { return shop.Stamp{By: v, At: at.Add(d)} }

func pourings(t *testing.T, open Open) {
	w := usual(t, open)
	m := w.add(w.ada, "white", true)
	mold, err := w.AddMold(w.ctx, by(w.ada), shop.MoldProfile{Name: "pawn", Cavities: 6}, true)
	if err != nil {
		t.Fatal(err)
	}
	want := plan(m)
	want.MoldID = mold.ID
	got, err := w.StartPour(w.ctx, by(w.bram), want)
	if err != nil {
		t.Fatal(err)
	}
	want.Record = shop.Record{ID: got.ID, Owner: w.bram.Member.ID, OwnerOf: "bram", Shop: w.bram.Shop.ID, Version: 1, Created: at, Edited: at}
	want.Started, want.State = at, shop.PourRunning
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("started (-want +got):\n%s", diff)
	}
	again, err := w.Pour(w.ctx, w.bram, got.ID)
	if diff := cmp.Diff(want, again); diff != "" || err != nil {
		t.Errorf("read back, %v (-want +got):\n%s", err, diff)
	}
	second := w.start(t, w.bram, m)
	list, err := w.Pours(w.ctx, w.bram, 10)
	if err != nil || len(list) != 2 || list[0].ID != second.ID {
		t.Errorf("list: %+v, %v", list, err)
	}
	if list, err := w.Pours(w.ctx, w.bram, 1); err != nil || len(list) != 1 {
		t.Errorf("list of one: %+v, %v", list, err)
	}

	hidden := w.add(w.ada, "hidden", false)
	for what, c := range map[string]struct {
		v  shop.Viewer
		of func(*shop.Pour)
	}{
		"a hidden material":          {w.bram, func(p *shop.Pour) { p.MaterialID = hidden.ID }},
		"a version that is not":      {w.bram, func(p *shop.Pour) { p.MaterialVersion = 7 }},
		"no mold of that number":     {w.bram, func(p *shop.Pour) { p.MoldID = 99 }},
		"a material of another hall": {w.eve, func(*shop.Pour) {}},
	} {
		p := plan(m)
		c.of(&p)
		_, err := w.StartPour(w.ctx, by(c.v), p)
		mustRefuse(t, what, err, fault.NotFound)
	}
}

// Pours are their owner's, wherever the owner asks; nobody else sees or
// changes them, be the material shared or not.
func pourSight(t *testing.T, open Open) {
	w := usual(t, open)
	p := w.start(t, w.bram, w.add(w.ada, "white", true))
	for who, v := range map[string]shop.Viewer{"the material's owner": w.ada, "another shop": w.eve, "nobody": {Shop: w.ada.Shop}} {
		_, err := w.Pour(w.ctx, v, p.ID)
		mustRefuse(t, who+" looks", err, fault.UnknownPour)
		_, err = w.AnswerPour(w.ctx, later(v, time.Hour), p.ID, shop.Look{Ready: true, Shared: true})
		mustRefuse(t, who+" answers", err, fault.UnknownPour)
		_, err = w.EndPour(w.ctx, later(v, time.Hour), p.ID, shop.PourEnd{State: shop.PourCanceled})
		mustRefuse(t, who+" cancels", err, fault.UnknownPour)
		_, _, err = w.TakeBack(w.ctx, later(v, time.Hour), p.ID)
		mustRefuse(t, who+" takes back", err, fault.NotFound)
		if list, err := w.Pours(w.ctx, v, 10); err != nil || len(list) != 0 {
			t.Errorf("%s lists %+v, %v", who, list, err)
		}
	}
	away := shop.Viewer{Member: w.bram.Member, Shop: w.eve.Shop}
	if _, err := w.Pour(w.ctx, away, p.ID); err != nil {
		t.Errorf("the owner elsewhere: %v", err)
	}
}

func pourAnswers(t *testing.T, open Open) {
	w := usual(t, open)
	m := w.add(w.ada, "white", true)
	p := w.start(t, w.bram, m)
	say := func(after time.Duration, ready, shared bool) (shop.Pour, error) {
		return w.AnswerPour(w.ctx, later(w.bram, after), p.ID, shop.Look{Ready: ready, Shared: shared})
	}
	_, err := say(0, true, false)
	mustRefuse(t, "at once", err, fault.BadTime)
	_, err = say(-time.Hour, true, false)
	mustRefuse(t, "before", err, fault.BadTime)
	if _, err := say(10*time.Minute, false, false); err != nil {
		t.Fatal(err)
	}
	got, err := say(20*time.Minute, true, false)
	if err != nil || got.State != shop.PourReady || !got.Ended.Equal(at.Add(20*time.Minute)) {
		t.Fatalf("ready: %+v, %v", got, err)
	}
	want := []shop.Answer{{SoftAt: 600, At: at.Add(10 * time.Minute)}, {ReadyBy: 1200, At: at.Add(20 * time.Minute)}}
	if diff := cmp.Diff(want, got.Answers); diff != "" {
		t.Errorf("answers (-want +got):\n%s", diff)
	}
	_, err = say(21*time.Minute, true, false)
	mustRefuse(t, "ready again", err, fault.NotAllowed)
	_, err = say(21*time.Minute, false, true)
	mustRefuse(t, "soft after ready", err, fault.NotAllowed)

	// Back within ten minutes, the last one first; the pour then runs again.
	back, event, err := w.TakeBack(w.ctx, later(w.bram, 30*time.Minute), 0)
	if err != nil || event.What != shop.EventReady || back.State != shop.PourRunning || !back.Ended.IsZero() || len(back.Answers) != 1 {
		t.Errorf("taken back: %+v of %+v, %v", event, back, err)
	}
	_, _, err = w.TakeBack(w.ctx, later(w.bram, 30*time.Minute), 0)
	mustRefuse(t, "the one of 20 minutes ago", err, fault.NotFound)
	if back, event, err = w.TakeBack(w.ctx, later(w.bram, 20*time.Minute), p.ID); err != nil || event.What != shop.EventSoft || len(back.Answers) != 0 {
		t.Errorf("ten minutes to the second: %+v of %+v, %v", event, back, err)
	}

	if _, err := say(time.Hour, true, false); err != nil {
		t.Fatal(err)
	}
	gone, err := w.EndPour(w.ctx, later(w.bram, 2*time.Hour), p.ID, shop.PourEnd{State: shop.PourCanceled})
	if err != nil || gone.State != shop.PourCanceled || len(gone.Answers) != 0 {
		t.Errorf("canceled: %+v, %v", gone, err)
	}
	_, err = say(3*time.Hour, true, false)
	mustRefuse(t, "a canceled one", err, fault.NotAllowed)
	_, err = w.EndPour(w.ctx, later(w.bram, 3*time.Hour), p.ID, shop.PourEnd{State: shop.PourCanceled})
	mustRefuse(t, "canceled twice", err, fault.NotAllowed)
	if logs, err := w.CureLogs(w.ctx, w.bram, m.ID); err != nil || len(logs) != 0 {
		t.Errorf("a canceled pour teaches %+v, %v", logs, err)
	}
}

// What teaches: one's own answers everywhere, others' in their shop once they
// are shared, nothing that was taken back.
func cureLogs(t *testing.T, open Open) {
	w := usual(t, open)
	m, other := w.add(w.ada, "white", true), w.add(w.ada, "black", true)
	of := func(v shop.Viewer, material int64) []shop.CureLog {
		t.Helper()
		logs, err := w.CureLogs(w.ctx, v, material)
		if err != nil {
			t.Fatal(err)
		}
		return logs
	}
	p := w.start(t, w.bram, m)
	if _, err := w.AnswerPour(w.ctx, later(w.bram, time.Minute), p.ID, shop.Look{}); err != nil {
		t.Fatal(err)
	}
	if _, err := w.AnswerPour(w.ctx, later(w.bram, time.Hour), p.ID, shop.Look{Ready: true}); err != nil {
		t.Fatal(err)
	}
	want := []shop.CureLog{
		{Pour: p.ID, Owner: w.bram.Member.ID, MaterialVersion: 1, Physics: 900, SoftAt: 60},
		{Pour: p.ID, Owner: w.bram.Member.ID, MaterialVersion: 1, Physics: 900, ReadyBy: 3600},
	}
	if diff := cmp.Diff(want, of(w.bram, m.ID)); diff != "" {
		t.Errorf("bram's (-want +got):\n%s", diff)
	}
	if n := len(of(w.ada, m.ID)) + len(of(w.bram, other.ID)); n != 0 {
		t.Errorf("%d answers teach where they should not", n)
	}
	shared, err := w.AnswerPour(w.ctx, later(w.bram, 2*time.Hour), p.ID, shop.Look{Ready: true, Shared: true})
	if err != nil || len(shared.Answers) != 2 || !shared.Answers[0].Shared || shared.Shared {
		t.Fatalf("shared: %+v, %v", shared, err)
	}
	if diff := cmp.Diff(want, of(w.ada, m.ID)); diff != "" {
		t.Errorf("ada learns (-want +got):\n%s", diff)
	}
	if n := len(of(w.eve, m.ID)) + len(of(w.adaAway, m.ID)); n != 0 {
		t.Errorf("%d answers teach in another shop", n)
	}
	if _, _, err := w.TakeBack(w.ctx, later(w.bram, time.Hour), p.ID); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want[:1], of(w.ada, m.ID)); diff != "" {
		t.Errorf("ada after one was taken back (-want +got):\n%s", diff)
	}
}

func pourLimits(t *testing.T, open Open) {
	few := store.DefaultLimits()
	few.Pours, few.PastPours, few.Answers = 2, 1, 2
	w := newWorld(t, open, few)
	m := w.add(w.ada, "white", true)
	first, second := w.start(t, w.ada, m), w.start(t, w.ada, m)
	_, err := w.StartPour(w.ctx, by(w.ada), plan(m))
	mustRefuse(t, "a third", err, fault.LimitReached)
	w.start(t, w.bram, m)
	for i := range 2 {
		if _, err := w.AnswerPour(w.ctx, later(w.ada, time.Duration(i+1)*time.Minute), first.ID, shop.Look{}); err != nil {
			t.Fatal(err)
		}
	}
	_, err = w.AnswerPour(w.ctx, later(w.ada, time.Hour), first.ID, shop.Look{Ready: true})
	mustRefuse(t, "a third answer", err, fault.LimitReached)
	for _, p := range []shop.Pour{first, second} {
		if _, err := w.EndPour(w.ctx, later(w.ada, time.Hour), p.ID, shop.PourEnd{State: shop.PourCanceled}); err != nil {
			t.Fatal(err)
		}
	}
	w.start(t, w.ada, m)
	_, err = w.Pour(w.ctx, w.ada, first.ID)
	mustRefuse(t, "the oldest ended one", err, fault.UnknownPour)
	if _, err := w.Pour(w.ctx, w.ada, second.ID); err != nil {
		t.Errorf("the newest ended one: %v", err)
	}
}

// A pour outlives the material and the mold of another member.
func pourOutlives(t *testing.T, open Open) {
	w := usual(t, open)
	p := w.start(t, w.bram, w.add(w.ada, "white", true))
	if err := w.Erase(w.ctx, by(w.ada)); err != nil {
		t.Fatal(err)
	}
	got, err := w.Pour(w.ctx, w.bram, p.ID)
	if err != nil || got.MaterialID != 0 || got.Material != "white" || got.Foreseen.Physics != 900 {
		t.Errorf("got %+v, %v", got, err)
	}
	if _, err := w.AnswerPour(w.ctx, later(w.bram, time.Hour), p.ID, shop.Look{Ready: true}); err != nil {
		t.Errorf("answered: %v", err)
	}
}
