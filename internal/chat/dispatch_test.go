package chat_test

import (
	"context"
	"errors"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

func TestCommandsMatchExactly(t *testing.T) {
	b := newBench(t, chat.Rate{})
	for _, c := range []struct{ name, line, hint string }{
		{"a slip", "/mxi material:white", "did you mean /mix?"},
		{"a beginning", "/wo", "did you mean /word?"},
		{"far from all", "/zzzz", "/help lists them all"},
		{"only a slash", "/", "try /help"},
		{"no sub", "/thing", "add, edit"},
		{"a slip in a sub", "/thing eidt", "did you mean /thing edit?"},
		{"a sub far from all", "/thing zzzz", "one of add, edit"},
		{"a word where options stand", "/word pull", "/word word:pull"},
		{"a word where a group stands", "/mix white", `/mix material:"slow white" volume:"250 ml"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := b.refused(t, line(ada(), c.line), fault.UnknownCommand).Fault
			if !strings.Contains(f.HintText(), c.hint) {
				t.Errorf("hint %q, want %q in it", f.HintText(), c.hint)
			}
		})
	}
}

// A line and the same call taken apart by a transport are one.
func TestLineAndOptionsAnswerAlike(t *testing.T) {
	b := newBench(t, chat.Rate{})
	typed := b.answered(t, line(ada(), `/mix material:white volume:"250 ml"`))
	inv := ada()
	inv.Command, inv.Raw = "mix", map[string]string{"material": "white", "volume": "250 ml"}
	decoded := b.answered(t, inv)
	if len(typed.Reply.Facts) != 2 || len(decoded.Reply.Facts) != 2 {
		t.Fatalf("facts %v and %v, want two each", typed.Reply.Facts, decoded.Reply.Facts)
	}
	for i, f := range typed.Reply.Facts {
		if g := decoded.Reply.Facts[i]; f.Value != g.Value {
			t.Errorf("typed %v, decoded %v", f.Value, g.Value)
		}
	}
	inv = ada()
	inv.Command, inv.Sub, inv.Raw = "thing", "add", map[string]string{"name": "arch"}
	if got := b.answered(t, inv).Command; got != "thing add" {
		t.Errorf("command %q, want thing add", got)
	}
}

func TestShowDecidesWhoSees(t *testing.T) {
	b := newBench(t, chat.Rate{})
	for _, c := range []struct {
		line    string
		private bool
	}{
		{"/mix material:white mass:100g", true},
		{"/mix material:white mass:100g show:yes", false},
		{"/mix material:white mass:100g show:no", true},
		{"/word word:pull", false},
		{"/word word:pull show:no", true},
		{"/word word:pull show:yes", false},
		{"/thing add name:arch", true},
	} {
		ans := b.answered(t, line(ada(), c.line))
		if ans.Private != c.private || ans.Reply.Private != c.private {
			t.Errorf("%s: private %v, want %v", c.line, ans.Private, c.private)
		}
		if got := b.Foresee(t.Context(), line(ada(), c.line)).Private; got != c.private {
			t.Errorf("%s: foreseen private %v, want %v", c.line, got, c.private)
		}
	}
	b.refused(t, line(ada(), "/mix material:white mass:100g show:perhaps"), fault.NotFound)
	b.refused(t, line(ada(), "/thing add name:arch show:yes"), fault.UnknownOption)
	b.refused(t, line(ada(), "/word show:yes"), fault.MissingOption)
}

func TestForesee(t *testing.T) {
	b := newBench(t, chat.Rate{})
	for _, c := range []struct {
		name, line string
		want       chat.Foresight
	}{
		{"declared slow", "/thing wait", chat.Foresight{Private: true, Slow: true}},
		{"with a file", "/mix material:white mass:100g file:a.stl", chat.Foresight{Private: true, Slow: true}},
		{"without", "/mix material:white mass:100g", chat.Foresight{Private: true}},
		{"unknown", "/mux", chat.Foresight{Private: true}},
	} {
		if got := b.Foresee(t.Context(), line(ada(), c.line)); got != c.want {
			t.Errorf("%s: got %+v, want %+v", c.name, got, c.want)
		}
	}
}

func TestOurOwnFailuresShowAReferenceOnly(t *testing.T) {
	for _, c := range []struct{ name, line, logged string }{
		{"an error", "/thing fail", "claim rows: secret detail"},
		{"a panic", "/thing panic", "a slip"},
		{"no reply", "/thing nothing", "nil pointer"},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBench(t, chat.Rate{})
			ans := b.refused(t, line(ada(), c.line), fault.Internal)
			if ans.Reference != "k3f9-2m" || !strings.Contains(ans.Fault.Message, "k3f9-2m") {
				t.Errorf("reference %q in %q, want k3f9-2m", ans.Reference, ans.Fault.Message)
			}
			if shown := ans.Fault.Message + ans.Fault.HintText(); strings.Contains(shown, "secret") || strings.Contains(shown, "slip") {
				t.Errorf("the member reads %q", shown)
			}
			logged := b.log.String()
			if !strings.Contains(logged, c.logged) || !strings.Contains(logged, "k3f9-2m") || !strings.Contains(logged, "level=ERROR") {
				t.Errorf("the log lacks the chain or the reference: %s", logged)
			}
		})
	}
}

func TestBrokenStoreIsOurFailure(t *testing.T) {
	b := newBench(t, chat.Rate{})
	b.house.broken = errors.New("disk gone")
	b.refused(t, line(ada(), "/word word:pull"), fault.Internal)
	if _, err := b.Complete(t.Context(), line(ada(), "/mix material:w"), "material"); err == nil {
		t.Error("completion hid a broken store")
	}
}

func TestLogHoldsNoMemberText(t *testing.T) {
	b := newBench(t, chat.Rate{})
	b.answered(t, line(ada(), "/word word:sesame"))
	b.refused(t, line(ada(), "/mix material:sesame mass:sesame"), fault.BadQuantity)
	logged := b.log.String()
	if strings.Contains(logged, "sesame") || strings.Contains(logged, "ada") {
		t.Errorf("a member's text or name is in the log: %s", logged)
	}
	for _, want := range []string{"msg=answered", "command=word", "msg=refused", "command=mix", "code=bad_quantity", "option=mass", "shop=1", "member=1"} {
		if !strings.Contains(logged, want) {
			t.Errorf("the log lacks %s: %s", want, logged)
		}
	}
}

func TestRepeatedInteractionIsNoFailure(t *testing.T) {
	b := newBench(t, chat.Rate{})
	f := b.refused(t, line(ada(), "/thing repeat"), fault.Busy).Fault
	if !strings.Contains(f.Message, "already") {
		t.Errorf("message %q, want it to say that it was done already", f.Message)
	}
	if strings.Contains(b.log.String(), "level=ERROR") {
		t.Error("a repeat is logged as a failure")
	}
}

func TestNobodyWaitsAnyMore(t *testing.T) {
	b := newBench(t, chat.Rate{})
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if ans := b.Do(ctx, line(ada(), "/thing wait")); ans.Fault == nil || ans.Fault.Code != fault.Busy {
		t.Errorf("canceled: got %v, want busy", ans.Fault)
	}
	ctx, cancel = context.WithDeadline(t.Context(), time.Unix(0, 0))
	defer cancel()
	if ans := b.Do(ctx, line(ada(), "/thing wait")); ans.Fault == nil || ans.Fault.Code != fault.Busy {
		t.Errorf("past its time: got %v, want busy", ans.Fault)
	}
}

func TestManager(t *testing.T) {
	who := make(chan bool, 1)
	h := newHouse()
	d, err := chat.New(chat.Config{People: h, Lines: h, Log: newBench(t, chat.Rate{}).quiet(), Now: time.Now, Commands: []chat.Command{
		{Name: "who", Help: "who", Subs: []chat.Sub{{Run: func(_ context.Context, c *chat.Call) (*chat.Reply, error) {
			who <- c.By.Manager
			return &chat.Reply{}, nil
		}}}},
	}})
	if err != nil {
		t.Fatal(err)
	}
	anna := bram()
	anna.Manager = true
	for _, c := range []struct {
		name string
		inv  chat.Invocation
		want bool
	}{
		{"who made the shop", ada(), true},
		{"who came later", bram(), false},
		{"whom the service calls one", anna, true},
	} {
		d.Do(t.Context(), line(c.inv, "/who"))
		if got := <-who; got != c.want {
			t.Errorf("%s: manager %v, want %v", c.name, got, c.want)
		}
	}
}

func TestNotesAreSaidOnceAndTermsFilled(t *testing.T) {
	b := newBench(t, chat.Rate{})
	r := b.answered(t, line(ada(), "/mix material:white mass:100g")).Reply
	if got := strings.Join(r.Notes, "|"); got != "by ada|At the shop's 21 °C." {
		t.Errorf("notes %q", got)
	}
	if len(r.Terms) != 1 || r.Terms[0] != "batch" {
		t.Errorf("terms %q, want batch", r.Terms)
	}
}

func TestUnitsComeFromTheShop(t *testing.T) {
	b := newBench(t, chat.Rate{})
	b.answered(t, line(ada(), "/word word:pull"))
	s := b.house.shops["local:kettle-lane"]
	s.Set.Units = "us"
	b.house.shops["local:kettle-lane"] = s
	r := b.answered(t, line(ada(), "/mix material:white mass:1")).Reply
	found := false
	for _, n := range r.Notes {
		found = found || strings.Contains(n, "oz")
	}
	if !found {
		t.Errorf("notes %q: want one that says a bare mass was read in ounces", r.Notes)
	}
}

// One dispatcher answers everyone at once.
func TestDoAtOnce(t *testing.T) {
	b := newBench(t, chat.Rate{PerMinute: 1_000_000, Burst: 1_000_000})
	var all sync.WaitGroup
	for _, who := range []chat.Invocation{ada(), bram()} {
		for _, l := range []string{`/mix material:"` + strings.Repeat("epoxy ", 30) + `" mass:100g`, "/word word:pull", "/thing add name:arch"} {
			all.Go(func() {
				for range 20 {
					if ans := b.Do(t.Context(), line(who, l)); ans.Reply == nil {
						t.Errorf("%s: %v", l, ans.Fault)
					}
					b.CompleteLine(t.Context(), line(who, "/mix material:s"))
				}
			})
		}
	}
	all.Wait()
}
