package discord

import (
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/discord/fake"
	"github.com/pourwright/pourwright/internal/shop"
)

// slash changes the slash example into a call of another command.
func slash(t *testing.T, r *running, name string, options ...any) []byte {
	t.Helper()
	return r.Fresh(fake.With(t, fake.Example(t, "02_slash_subcommand_strings"), map[string]any{
		"data": map[string]any{"id": "715000000000000401", "name": name, "type": 1, "options": append([]any{}, options...)}}))
}

func opt(kind int, name string, value any) any {
	return map[string]any{"type": kind, "name": name, "value": value}
}

func sub(name string, options ...any) any {
	return map[string]any{"type": optionSub, "name": name, "options": append([]any{}, options...)}
}

// TestAnswers runs each kind of interaction through the real gateway client.
func TestAnswers(t *testing.T) { bothWays(t, testAnswers) }

func testAnswers(t *testing.T, begin way) {
	s := fake.Start(t)
	r := begin(t, s, nil)

	t.Run("at once, seen by the asker alone", func(t *testing.T) {
		shown := r.Send(slash(t, r, "volume", sub("shape", opt(optionString, "kind", "box")))).Await()
		if shown.Kind != fake.Message || !shown.Ephemeral || !strings.Contains(shown.Text(), "A box holds 336 mL") {
			t.Errorf("%+v", shown)
		}
		c := r.bench.last(t)
		if c.MemberKey != "discord:715000000000000103" || c.MemberName != "Pier" || c.ShopKey != "discord:"+fake.GuildID || c.Locale != "en-US" || c.At.IsZero() {
			t.Errorf("called with %+v", c.Invocation)
		}
	})
	t.Run("for the channel", func(t *testing.T) {
		shown := r.Send(r.Fresh(fake.Example(t, "02_slash_subcommand_strings"))).Await()
		if shown.Ephemeral {
			t.Error("show:yes was answered in private")
		}
	})
	t.Run("refused in private", func(t *testing.T) {
		shown := r.Send(slash(t, r, "volume", sub("shape", opt(optionString, "kind", "bx"), opt(optionBoolean, "show", true)))).Await()
		if !shown.Ephemeral || !strings.Contains(shown.Text(), "**Try:**") {
			t.Errorf("%+v", shown)
		}
	})
	t.Run("unknown command", func(t *testing.T) {
		for _, name := range []string{"05_slash_group_no_options", "17_message_command", "20_minimal_documented_shape", "21_slash_channel_and_role_options"} {
			shown := r.Send(r.Fresh(fake.Example(t, name))).Await()
			if !shown.Ephemeral || !strings.Contains(shown.Text(), "There is no command") {
				t.Errorf("%s: %s", name, shown.Text())
			}
		}
	})
	t.Run("all values as text", func(t *testing.T) {
		r.Send(slash(t, r, "cure", opt(optionString, "material", "demo rigid white"), opt(optionString, "thickness", "12 mm"),
			opt(optionInteger, "count", 3), opt(optionUser, "who", "715000000000000104"), opt(optionBoolean, "show", false))).Await()
		want := map[string]string{"material": "demo rigid white", "thickness": "12 mm", "count": "3", "who": "discord:715000000000000104", "show": "no"}
		got := r.bench.last(t).Raw
		for name, text := range want {
			if got[name] != text {
				t.Errorf("%s is %q, want %q", name, got[name], text)
			}
		}
	})
	t.Run("suggestions", func(t *testing.T) {
		shown := r.Send(r.Fresh(fake.Example(t, "06_autocomplete_string"))).Await()
		if shown.Kind != fake.Suggestions || !strings.Contains(string(shown.JSON()), "demo rigid white") {
			t.Errorf("%s", shown.JSON())
		}
	})
	t.Run("suggestions for what is unknown", func(t *testing.T) {
		shown := r.Send(r.Fresh(fake.Example(t, "07_autocomplete_number_partial"))).Await()
		if shown.Kind != fake.Suggestions || !strings.Contains(string(shown.JSON()), `"choices": []`) {
			t.Errorf("%s", shown.JSON())
		}
	})
	t.Run("direct message", func(t *testing.T) {
		shown := r.Send(r.Fresh(fake.Example(t, "13_dm_with_the_bot"))).Await()
		if shown.Kind != fake.Message {
			t.Errorf("%+v", shown)
		}
	})
	t.Run("guild that did not add the bot", func(t *testing.T) {
		shown := r.Send(r.Fresh(fake.Example(t, "14_user_install_group_dm"))).Await()
		if !strings.Contains(shown.Text(), "336 mL") || r.bench.last(t).ShopKey != "discord:715000000000000104" {
			t.Errorf("%+v", shown)
		}
	})
	t.Run("panic", func(t *testing.T) {
		e := r.Send(slash(t, r, "broken"))
		if private := e.AwaitFollowup(0); !private.Ephemeral || !strings.Contains(private.Text(), "ref-1") {
			t.Errorf("follow-up %+v", private)
		}
		if shown := e.Await(); shown.Kind != fake.Defer || shown.Ephemeral || !strings.Contains(shown.Text(), "only who asked") {
			t.Errorf("%+v", shown)
		}
	})
}

// TestEveryExampleIsHandled sends all example interactions: each known type is
// answered in a way it takes (the fake judges that), an unknown one is logged
// and left alone, and the bot still works.
func TestEveryExampleIsHandled(t *testing.T) { bothWays(t, testEveryExampleIsHandled) }

func testEveryExampleIsHandled(t *testing.T, begin way) {
	s := fake.Start(t)
	r := begin(t, s, nil)
	for _, name := range fake.Examples("") {
		if name == "03_slash_attachment" || name == "10_modal_submit_labels" {
			continue // their files are not on this server; see TestAttachments
		}
		raw := fake.Example(t, name)
		if name == "21_slash_channel_and_role_options" {
			raw = s.Fresh(raw) // it has the id of example 20
		}
		e := s.Send(raw)
		if name == "18_unknown_interaction_type" {
			continue
		}
		e.Await()
		if t.Failed() {
			t.Fatalf("%s:\n%s", name, r.log)
		}
	}
	over := s.Identifies() // gateway connections: one, or none where it is posted
	for _, frame := range []string{"unknown_dispatch", "unknown_op", "heartbeat_request", "resumed"} {
		if over > 0 {
			s.SendRaw(string(fake.Example(t, "gateway/"+frame)))
		}
	}
	s.Send(fake.Example(t, "08_button_press")) // came twice: dropped
	talk(t, r)
	r.log.await(t, "came twice")
	if !strings.Contains(r.log.String(), "newer kind") || !strings.Contains(r.log.String(), "a_new_field") {
		t.Errorf("the log does not tell of what is unknown:\n%s", r.log)
	}
	if n := s.Identifies(); n != over || n > 1 {
		t.Errorf("identified %d times", n)
	}
}

// TestButtons presses what an answer offers: working, the channel, another
// answer in its place, and one from before a restart.
func TestButtons(t *testing.T) { bothWays(t, testButtons) }

func testButtons(t *testing.T, begin way) {
	s := fake.Start(t)
	r := begin(t, s, nil)
	first := r.Send(slash(t, r, "volume", sub("shape", opt(optionString, "kind", "box")))).Await()

	working := r.Send(s.Press(first, first.Button("Show working"))).Await()
	if working.Kind != fake.Message || !working.Ephemeral || !strings.Contains(working.Text(), "l·w·h") {
		t.Errorf("working: %+v", working)
	}
	cautions := r.Send(s.Press(first, first.Button("Cautions in full"))).Await()
	if !cautions.Ephemeral || !strings.Contains(cautions.Text(), "read the sheet") {
		t.Errorf("cautions: %+v", cautions)
	}
	asker := map[string]any{"member.user.id": "715000000000000103"}
	replaced := r.Send(fake.With(t, s.Press(first, first.Button("In a cone")), asker)).Await()
	if replaced.Kind != fake.Update || !strings.Contains(replaced.Text(), "336 mL") {
		t.Errorf("replaced: %+v", replaced)
	}
	beside := r.Send(s.Press(first, first.Button("In a cone"))).Await()
	if beside.Kind != fake.Message || !beside.Ephemeral || !strings.Contains(beside.Text(), "336 mL") {
		t.Errorf("a stranger's press of a replacing button: %+v", beside)
	}
	old := r.Send(s.Press(first, "r:done:41")).Await()
	if !old.Ephemeral || !strings.Contains(old.Text(), "older answer") {
		t.Errorf("old button: %+v", old)
	}
	stranger := r.Send(s.Press(first, first.Button("Post here"))).Await()
	if !stranger.Ephemeral || !strings.Contains(stranger.Text(), "Only who asked") {
		t.Errorf("a stranger's press: %+v", stranger)
	}
	own := fake.With(t, s.Press(first, first.Button("Post here")), asker)
	if posted := r.Send(own).Await(); posted.Ephemeral || posted.Kind != fake.Message {
		t.Errorf("posted: %+v", posted)
	}
}

// TestReplacing wants a refusal to take the place of a message only where
// nobody else reads it, at once or after an announcement.
func TestReplacing(t *testing.T) { bothWays(t, testReplacing) }

func testReplacing(t *testing.T, begin way) {
	s := fake.Start(t)
	r := begin(t, s, nil)
	private, public := &fake.Shown{Ephemeral: true}, &fake.Shown{}
	const refused, broken, good = "1e.1./volume shape kind:bx", "1e.1./broken", "1e.1./volume shape kind:box"

	if e := r.Send(s.Press(private, refused)); e.Await().Kind != fake.Update {
		t.Errorf("private, refused: %+v", e.Await())
	}
	if shown := r.Send(s.Press(public, refused)).Await(); shown.Kind != fake.Message || !shown.Ephemeral {
		t.Errorf("public, refused: %+v", shown)
	}
	if shown := r.Send(s.Press(public, good)).Await(); shown.Kind != fake.Update {
		t.Errorf("public, answered: %+v", shown)
	}
	if e := r.Send(s.Press(private, broken)); e.Await().Kind != fake.DeferUpdate || !e.Await().Edited {
		t.Errorf("private, slow: %+v", e.Await())
	}
	e := r.Send(s.Press(public, broken))
	if shown := e.AwaitFollowup(0); e.Kind() != fake.DeferUpdate || !shown.Ephemeral {
		t.Errorf("public, slow: %d %+v", e.Kind(), shown)
	}
}

// TestSelectMore runs the action that is chosen from a list.
func TestSelectMore(t *testing.T) { bothWays(t, testSelectMore) }

func testSelectMore(t *testing.T, begin way) {
	s := fake.Start(t)
	r := begin(t, s, nil)
	shown := r.Send(s.Press(&fake.Shown{Body: map[string]any{}}, moreID, `1r.1./volume shape kind:box`)).Await()
	if !strings.Contains(shown.Text(), "336 mL") {
		t.Errorf("%+v", shown)
	}
}

// TestForm opens a form, fills it, and gets an answer; no second form opens on
// top of it.
func TestForm(t *testing.T) { bothWays(t, testForm) }

func testForm(t *testing.T, begin way) {
	s := fake.Start(t)
	r := begin(t, s, nil)
	opened := r.Send(slash(t, r, "mold", sub("add"))).Await()
	if opened.Kind != fake.Form {
		t.Fatalf("%+v", opened)
	}
	kept := r.Send(s.Submit(opened, map[string]any{"name": "viaduct *arch*", "family": "addition"})).Await()
	if !strings.Contains(kept.Text(), `Kept viaduct \*arch\*`) {
		t.Errorf("%s", kept.Text())
	}
	if got := r.bench.last(t); got.Text("family") != "addition" {
		t.Errorf("family %q", got.Text("family"))
	}
	empty := r.Send(s.Submit(opened, nil)).Await()
	if empty.Kind != fake.Message || !strings.Contains(empty.Text(), "Name is missing") {
		t.Errorf("%+v", empty)
	}
}

// TestSlowAnswers announces what takes long, with the right to see it settled
// then, and edits it later.
func TestSlowAnswers(t *testing.T) { bothWays(t, testSlowAnswers) }

func testSlowAnswers(t *testing.T, begin way) {
	s := fake.Start(t)
	r := begin(t, s, soon)
	r.bench.hold = make(chan struct{})
	e := r.Send(slash(t, r, "hold"))
	if kind := e.AwaitKind(); kind != fake.Defer {
		t.Errorf("first answer %d", kind)
	}
	close(r.bench.hold)
	if shown := e.Await(); !shown.Edited || shown.Ephemeral || !strings.Contains(shown.Text(), "Done waiting") {
		t.Errorf("%+v", shown)
	}
}

// What a program answered before it fell stands: the next one, which hears the
// same call again and finds it carried out, says so to who asked alone.
func TestSecondDeliveryTakesNoAnswerAway(t *testing.T) {
	bothWays(t, testSecondDeliveryTakesNoAnswerAway)
}

func testSecondDeliveryTakesNoAnswerAway(t *testing.T, begin way) {
	s := fake.Start(t)
	first := begin(t, s, nil)
	first.bench.hold = make(chan struct{})
	close(first.bench.hold)
	call := slash(t, first, "hold")
	e := first.Send(call)
	e.Await()
	if err := first.stop(); err != nil {
		t.Fatal(err)
	}
	hearsAgain(t, begin, s, call, e)
	if shown := e.Await(); shown.Edited || !strings.Contains(shown.Text(), "Done waiting") {
		t.Errorf("the answer is now %+v", shown)
	}
}

// hearsAgain begins a program that hears a call for the second time, finds it
// carried out, and says so to who asked alone.
func hearsAgain(t *testing.T, begin way, s *fake.Server, call []byte, e *fake.Exchange) {
	t.Helper()
	second := begin(t, s, soon)
	second.bench.hold, second.bench.refusal = make(chan struct{}), shop.ErrRepeat
	s.AwaitReady(2)
	s.Redeliver(call, e)
	s.AwaitRequests(routeCallback, 2)
	close(second.bench.hold)
	if told := e.AwaitFollowup(0); told == nil || !told.Ephemeral || !strings.Contains(told.Text(), "carried out already") {
		t.Errorf("who asked twice is told %+v", told)
	}
}

// That an answer was announced is no answer: who hears the same call again and
// finds it carried out lets nothing follow before it, and takes its place where
// it does not come. The true answer stands in the end if it comes after all.
func TestSecondDeliveryAnswersWhatWasAnnounced(t *testing.T) {
	bothWays(t, testSecondDeliveryAnswersWhatWasAnnounced)
}

func testSecondDeliveryAnswersWhatWasAnnounced(t *testing.T, begin way) {
	s := fake.Start(t)
	first := begin(t, s, soon)
	first.bench.hold = make(chan struct{})
	call := slash(t, first, "hold")
	e := first.Send(call)
	e.AwaitKind()
	hearsAgain(t, begin, s, call, e)
	if shown := e.Await(); !shown.Edited || !strings.Contains(shown.Text(), "only who asked can see why") {
		t.Errorf("the announced message is now %+v", shown)
	}
	close(first.bench.hold)
	if err := first.stop(); err != nil {
		t.Fatal(err)
	}
	if shown := e.Await(); !strings.Contains(shown.Text(), "Done waiting") {
		t.Errorf("in the end it is %+v", shown)
	}
}

// TestSlowService wants an answer within the service's time although its REST
// side drags, and no second answer when the first was lost on the way.
func TestSlowService(t *testing.T) { bothWays(t, testSlowService) }

func testSlowService(t *testing.T, begin way) {
	s := fake.Start(t)
	r := begin(t, s, nil)
	s.AwaitReady(1)
	var outlasted *fake.Exchange
	t.Run("delay", func(t *testing.T) {
		s.Inject(fake.Fault{Route: routeCallback, Delay: time.Second})
		r.Send(r.Fresh(fake.Example(t, "02_slash_subcommand_strings"))).Await()
	})
	t.Run("answer lost after it was taken", func(t *testing.T) {
		s.Inject(fake.Fault{Route: routeCallback, DropAfter: true})
		e := r.Send(r.Fresh(fake.Example(t, "02_slash_subcommand_strings")))
		e.AwaitEdited() // to make sure of it
	})
	t.Run("answer refused by a limit", func(t *testing.T) {
		for _, scope := range []fake.Scope{fake.User, fake.Shared, fake.Global} {
			s.Inject(fake.Limited(t, routeCallback, scope, 200*time.Millisecond))
			r.Send(r.Fresh(fake.Example(t, "02_slash_subcommand_strings"))).Await()
		}
	})
	t.Run("a limit that outlasts the interaction", func(t *testing.T) {
		before := len(s.Requests(routeCallback))
		s.Inject(fake.Limited(t, routeCallback, fake.User, time.Hour))
		outlasted = r.Send(r.Fresh(fake.Example(t, "02_slash_subcommand_strings")))
		r.log.await(t, "could not be answered")
		if n := len(s.Requests(routeCallback)) - before; n != 1 {
			t.Errorf("%d answers were sent", n)
		}
	})
	t.Run("edit meets a 502", func(t *testing.T) {
		file := s.AddFile("a.stl", []byte("solid"))
		s.Inject(fake.Fault{Route: routeOriginal, Status: 502, Times: 2})
		if shown := r.Send(meshCall(t, r, file, 5)).Await(); !strings.Contains(shown.Text(), "5 bytes") {
			t.Errorf("%+v", shown)
		}
	})
	t.Run("the service refuses the message", func(t *testing.T) {
		s.Inject(fake.Fault{Route: routeCallback, Status: 400, Body: `{"code":50035,"message":"Invalid Form Body","errors":{"data":{"embeds":{"0":{"_errors":[{"code":"X"}]}}}}}`})
		shown := r.Send(r.Fresh(fake.Example(t, "02_slash_subcommand_strings"))).Await()
		if !strings.Contains(shown.Text(), "could not be shown") {
			t.Errorf("%+v", shown)
		}
	})
	if err := r.stop(); err != nil || !strings.Contains(r.log.String(), "data.embeds.0 X") {
		t.Errorf("Run: %v; the log does not say what was refused:\n%s", err, r.log)
	}
	if kind := outlasted.Kind(); kind != 0 {
		t.Errorf("what a limit outlasted was answered by %d after all", kind)
	}
}

// TestBusy turns calls away in words when there are more than workers and
// queue can hold, and keeps completions going all the while.
func TestBusy(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	r := run(t, s, func(c *Config, p *pace) {
		c.Workers = 2
		soon(c, p)
	})
	r.bench.hold = make(chan struct{})
	var held []*fake.Exchange
	for range 2 {
		held = append(held, r.Send(slash(t, r, "hold")))
	}
	for _, e := range held {
		e.AwaitKind()
	}
	for range workQueue {
		// Those in the queue would wait for workers that are held.
		r.Send(r.Fresh(fake.Example(t, "18_unknown_interaction_type")))
	}
	refused := r.Send(slash(t, r, "volume", sub("shape", opt(optionString, "kind", "box"))))
	if shown := refused.Await(); !shown.Ephemeral || !strings.Contains(shown.Text(), "Too many people") {
		t.Errorf("%+v", shown)
	}
	if shown := r.Send(r.Fresh(fake.Example(t, "06_autocomplete_string"))).Await(); shown.Kind != fake.Suggestions {
		t.Errorf("%+v", shown)
	}
	close(r.bench.hold)
	for _, e := range held {
		e.Await()
	}
}

// TestStopDrains finishes what is under way before Run returns.
func TestStopDrains(t *testing.T) { bothWays(t, testStopDrains) }

func testStopDrains(t *testing.T, begin way) {
	s := fake.Start(t)
	r := begin(t, s, soon)
	r.bench.hold = make(chan struct{})
	e := r.Send(slash(t, r, "hold"))
	e.AwaitKind()
	var wg sync.WaitGroup
	wg.Go(func() {
		time.Sleep(200 * time.Millisecond)
		close(r.bench.hold)
	})
	if err := r.stop(); err != nil {
		t.Errorf("Run: %v", err)
	}
	wg.Wait()
	if shown := e.Await(); !strings.Contains(shown.Text(), "Done waiting") {
		t.Errorf("%+v", shown)
	}
}

// TestStopGivesUp cancels what does not end in time, and still answers.
func TestStopGivesUp(t *testing.T) { bothWays(t, testStopGivesUp) }

func testStopGivesUp(t *testing.T, begin way) {
	s := fake.Start(t)
	r := begin(t, s, func(c *Config, p *pace) {
		p.drain = 100 * time.Millisecond
		soon(c, p)
	})
	r.bench.hold = make(chan struct{})
	e := r.Send(slash(t, r, "hold"))
	e.AwaitKind()
	began := time.Now()
	if err := r.stop(); err != nil {
		t.Errorf("Run: %v", err)
	}
	if took := time.Since(began); took > surely/2 {
		t.Errorf("stopping took %v", took)
	}
}
