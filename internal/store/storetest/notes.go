package storetest

import (
	"fmt"
	"regexp"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
)

func faqs(t *testing.T, open Open) {
	w := usual(t, open)
	set := func(v shop.Viewer, topic, answer string) {
		t.Helper()
		if err := w.SetFAQ(w.ctx, by(v), topic, answer); err != nil {
			t.Fatal(err)
		}
	}
	set(w.ada, "Vacuum  pump", "Behind the door. ")
	set(w.ada, "apron", "On the hook.")
	set(w.eve, "apron", "Bring your own.")
	set(w.ada, " vacuum pump ", "In the shed.")
	got, err := w.FAQs(w.ctx, w.bram)
	if err != nil {
		t.Fatal(err)
	}
	want := []shop.FAQ{{Topic: "apron", Answer: "On the hook.", By: "ada", At: at}, {Topic: "vacuum pump", Answer: "In the shed.", By: "ada", At: at}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("the hall's answers (-want +got):\n%s", diff)
	}
	set(w.ada, "APRON", "")
	if got, _ := w.FAQs(w.ctx, w.bram); len(got) != 1 {
		t.Errorf("after one was removed: %+v", got)
	}
	if got, _ := w.FAQs(w.ctx, w.eve); len(got) != 1 {
		t.Errorf("the yard's answers: %+v", got)
	}
	mustRefuse(t, "remove what is not there", w.SetFAQ(w.ctx, by(w.ada), "apron", " "), fault.NotFound)
}

func measures(t *testing.T, open Open) {
	few := store.DefaultLimits()
	few.Measures, few.ShopMeasures = 3, 4
	w := newWorld(t, open, few)
	step := 0
	save := func(v shop.Viewer, hash, json string) {
		t.Helper()
		step++
		s := shop.Stamp{By: v, At: at.Add(time.Duration(step) * time.Second), Interaction: "the same each time"}
		if err := w.SaveMeasure(w.ctx, s, hash, []byte(json)); err != nil {
			t.Fatal(err)
		}
	}
	want := func(v shop.Viewer, hash, json string) {
		t.Helper()
		got, ok, err := w.Measure(w.ctx, v, hash)
		if err != nil || ok != (json != "") || string(got) != json {
			t.Errorf("measure %s: got %q, %v, %v; want %q", hash, got, ok, err, json)
		}
	}
	save(w.ada, "h1", `{"unit":"mm"}`)
	want(w.bram, "h1", `{"unit":"mm"}`)
	want(w.eve, "h1", "")
	want(w.ada, "h2", "")
	save(w.ada, "h1", `{"unit":"in"}`)
	want(w.ada, "h1", `{"unit":"in"}`)

	save(w.ada, "h2", "2")
	save(w.ada, "h3", "3")
	save(w.ada, "h1", "1") // the newest again
	save(w.ada, "h4", "4") // ada's fourth: h2 gives way
	want(w.ada, "h2", "")
	want(w.ada, "h1", "1")
	save(w.bram, "h5", "5")
	save(w.bram, "h6", "6") // the shop's fifth: h3 gives way
	want(w.ada, "h3", "")
	want(w.ada, "h4", "4")

	// A clock that was set back does not make the newest the oldest.
	if err := w.SaveMeasure(w.ctx, shop.Stamp{By: w.ada, At: at.Add(-time.Hour)}, "early", []byte("7")); err != nil {
		t.Fatal(err)
	}
	want(w.ada, "early", "7")
}

func lines(t *testing.T, open Open) {
	few := store.DefaultLimits()
	few.Lines, few.ShopLines = 3, 4
	w := newWorld(t, open, few)
	step := 0
	save := func(v shop.Viewer, line string) string {
		t.Helper()
		step++
		id, err := w.SaveLine(w.ctx, shop.Stamp{By: v, At: at.Add(time.Duration(step) * time.Second), Interaction: "same"}, line)
		if err != nil {
			t.Fatal(err)
		}
		if !regexp.MustCompile(`^[A-Za-z0-9_-]{12}$`).MatchString(id) {
			t.Errorf("id %q is not 12 characters that fit a button", id)
		}
		return id
	}
	want := func(v shop.Viewer, id, line string) {
		t.Helper()
		got, ok, err := w.Line(w.ctx, v, id)
		if err != nil || ok != (line != "") || got != line {
			t.Errorf("line %s: got %q, %v, %v; want %q", id, got, ok, err, line)
		}
	}
	first := save(w.ada, `/batch material:"demo rigid white" volume:"250 ml"`)
	if again := save(w.ada, `/batch material:"demo rigid white" volume:"250 ml"`); again != first {
		t.Errorf("the same line has ids %s and %s", first, again)
	}
	if other := save(w.bram, `/batch material:"demo rigid white" volume:"250 ml"`); other == first {
		t.Error("another member's line has the same id")
	}
	want(w.bram, first, `/batch material:"demo rigid white" volume:"250 ml"`)
	want(w.eve, first, "")
	want(w.ada, "AAAAAAAAAAAA", "")
	want(w.ada, "", "")

	ids := map[string]bool{first: true}
	var last string
	for i := range 3 {
		last = save(w.ada, fmt.Sprint("/term word:", i))
		ids[last] = true
	}
	if len(ids) != 4 {
		t.Errorf("4 lines have %d ids", len(ids))
	}
	want(w.ada, first, "") // ada's fourth pushed it out

	// A day later the same line is renewed, and another one is the oldest.
	step += 25 * 60 * 60
	renewed := save(w.ada, "/term word:0")
	if !ids[renewed] {
		t.Errorf("a line has the new id %s a day later", renewed)
	}
	save(w.ada, "/term word:3")
	want(w.ada, renewed, "/term word:0")
	want(w.ada, last, "/term word:2")
}
