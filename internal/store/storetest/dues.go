package storetest

import (
	"encoding/json"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
)

// remind adds a due that must be taken.
func (w *world) remind(t testing.TB, v shop.Viewer, about string, in time.Duration) shop.Due {
	t.Helper()
	d, err := w.AddDue(w.ctx, by(v), shop.Due{At: at.Add(in), DuePlan: shop.DuePlan{About: about, First: at.Add(in), Zone: "UTC"}})
	if err != nil {
		t.Fatalf("add due %s: %v", about, err)
	}
	return d
}

// abouts lists the dues of a viewer, in order.
func (w *world) abouts(t testing.TB, v shop.Viewer) (abouts []string) {
	t.Helper()
	all, err := w.Dues(w.ctx, v, 100)
	if err != nil {
		t.Fatalf("list dues: %v", err)
	}
	for _, d := range all {
		abouts = append(abouts, d.About)
	}
	return abouts
}

func dues(t *testing.T, open Open) {
	w := usual(t, open)
	want := shop.Due{At: at.Add(time.Hour), DuePlan: shop.DuePlan{
		About: "wipe the mold", First: at.Add(time.Hour), Every: shop.Every{Span: material.Span{Months: 1}}, Zone: "Europe/London", Place: "42"}}
	got, err := w.AddDue(w.ctx, by(w.bram), want)
	if err != nil {
		t.Fatal(err)
	}
	want.Record = shop.Record{ID: got.ID, Owner: w.bram.Member.ID, OwnerOf: "bram", Shop: w.bram.Shop.ID, Version: 1, Created: at, Edited: at}
	want.State = shop.DuePending
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("added (-want +got):\n%s", diff)
	}
	again, err := w.Due(w.ctx, w.bram, got.ID)
	if diff := cmp.Diff(want, again); diff != "" || err != nil {
		t.Errorf("read back, %v (-want +got):\n%s", err, diff)
	}
	w.remind(t, w.bram, "sooner", time.Minute)
	if got := w.abouts(t, w.bram); !slices.Equal(got, []string{"sooner", "wipe the mold"}) {
		t.Errorf("list: %q", got)
	}
	select {
	case <-w.Bell():
	default:
		t.Error("the bell did not ring")
	}
}

func dueSight(t *testing.T, open Open) {
	w := usual(t, open)
	d := w.remind(t, w.bram, "bram's own", time.Hour)
	for who, v := range map[string]shop.Viewer{"another member": w.ada, "another shop": w.eve, "nobody": {Shop: w.ada.Shop}} {
		_, err := w.Due(w.ctx, v, d.ID)
		mustRefuse(t, who+" looks", err, fault.NotFound)
		_, err = w.SnoozeDue(w.ctx, by(v), d.ID, at)
		mustRefuse(t, who+" snoozes", err, fault.NotFound)
		_, err = w.CancelDue(w.ctx, by(v), d.ID)
		mustRefuse(t, who+" cancels", err, fault.NotFound)
		_, err = w.DoneDue(w.ctx, by(v), d.ID)
		mustRefuse(t, who+" is done", err, fault.NotFound)
		if got := w.abouts(t, v); len(got) != 0 {
			t.Errorf("%s lists %q", who, got)
		}
	}
	away := shop.Viewer{Member: w.bram.Member, Shop: w.eve.Shop}
	if _, err := w.Due(w.ctx, away, d.ID); err != nil {
		t.Errorf("the owner elsewhere: %v", err)
	}
}

func dueChanges(t *testing.T, open Open) {
	w := usual(t, open)
	d := w.remind(t, w.ada, "wipe", time.Hour)
	put, err := w.SnoozeDue(w.ctx, by(w.ada), d.ID, at.Add(2*time.Hour))
	if err != nil || !put.At.Equal(at.Add(2*time.Hour)) || put.State != shop.DuePending {
		t.Errorf("snoozed: %+v, %v", put, err)
	}
	if gone, err := w.CancelDue(w.ctx, by(w.ada), d.ID); err != nil || gone.State != shop.DueCanceled {
		t.Errorf("canceled: %+v, %v", gone, err)
	}
	_, err = w.CancelDue(w.ctx, by(w.ada), d.ID)
	mustRefuse(t, "canceled twice", err, fault.NotAllowed)
	_, err = w.SnoozeDue(w.ctx, by(w.ada), d.ID, at.Add(3*time.Hour))
	mustRefuse(t, "a canceled one put off", err, fault.NotAllowed)
	if done, err := w.DoneDue(w.ctx, by(w.ada), w.remind(t, w.ada, "early", time.Hour).ID); err != nil || done.State != shop.DueCanceled {
		t.Errorf("done before it was due: %+v, %v", done, err)
	}
	if got := w.abouts(t, w.ada); len(got) != 0 {
		t.Errorf("left over: %q", got)
	}
}

// The calls of a pour end with it, and come again when its end is taken back;
// what its owner canceled stays so.
func duesOfPours(t *testing.T, open Open) {
	w := usual(t, open)
	p := w.start(t, w.ada, w.add(w.ada, "white", true))
	add := func(about string) shop.Due {
		d, err := w.AddDue(w.ctx, by(w.ada), shop.Due{At: at.Add(3 * time.Hour), Pour: p.ID, DuePlan: shop.DuePlan{About: about, First: at, Zone: "UTC"}})
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	add("demold")
	if _, err := w.CancelDue(w.ctx, later(w.ada, time.Minute), add("not wanted").ID); err != nil {
		t.Fatal(err)
	}
	if _, err := w.AnswerPour(w.ctx, later(w.ada, time.Hour), p.ID, shop.Look{Ready: true}); err != nil {
		t.Fatal(err)
	}
	if got := w.abouts(t, w.ada); len(got) != 0 {
		t.Errorf("a ready pour still calls: %q", got)
	}
	if _, _, err := w.TakeBack(w.ctx, later(w.ada, time.Hour+time.Minute), p.ID); err != nil {
		t.Fatal(err)
	}
	if got := w.abouts(t, w.ada); !slices.Equal(got, []string{"demold"}) {
		t.Errorf("after it was taken back: %q", got)
	}
	if _, err := w.EndPour(w.ctx, later(w.ada, 2*time.Hour), p.ID, shop.PourEnd{State: shop.PourCanceled}); err != nil {
		t.Fatal(err)
	}
	if got := w.abouts(t, w.ada); len(got) != 0 {
		t.Errorf("a canceled pour still calls: %q", got)
	}
	_, err := w.AddDue(w.ctx, by(w.bram), shop.Due{At: at, Pour: p.ID, DuePlan: shop.DuePlan{About: "ada's pour"}})
	mustRefuse(t, "for a pour out of sight", err, fault.UnknownPour)
}

func dueLimits(t *testing.T, open Open) {
	few := store.DefaultLimits()
	few.Dues, few.PastDues = 2, 1
	w := newWorld(t, open, few)
	first, second := w.remind(t, w.ada, "first", time.Hour), w.remind(t, w.ada, "second", time.Hour)
	_, err := w.AddDue(w.ctx, by(w.ada), shop.Due{At: at, DuePlan: shop.DuePlan{About: "third"}})
	mustRefuse(t, "a third", err, fault.LimitReached)
	w.remind(t, w.bram, "bram's", time.Hour)
	for _, d := range []shop.Due{first, second} {
		if _, err := w.CancelDue(w.ctx, by(w.ada), d.ID); err != nil {
			t.Fatal(err)
		}
	}
	w.remind(t, w.ada, "third", time.Hour)
	_, err = w.Due(w.ctx, w.ada, first.ID)
	mustRefuse(t, "the oldest past one", err, fault.NotFound)
	if _, err := w.Due(w.ctx, w.ada, second.ID); err != nil {
		t.Errorf("the newest past one: %v", err)
	}
	long := make([]rune, 201)
	_, err = w.AddDue(w.ctx, by(w.ada), shop.Due{At: at, DuePlan: shop.DuePlan{About: string(long)}})
	mustRefuse(t, "a long story", err, fault.OutOfRange)
}

// Reminders are among what a member takes away, and go with the member.
func duesOwned(t *testing.T, open Open) {
	w := usual(t, open)
	w.remind(t, w.ada, "ada's", time.Hour)
	w.remind(t, w.bram, "bram's", 2*time.Hour)
	held := w.claim(t, at.Add(time.Hour), 10)
	if _, _, err := w.BeginDelivery(w.ctx, held, "42", at.Add(time.Hour), lease); err != nil {
		t.Fatal(err)
	}
	text, err := w.Export(w.ctx, w.ada)
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Dues []struct {
			At    time.Time
			State string
			Plan  shop.DuePlan
		}
	}
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	if len(got.Dues) != 1 || got.Dues[0].Plan.About != "ada's" || got.Dues[0].State != "claimed" || !got.Dues[0].At.Equal(at.Add(time.Hour)) {
		t.Errorf("ada's export holds %+v", got.Dues)
	}
	if err := w.Erase(w.ctx, by(w.ada)); err != nil {
		t.Fatal(err)
	}
	if got := w.abouts(t, w.ada); len(got) != 0 {
		t.Errorf("left over: %q", got)
	}
	if next, any, err := w.NextDue(w.ctx, "local"); err != nil || !any || !next.Equal(at.Add(2*time.Hour)) {
		t.Errorf("next: %v, %v, %v; want bram's", next, any, err)
	}
}
