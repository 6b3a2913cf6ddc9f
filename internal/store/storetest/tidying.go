package storetest

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// Everything of the suite is a year old when it is tidied.
var (
	aYearOn = at.Add(365 * 24 * time.Hour)
	cutoff  = aYearOn.Add(-30 * 24 * time.Hour)
)

// tidied lets everything go that it can, and wants the count that was foretold.
func (w *world) tidied(t testing.TB, most int) (total shop.Tidied) {
	t.Helper()
	foretold, err := w.WouldTidy(w.ctx, cutoff, aYearOn)
	if err != nil {
		t.Fatal(err)
	}
	for {
		n, err := w.TidyUp(w.ctx, cutoff, aYearOn, most)
		if err != nil {
			t.Fatal(err)
		}
		if n.All() == 0 {
			break
		}
		if most == 1 && n.Pours+n.Reduced > 1 {
			t.Errorf("one at a time, and %+v went", n)
		}
		total.Add(n)
	}
	if diff := cmp.Diff(foretold, total); diff != "" {
		t.Errorf("foretold and done (-foretold +done):\n%s", diff)
	}
	return total
}

// ended carries a pour through a whole story with words in all its places.
func (w *world) ended(t testing.TB, v shop.Viewer, name string, end shop.PourEnd) (shop.Pour, shop.Mold) {
	t.Helper()
	mold := w.pawn(t, v, "mold of "+name, 5)
	p := w.into(t, v, mold)
	w.post(t, v, p.ID, "message of "+name, time.Hour)
	w.due(t, v, p, "call of "+name)
	for _, err := range []error{
		second(w.AnswerPour(w.ctx, later(v, 10*time.Minute), p.ID, shop.Look{})),
		second(w.AnswerPour(w.ctx, later(v, 20*time.Minute), p.ID, shop.Look{Ready: true, Shared: true})),
		second(w.NotePour(w.ctx, later(v, 21*time.Minute), p.ID, "note of "+name, "")),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	if end.State == shop.PourDone {
		end.Pulls = []shop.PourPull{{Mold: mold.ID}}
	}
	end.Why = "reason of " + name
	p, err := w.EndPour(w.ctx, later(v, time.Hour), p.ID, end)
	if err != nil {
		t.Fatal(err)
	}
	return p, mold
}

// What is over goes, with all that was said at it; what it taught stays, and so
// do the counts of molds, so that nothing that is worked out from them changes.
func oldThingsGo(t *testing.T, open Open) {
	w := usual(t, open)
	taught, mold := w.ended(t, w.ada, "taught", shop.PourEnd{State: shop.PourDone, Good: 5, Spoiled: 1})
	failed, _ := w.ended(t, w.ada, "failed", shop.PourEnd{State: shop.PourFailed})
	canceled, _ := w.ended(t, w.bram, "canceled", shop.PourEnd{State: shop.PourCanceled})
	untaught := plan(w.add(w.bram, "quick", false))
	untaught.Foreseen.Physics = 0
	quick, err := w.StartPour(w.ctx, shop.Stamp{By: w.bram, At: at, Interaction: "8001"}, untaught)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.EndPour(w.ctx, later(w.bram, time.Hour), quick.ID, shop.PourEnd{State: shop.PourDone}); err != nil {
		t.Fatal(err)
	}
	once := w.remind(t, w.bram, "shown long ago", time.Minute)
	claims := w.claim(t, at.Add(2*time.Minute), 10)
	d, still, err := w.BeginDelivery(w.ctx, claims, "hall", at.Add(2*time.Minute), lease)
	if err != nil || len(still) != 1 {
		t.Fatal(len(still), err)
	}
	if err := w.EndDelivery(w.ctx, d, still, shop.DueSent, at.Add(2*time.Minute)); err != nil {
		t.Fatal(err)
	}
	line, err := w.SaveLine(w.ctx, by(w.ada), "/batch of an old button")
	if err != nil {
		t.Fatal(err)
	}
	before := w.logs(t, taught.MaterialID)
	molded, err := w.Mold(w.ctx, w.ada, mold.ID, 0)
	if err != nil {
		t.Fatal(err)
	}

	if n := w.tidied(t, 100); n.Reduced != 1 || n.Pours != 3 || n.Reminders != 4 || n.Messages != 3 {
		t.Errorf("went: %+v", n)
	}

	for _, p := range []shop.Pour{taught, failed, canceled, quick} {
		for _, v := range []shop.Viewer{w.ada, w.bram} {
			if _, err := w.Pour(w.ctx, v, p.ID); !fault.Is(err, fault.UnknownPour) {
				t.Errorf("pour %d is still there for %s: %v", p.ID, v.Member.Name, err)
			}
		}
	}
	if diff := cmp.Diff(before, w.logs(t, taught.MaterialID)); diff != "" || len(before) != 2 {
		t.Errorf("what was learned (-before +after):\n%s", diff)
	}
	if got, err := w.Mold(w.ctx, w.ada, mold.ID, 0); err != nil || cmp.Diff(molded, got) != "" {
		t.Errorf("the mold, %v (-before +after):\n%s", err, cmp.Diff(molded, got))
	}
	if _, err := w.Due(w.ctx, w.bram, once.ID); !fault.Is(err, fault.NotFound) {
		t.Errorf("the call that was shown: %v", err)
	}
	if _, ok, err := w.Line(w.ctx, w.ada, line); ok || err != nil {
		t.Errorf("the button's line: %v, %v", ok, err)
	}
	for _, v := range []shop.Viewer{w.ada, w.bram} {
		all, err := w.Export(w.ctx, v)
		if err != nil {
			t.Fatal(err)
		}
		for _, word := range []string{"note of", "reason of", "call of", "message of", "hall", "old button", "shown long ago", "a mold"} {
			if strings.Contains(string(all), word+" ") || strings.Contains(string(all), `"`+word+`"`) {
				t.Errorf("%q is still held of %s:\n%s", word, v.Member.Name, all)
			}
		}
	}
	if n := w.tidied(t, 100); n.All() != 0 {
		t.Errorf("a second time: %+v", n)
	}
	// The material takes what was learned along, as it always did.
	if err := w.Erase(w.ctx, by(w.ada)); err != nil {
		t.Fatal(err)
	}
	if got := w.logs(t, taught.MaterialID); len(got) != 0 {
		t.Errorf("left of an erased member: %+v", got)
	}
}

// logs is what ada and bram learn from a material together.
func (w *world) logs(t testing.TB, material int64) (all []shop.CureLog) {
	t.Helper()
	for _, v := range []shop.Viewer{w.ada, w.bram} {
		logs, err := w.CureLogs(w.ctx, v, material)
		if err != nil {
			t.Fatal(err)
		}
		if v.Member.ID == w.bram.Member.ID && len(logs) > 0 && len(all) == 0 {
			t.Error("bram learns what ada does not")
		}
		if v.Member.ID == w.ada.Member.ID {
			all = logs
		}
	}
	return all
}

// Whatever is under way stays as it is, however old.
func underWayStays(t *testing.T, open Open) {
	w := usual(t, open)
	m := w.add(w.ada, "white", true)
	running, ready := w.start(t, w.ada, m), w.start(t, w.ada, m)
	if _, err := w.AnswerPour(w.ctx, later(w.ada, 20*time.Minute), ready.ID, shop.Look{Ready: true}); err != nil {
		t.Fatal(err)
	}
	called := w.start(t, w.ada, m)
	if _, err := w.EndPour(w.ctx, later(w.ada, time.Hour), called.ID, shop.PourEnd{State: shop.PourDone}); err != nil {
		t.Fatal(err)
	}
	if _, err := w.FollowUp(w.ctx, later(w.ada, time.Hour), called.ID, shop.Due{At: aYearOn.Add(time.Hour), DuePlan: shop.DuePlan{About: "post cure", First: at, Zone: "UTC"}}); err != nil {
		t.Fatal(err)
	}
	fresh := w.start(t, w.ada, m)
	if _, err := w.EndPour(w.ctx, shop.Stamp{By: w.ada, At: cutoff.Add(time.Millisecond)}, fresh.ID, shop.PourEnd{State: shop.PourFailed}); err != nil {
		t.Fatal(err)
	}
	w.remind(t, w.ada, "to come", 0)
	missed := w.remind(t, w.bram, "missed", 0)
	claims := w.claim(t, at.Add(time.Minute), 10)
	for _, c := range claims {
		if c.ID != missed.ID {
			continue
		}
		d, still, err := w.BeginDelivery(w.ctx, []shop.Claim{c}, "", at.Add(time.Minute), lease)
		if err == nil {
			err = w.EndDelivery(w.ctx, d, still, shop.DueFailed, at.Add(time.Minute))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	mold := w.pawn(t, w.ada, "pawn", 5)
	if _, err := w.PullMold(w.ctx, by(w.ada), mold.ID, false, "a word at a pull"); err != nil {
		t.Fatal(err)
	}
	var pours []shop.Pour
	for _, p := range []shop.Pour{running, ready, called, fresh} {
		now, err := w.Pour(w.ctx, w.ada, p.ID)
		if err != nil {
			t.Fatal(err)
		}
		pours = append(pours, now)
	}
	if n := w.tidied(t, 100); n.Pours+n.Reduced+n.Reminders != 0 || n.Marks != 1 {
		t.Errorf("went: %+v", n)
	}
	for _, p := range pours {
		now, err := w.Pour(w.ctx, w.ada, p.ID)
		if diff := cmp.Diff(p, now); err != nil || diff != "" {
			t.Errorf("a pour that is %s, %v (-before +after):\n%s", p.State, err, diff)
		}
	}
	if got := w.abouts(t, w.ada); len(got) != 2 {
		t.Errorf("calls to come: %q", got)
	}
	if told, err := w.TellMissed(w.ctx, later(w.bram, time.Hour), 5); err != nil || len(told) != 1 {
		t.Errorf("missed and not told: %v, %v", told, err)
	}
	if n := w.tidied(t, 100); n.Reminders != 1 {
		t.Errorf("missed and told: %+v", n)
	}
	marks, err := w.MoldMarks(w.ctx, w.ada, mold.ID, 5)
	if err != nil || len(marks) != 1 || marks[0].What != shop.MarkSpoiled || marks[0].Why != "" {
		t.Errorf("the mark: %+v, %v", marks, err)
	}
	if got, err := w.Material(w.ctx, w.ada, m.ID, 0); err != nil || cmp.Diff(m, got) != "" {
		t.Errorf("the profile, %v (-before +after):\n%s", err, cmp.Diff(m, got))
	}
}

// In steps of one, between which the program may fall, it comes to the same.
func tidyingInSteps(t *testing.T, open Open) {
	var sums []shop.Tidied
	for _, most := range []int{1, 3, 100} {
		w := usual(t, open)
		for i := range 5 {
			state := []shop.PourState{shop.PourDone, shop.PourFailed}[i%2]
			w.ended(t, []shop.Viewer{w.ada, w.bram}[i%2], fmt.Sprint("pour ", i), shop.PourEnd{State: state})
			if _, err := w.SaveLine(w.ctx, by(w.ada), fmt.Sprint("/line ", i)); err != nil {
				t.Fatal(err)
			}
		}
		sums = append(sums, w.tidied(t, most))
		if left, err := w.Pours(w.ctx, w.ada, 10); err != nil || len(left) != 0 {
			t.Errorf("in steps of %d there are left %d, %v", most, len(left), err)
		}
	}
	for _, sum := range sums[1:] {
		if diff := cmp.Diff(sums[0], sum); diff != "" {
			t.Errorf("by the size of steps (-1 +more):\n%s", diff)
		}
	}
}
