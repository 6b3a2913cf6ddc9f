package storetest

import (
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/shop"
)

const lease = 15 * time.Second

// claim takes on what is due of local members.
func (w *world) claim(t testing.TB, now time.Time, most int) []shop.Claim {
	t.Helper()
	claims, err := w.ClaimDues(w.ctx, "local", now, lease, most)
	if err != nil {
		t.Fatalf("claim: %v", err)
	}
	return claims
}

func claimed(claims []shop.Claim) (abouts []string) {
	for _, c := range claims {
		abouts = append(abouts, c.About)
	}
	return abouts
}

func claims(t *testing.T, open Open) {
	w := usual(t, open)
	if err := w.SetPrefs(w.ctx, by(w.bram), shop.Prefs{QuietHours: "22:00-07:00"}); err != nil {
		t.Fatal(err)
	}
	w.remind(t, w.bram, "second", 2*time.Minute)
	w.remind(t, w.ada, "first", time.Minute)
	w.remind(t, w.ada, "not yet", time.Hour)
	stranger := w.member("discord:80351110224678912", "nelly")
	w.remind(t, shop.Viewer{Member: stranger, Shop: w.ada.Shop}, "in another name space", time.Minute)

	if next, any, err := w.NextDue(w.ctx, "local"); err != nil || !any || !next.Equal(at.Add(time.Minute)) {
		t.Errorf("next: %v, %v, %v", next, any, err)
	}
	for space, want := range map[string]int{"local": 3, "discord": 1, "elsewhere": 0} {
		n, first, err := w.DueBacklog(w.ctx, space)
		if err != nil || n != want || first.IsZero() != (want == 0) || want > 0 && !first.Equal(at.Add(time.Minute)) {
			t.Errorf("backlog in %s: %d from %v, %v; want %d", space, n, first, err, want)
		}
	}
	if err := w.Standing(w.ctx); err != nil {
		t.Errorf("standing: %v", err)
	}
	if _, any, err := w.NextDue(w.ctx, "elsewhere"); err != nil || any {
		t.Errorf("next of nobody: %v, %v", any, err)
	}
	if got := w.claim(t, at, 10); len(got) != 0 {
		t.Errorf("early: %q", claimed(got))
	}
	got := w.claim(t, at.Add(5*time.Minute), 10)
	if !slices.Equal(claimed(got), []string{"first", "second"}) {
		t.Fatalf("in order: %q", claimed(got))
	}
	if c := got[1]; c.Member.Key != "local:bram" || c.Member.Name != "bram" || c.Member.Pref.QuietHours != "22:00-07:00" ||
		c.Shop.Key != "local:hall" || c.Shop.Set.Zone != "UTC" || c.Pending != nil || c.State != shop.DueClaimed {
		t.Errorf("claimed %+v", c)
	}
	if again := w.claim(t, at.Add(5*time.Minute), 10); len(again) != 0 {
		t.Errorf("claimed twice: %q", claimed(again))
	}
	if next, _, err := w.NextDue(w.ctx, "local"); err != nil || !next.Equal(at.Add(5*time.Minute+lease)) {
		t.Errorf("next is the end of the lease: %v, %v", next, err)
	}
	// A batch is bounded, but all of a member's come together.
	for i := range 4 {
		w.remind(t, w.ada, fmt.Sprint("ada ", i), 10*time.Minute)
		w.remind(t, w.bram, fmt.Sprint("bram ", i), 11*time.Minute)
	}
	if got := w.claim(t, at.Add(5*time.Minute).Add(lease).Add(-1), 10); len(got) != 0 {
		t.Errorf("before the lease is over: %q", claimed(got))
	}
	first := at.Add(5 * time.Minute)
	for _, c := range got {
		if err := w.PutOff(w.ctx, []shop.Claim{c}, first.Add(time.Hour)); err != nil {
			t.Fatal(err)
		}
	}
	if got := claimed(w.claim(t, at.Add(12*time.Minute), 1)); !slices.Equal(got, []string{"ada 0", "ada 1", "ada 2", "ada 3"}) {
		t.Errorf("a batch of one member: %q", got)
	}
}

// However many ask at once, a row has one holder.
func claimRace(t *testing.T, open Open) {
	w := usual(t, open)
	const rows = 40
	for i := range rows {
		v := w.ada
		if i%2 == 0 {
			v = w.bram
		}
		w.remind(t, v, fmt.Sprint(i), time.Duration(i)*time.Second)
	}
	var mu sync.Mutex
	holders := map[int64]int{}
	for _, err := range atOnce(func(i int) error {
		for round := range 3 {
			claims, err := w.ClaimDues(w.ctx, "local", at.Add(time.Duration(20*(round+1))*time.Second), time.Hour, 5)
			if err != nil {
				return err
			}
			mu.Lock()
			for _, c := range claims {
				holders[c.ID]++
			}
			mu.Unlock()
		}
		return nil
	}) {
		if err != nil {
			t.Error(err)
		}
	}
	if len(holders) != rows {
		t.Errorf("%d of %d rows were claimed", len(holders), rows)
	}
	for id, n := range holders {
		if n != 1 {
			t.Errorf("row %d has %d holders", id, n)
		}
	}
}

func leases(t *testing.T, open Open) {
	w := usual(t, open)
	w.remind(t, w.ada, "wipe", 0)
	old := w.claim(t, at, 10)
	if len(old) != 1 {
		t.Fatalf("claimed %q", claimed(old))
	}
	fresh := w.claim(t, at.Add(lease), 10)
	if len(fresh) != 1 || fresh[0].Token == old[0].Token {
		t.Fatalf("after the lease: %+v", fresh)
	}
	if _, still, err := w.BeginDelivery(w.ctx, old, "", at.Add(lease), lease); err != nil || len(still) != 0 {
		t.Errorf("the old holder begins: %+v, %v", still, err)
	}
	if err := w.EndDelivery(w.ctx, shop.Delivery{}, old, shop.DueSent, at.Add(lease)); err != nil {
		t.Error(err)
	}
	if d, err := w.Due(w.ctx, w.ada, fresh[0].ID); err != nil || d.State != shop.DueClaimed {
		t.Errorf("the old holder ended it: %+v, %v", d, err)
	}
	// The clock is set back by a day: the claim does not last a day longer.
	yesterday := at.AddDate(0, 0, -1)
	if back := w.claim(t, yesterday, 10); len(back) != 1 {
		t.Errorf("a day back: %q", claimed(back))
	}
	if back := w.claim(t, yesterday.Add(-lease), 10); len(back) != 0 {
		t.Errorf("a little back: %q", claimed(back))
	}
}

// deliveries: the record stands before the message goes, and whoever takes the
// call on after a fall finds it.
func deliveries(t *testing.T, open Open) {
	w := usual(t, open)
	w.remind(t, w.ada, "one", 0)
	w.remind(t, w.ada, "two", time.Second)
	now := at.Add(time.Minute)
	d, still, err := w.BeginDelivery(w.ctx, w.claim(t, now, 10), "42", now, lease)
	if err != nil || len(still) != 2 || d.ID == 0 || d.Key == "" || len(d.Key) > 25 || d.Place != "42" {
		t.Fatalf("begun: %+v of %d, %v", d, len(still), err)
	}
	now = now.Add(lease)
	again := w.claim(t, now, 10)
	if len(again) != 2 {
		t.Fatalf("after a fall: %q", claimed(again))
	}
	for _, c := range again {
		if c.Pending == nil || *c.Pending != d {
			t.Errorf("%s finds %+v, want %+v", c.About, c.Pending, d)
		}
	}
	other, _, err := w.BeginDelivery(w.ctx, again[:1], "", now, lease)
	if err != nil || other.Key == d.Key {
		t.Errorf("another place: %+v, %v", other, err)
	}
	if err := w.EndDelivery(w.ctx, other, again[:1], shop.DueSent, now); err != nil {
		t.Fatal(err)
	}
	if err := w.EndDelivery(w.ctx, d, again[1:], shop.DueFailed, now); err != nil {
		t.Fatal(err)
	}
	if sent, err := w.Due(w.ctx, w.ada, again[0].ID); err != nil || sent.State != shop.DueSent || sent.Count != 1 || !sent.Missed.IsZero() {
		t.Errorf("sent: %+v, %v", sent, err)
	}
	failed, err := w.Due(w.ctx, w.ada, again[1].ID)
	if err != nil || failed.State != shop.DueFailed || failed.Count != 0 || !failed.Missed.Equal(failed.At) {
		t.Errorf("failed: %+v, %v", failed, err)
	}
	if got := w.abouts(t, w.ada); !slices.Equal(got, []string{"two"}) {
		t.Errorf("kept in the list: %q", got)
	}
	if _, any, err := w.NextDue(w.ctx, "local"); err != nil || any {
		t.Errorf("something is left: %v, %v", any, err)
	}
	if done, err := w.DoneDue(w.ctx, by(w.ada), failed.ID); err != nil || done.State != shop.DueSent || len(w.abouts(t, w.ada)) != 0 {
		t.Errorf("taken note of: %+v, %v", done, err)
	}
	if back, err := w.SnoozeDue(w.ctx, by(w.ada), again[0].ID, now.Add(time.Minute)); err != nil || back.State != shop.DuePending || back.Count != 1 {
		t.Errorf("snoozed after it was shown: %+v, %v", back, err)
	}
	if done, err := w.DoneDue(w.ctx, by(w.ada), again[0].ID); err != nil || done.State != shop.DueSent {
		t.Errorf("done after the snooze: %+v, %v", done, err)
	}
}

// A change by the owner takes the claim away, at whatever moment.
func claimsLost(t *testing.T, open Open) {
	for name, change := range map[string]func(*world, int64) error{
		"canceled": func(w *world, id int64) error { return second(w.CancelDue(w.ctx, by(w.ada), id)) },
		"snoozed":  func(w *world, id int64) error { return second(w.SnoozeDue(w.ctx, by(w.ada), id, at.Add(time.Hour))) },
		"done":     func(w *world, id int64) error { return second(w.DoneDue(w.ctx, by(w.ada), id)) },
		"erased":   func(w *world, _ int64) error { return w.Erase(w.ctx, by(w.ada)) },
	} {
		t.Run(name+" before it begins", func(t *testing.T) {
			w := usual(t, open)
			id := w.remind(t, w.ada, "wipe", 0).ID
			held := w.claim(t, at, 10)
			if err := change(w, id); err != nil {
				t.Fatal(err)
			}
			if _, still, err := w.BeginDelivery(w.ctx, held, "", at, lease); err != nil || len(still) != 0 {
				t.Errorf("begun with %d, %v", len(still), err)
			}
		})
		t.Run(name+" while it is sent", func(t *testing.T) {
			w := usual(t, open)
			id := w.remind(t, w.ada, "wipe", 0).ID
			d, held, err := w.BeginDelivery(w.ctx, w.claim(t, at, 10), "", at, lease)
			if err != nil {
				t.Fatal(err)
			}
			if err := change(w, id); err != nil {
				t.Fatal(err)
			}
			before, _ := w.Due(w.ctx, w.ada, id)
			if err := w.EndDelivery(w.ctx, d, held, shop.DueSent, at); err != nil {
				t.Fatal(err)
			}
			if err := w.PutOff(w.ctx, held, at); err != nil {
				t.Fatal(err)
			}
			if after, _ := w.Due(w.ctx, w.ada, id); after != before {
				t.Errorf("it was %+v and is %+v", before, after)
			}
		})
	}
}

// A series goes on from its first time, whatever was late or put off.
func series(t *testing.T, open Open) {
	w := usual(t, open)
	d, err := w.AddDue(w.ctx, by(w.ada), shop.Due{At: at, DuePlan: shop.DuePlan{
		About: "wipe", First: at, Every: shop.Every{Span: material.Span{Days: 1}}, Zone: "UTC"}})
	if err != nil {
		t.Fatal(err)
	}
	end := func(now time.Time, as shop.DueState) shop.Due {
		t.Helper()
		begun, held, err := w.BeginDelivery(w.ctx, w.claim(t, now, 10), "", now, lease)
		if err != nil || len(held) != 1 {
			t.Fatalf("begun with %d, %v", len(held), err)
		}
		if err := w.EndDelivery(w.ctx, begun, held, as, now); err != nil {
			t.Fatal(err)
		}
		got, err := w.Due(w.ctx, w.ada, d.ID)
		if err != nil || got.State != shop.DuePending {
			t.Fatalf("it is %+v, %v", got, err)
		}
		return got
	}
	if got := end(at.Add(3*24*time.Hour+time.Hour), shop.DueSent); !got.At.Equal(at.AddDate(0, 0, 4)) || got.Count != 1 {
		t.Errorf("three days late: %+v", got)
	}
	if got := end(at.AddDate(0, 0, 4), shop.DueFailed); !got.At.Equal(at.AddDate(0, 0, 5)) || !got.Missed.Equal(at.AddDate(0, 0, 4)) || got.Count != 1 {
		t.Errorf("missed: %+v", got)
	}
	soon := at.AddDate(0, 0, 4).Add(time.Hour)
	if _, err := w.SnoozeDue(w.ctx, by(w.ada), d.ID, soon); err != nil {
		t.Fatal(err)
	}
	if got, err := w.DoneDue(w.ctx, later(w.ada, 4*24*time.Hour+time.Minute), d.ID); err != nil || !got.At.Equal(at.AddDate(0, 0, 5)) {
		t.Errorf("done with a snoozed one: %+v, %v", got, err)
	}
}
