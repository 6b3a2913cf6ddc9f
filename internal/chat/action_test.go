package chat_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

func TestButtonsOfAReply(t *testing.T) {
	b := newBench(t, chat.Rate{})
	cut := strings.Repeat("w", 39) + "…"
	for _, c := range []struct{ line, want string }{
		{"/mix material:white mass:100g", "Show working|Cautions in full|Post here|" + cut},
		{"/mix material:white mass:100g show:yes", "Show working|Cautions in full|" + cut},
		{"/word word:pull", ""},
		{"/word word:pull show:no", "Post here"},
		// What changed something is not run again to show more of it.
		{"/thing add name:arch", cut},
	} {
		if got := labels(b.answered(t, line(ada(), c.line)).Reply.Actions); got != c.want {
			t.Errorf("%s: buttons %s, want %s", c.line, got, c.want)
		}
	}
}

func TestPresses(t *testing.T) {
	b := newBench(t, chat.Rate{})
	ans := b.answered(t, line(ada(), `/mix material:white volume:"250 ml" show:no`))

	w := b.answered(t, pressed(ada(), action(t, ans, "Show working").ID))
	if w.Reply.Title != "Working: Read mix" || len(w.Reply.Working) != 1 || len(w.Reply.Facts) != 0 || !w.Private {
		t.Errorf("working: %+v", w.Reply)
	}
	full := b.answered(t, pressed(ada(), action(t, ans, "Cautions in full").ID))
	if got := full.Reply.Cautions; len(got) != 2 || got[0].Text != "in full" || got[1].Text != "only short" {
		t.Errorf("cautions in full: %+v", got)
	}
	posted := b.answered(t, pressed(ada(), action(t, ans, "Post here").ID))
	if posted.Private || posted.Reply.Title != "Read mix" {
		t.Errorf("posted: private %v, title %q", posted.Private, posted.Reply.Title)
	}
	if got := labels(posted.Reply.Actions); strings.Contains(got, "Post here") {
		t.Errorf("a posted answer offers %s", got)
	}
}

// The name that was typed may mean something else tomorrow: buttons hold what
// it meant.
func TestButtonsArePinned(t *testing.T) {
	b := newBench(t, chat.Rate{})
	ans := b.answered(t, line(ada(), "/mix material:white mass:100g show:no"))
	id := action(t, ans, "Show working").ID
	if want := "1w.1./mix material:#12@3 mass:100g"; id != want {
		t.Errorf("id %q, want %q", id, want)
	}
}

func TestOnlyWhoAskedMayPost(t *testing.T) {
	b := newBench(t, chat.Rate{})
	ans := b.answered(t, line(ada(), "/mix material:white mass:100g"))
	b.refused(t, pressed(bram(), action(t, ans, "Post here").ID), fault.NotAllowed)
	// Anyone may read the working.
	b.answered(t, pressed(bram(), action(t, ans, "Show working").ID))
}

// A press runs with the rights and under the name of whoever presses.
func TestPressRunsAsWhoPresses(t *testing.T) {
	b := newBench(t, chat.Rate{})
	b.answered(t, line(ada(), "/word word:pull"))
	r := b.answered(t, pressed(bram(), "1r.1./mix material:white mass:100g")).Reply
	if got := r.Notes[0]; got != "by bram" {
		t.Errorf("pressed by bram, carried out %q", got)
	}
}

func TestLongLinesAreStored(t *testing.T) {
	b := newBench(t, chat.Rate{})
	long := strings.Repeat("epoxy ", 30)
	ans := b.answered(t, line(ada(), `/mix material:"`+long+`" mass:100g`))
	id := action(t, ans, "Show working").ID
	if !strings.HasPrefix(id, "1w.1.#") {
		t.Fatalf("id %q, want a stored line", id)
	}
	if b.house.saved != 1 {
		t.Errorf("%d lines stored for one reply, want 1", b.house.saved)
	}
	w := b.answered(t, pressed(bram(), id))
	if len(w.Reply.Working) != 1 {
		t.Errorf("the stored line answered %+v", w.Reply)
	}
	// In another shop the key opens nothing.
	elsewhere := ada()
	elsewhere.ShopKey = "local:elsewhere"
	b.refused(t, pressed(elsewhere, id), fault.NotFound)
}

// An answer whose buttons can't be kept is still an answer.
func TestLinesTooLongToKeepHaveNoButton(t *testing.T) {
	b := newBench(t, chat.Rate{})
	ans := b.answered(t, line(ada(), "/word show:no word:"+strings.Repeat("é", 200)))
	if got := labels(ans.Reply.Actions); got != "Post here" {
		t.Errorf("buttons %s, want Post here", got)
	}
	ans = b.answered(t, line(ada(), `/word show:no word:"`+strings.Repeat(`\"`, 199)+strings.Repeat(" ", 2000)+`"`))
	if got := labels(ans.Reply.Actions); got != "" {
		t.Errorf("buttons %s, want none", got)
	}
}

func TestOldAndForgedButtons(t *testing.T) {
	b := newBench(t, chat.Rate{})
	b.answered(t, line(ada(), "/word word:pull"))
	for _, c := range []struct {
		name, id string
		code     fault.Code
	}{
		{"nothing in it", ".", fault.NotFound},
		{"no parts", "hello", fault.NotFound},
		{"two parts", "1r.1", fault.NotFound},
		{"another version", "2r.1./word word:pull", fault.NotFound},
		{"no verb", "1.1./word word:pull", fault.NotFound},
		{"an unknown verb", "1x.1./word word:pull", fault.NotFound},
		{"an owner that is no number", "1r.!./word word:pull", fault.NotFound},
		{"a stored line that is gone", "1r.1.#nope", fault.NotFound},
		{"no line", "1r.1.", fault.UnknownCommand},
		{"a command that is gone", "1r.1./gone", fault.UnknownCommand},
		{"an option that is gone", "1r.1./word shade:red", fault.UnknownOption},
		{"a form that is gone", "1fgone.1./thing add", fault.NotFound},
		{"a form of a sub without forms", "1f.1./word", fault.NotFound},
		{"a form of another command", "1f.1./mix", fault.NotFound},
		{"somebody else's to post", "1p.2./mix material:white mass:100g", fault.NotAllowed},
		{"a second run under another name", "1w.1./thing add name:x", fault.NotAllowed},
		{"a second run to post", "1p.1./thing add name:x", fault.NotAllowed},
	} {
		t.Run(c.name, func(t *testing.T) {
			b.refused(t, pressed(ada(), c.id), c.code)
		})
	}
}

// Whatever is typed, every button of the reply fits the service's 100
// characters and comes back to the same call.
func TestButtonsFitAndReturn(t *testing.T) {
	b := newBench(t, chat.Rate{})
	rapid.Check(t, func(rt *rapid.T) {
		material := rapid.StringMatching(`[a-zA-Z0-9 "\\:.#é漢]{1,120}`).Filter(func(s string) bool {
			return strings.TrimSpace(s) != "" && s != "white"
		}).Draw(rt, "material")
		inv := ada()
		inv.Command, inv.Raw = "mix", map[string]string{"material": material, "mass": "100 g"}
		ans := b.Do(t.Context(), inv)
		if ans.Fault != nil {
			rt.Fatalf("%q: %v", material, ans.Fault)
		}
		for _, a := range ans.Reply.Actions {
			if len(a.ID) == 0 || len(a.ID) > 100 {
				rt.Errorf("%q: an id of %d bytes", material, len(a.ID))
			}
		}
		again := b.Do(t.Context(), pressed(ada(), action(t, ans, "Post here").ID))
		if again.Fault != nil {
			rt.Fatalf("%q: pressed: %v", material, again.Fault)
		}
		if got, want := again.Reply.Facts[1].Value, ans.Reply.Facts[1].Value; got != want {
			rt.Errorf("asked %v, pressed %v", want, got)
		}
	})
}

func FuzzPress(f *testing.F) {
	for _, s := range []string{
		"1r.1./word word:pull", "1fmore.1./thing add", "1p.1./mix material:white mass:1", "1w.zz.#k1", "1", "", "1\xff.1.x", "1r..",
		"1r.-9223372036854775808./word word:x",
	} {
		f.Add(s)
	}
	b := newBench(f, chat.Rate{})
	f.Fuzz(func(t *testing.T, id string) {
		if id == "" {
			return
		}
		ans := b.Do(t.Context(), pressed(ada(), id))
		n := 0
		for _, there := range []bool{ans.Reply != nil, ans.Form != nil, ans.Fault != nil} {
			if there {
				n++
			}
		}
		if n != 1 {
			t.Errorf("%q: %d answers in one", id, n)
		}
		if ans.Fault != nil && ans.Fault.Code == fault.Internal && !strings.Contains(id, "/thing") {
			t.Errorf("%q: broke: %v", id, ans.Fault)
		}
		b.log.Reset()
	})
}
