package chat_test

import (
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

// A refusal with values that would have been taken has a button for each,
// which runs the same call with that value and takes the message's place.
func TestChoicesBecomeButtons(t *testing.T) {
	b := newBench(t, chat.Rate{})
	ans := b.refused(t, line(ada(), "/thing edit thing:whit"), fault.UnknownMaterial)
	if got, want := labels(ans.Actions), "slow white|xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx…"; got != want {
		t.Errorf("buttons %s, want %s (one that fits no id is left to the hint)", got, want)
	}
	again := b.refused(t, pressed(ada(), ans.Actions[0].ID), fault.UnknownMaterial)
	if again.Fault.Message != `no thing is called "slow white"` {
		t.Errorf("the button ran %q", again.Fault.Message)
	}
	if !again.Replace {
		t.Error("the answer of a choice does not take the refusal's place")
	}
	if b.house.saved != 0 {
		t.Errorf("a refusal stored %d lines, want none", b.house.saved)
	}
}

func TestNearChoiceIsOffered(t *testing.T) {
	b := newBench(t, chat.Rate{})
	ans := b.refused(t, line(ada(), "/mix material:white mass:100g kind:puor"), fault.NotFound)
	fixed := b.answered(t, pressed(ada(), action(t, ans, "pour").ID))
	if !fixed.Replace || fixed.Reply.Title != "Read mix" {
		t.Errorf("pressed: replace %v, title %q", fixed.Replace, fixed.Reply.Title)
	}
}

func TestRate(t *testing.T) {
	b := newBench(t, chat.Rate{PerMinute: 6, Burst: 2})
	ask := line(ada(), "/word word:pull")
	b.answered(t, ask)
	b.answered(t, ask)
	b.refused(t, ask, fault.Busy)
	b.answered(t, line(bram(), "/word word:pull")) // each member's own
	ask.At = noon.Add(10e9)                        // six a minute: one after ten seconds
	b.answered(t, ask)
	b.refused(t, ask, fault.Busy)
	// A press counts like a typed line.
	press := pressed(ada(), "1r.1./word word:pull")
	press.At = ask.At
	b.refused(t, press, fault.Busy)
}

// One shop may not take the time of all others, however many ask there.
func TestShopRate(t *testing.T) {
	b := newBench(t, chat.Rate{PerMinute: 60, Burst: 2, ShopPerMinute: 6, ShopBurst: 3})
	asks := func(who string) chat.Invocation {
		inv := line(ada(), "/word word:pull")
		inv.MemberKey, inv.MemberName = "local:"+who, who
		return inv
	}
	for _, who := range []string{"ada", "ada", "bram"} {
		b.answered(t, asks(who))
	}
	own := b.refused(t, asks("ada"), fault.Busy) // her own limit, which counts for nothing here
	whole := b.refused(t, asks("cleo"), fault.Busy)
	if own.Fault.Message == whole.Fault.Message || whole.Fault.HintText() == "" {
		t.Errorf("told %q and %q (%q)", own.Fault.Message, whole.Fault.Message, whole.Fault.HintText())
	}
	elsewhere := asks("cleo")
	elsewhere.ShopKey = "local:elsewhere"
	b.answered(t, elsewhere)
	later := asks("dora")
	later.At = noon.Add(10e9)
	b.answered(t, later)
}

// Suggestions come at every key, and end where no hand types so fast.
func TestTypingRate(t *testing.T) {
	b := newBench(t, chat.Rate{PerMinute: 6, Burst: 1})
	inv := ada()
	inv.Line = "/mix material:whi"
	n := 0
	for ; n < 100; n++ {
		found, err := b.Complete(t.Context(), inv, "material")
		if err != nil {
			t.Fatal(err)
		}
		if len(found) == 0 {
			break
		}
	}
	if n != 20 {
		t.Errorf("%d suggestions at once, want 20", n)
	}
	b.answered(t, line(ada(), "/word word:pull")) // typing costs no call
}
