package commands_test

import (
	"context"
	"log/slog"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/demo"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/remind"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// callLater is the call of a member some time after monday.
func callLater(t testing.TB, d *chat.Dispatcher, as string, after time.Duration, line string) *chat.Reply {
	t.Helper()
	inv := calling(as)
	inv.At, inv.Line = monday.Add(after), line
	ans := d.Do(t.Context(), inv)
	if ans.Reply == nil {
		t.Fatalf("%s: refused: %v", line, ans.Fault)
	}
	return ans.Reply
}

// post is a transport that keeps what it is given, or refuses it.
type post struct {
	closed bool
	sent   []chat.Message
}

func (p *post) Send(_ context.Context, m chat.Message) (chat.Outcome, error) {
	if p.closed {
		return chat.Refused, nil
	}
	p.sent = append(p.sent, m)
	return chat.Shown, nil
}

func (p *post) Look(context.Context, chat.Message) (chat.Outcome, error) { return chat.Unseen, nil }

// call lets the loop call members back once, at that time after monday.
func (p *post) call(t testing.TB, db *sqlite.DB, after time.Duration) {
	t.Helper()
	l := remind.New(remind.Config{Book: db, Sender: p, Space: "local", Now: func() time.Time { return monday.Add(after) }, Log: slog.New(slog.DiscardHandler)})
	if _, err := l.RunOnce(t.Context()); err != nil {
		t.Fatal(err)
	}
}

// last is the message of the last call, as an answer whose buttons can be
// pressed.
func (p *post) last(t testing.TB) chat.Answer {
	t.Helper()
	if len(p.sent) == 0 {
		t.Fatal("nobody was called")
	}
	return chat.Answer{Reply: p.sent[len(p.sent)-1].Reply}
}

// A coat that is due makes a call, whose button counts the coat, which makes
// the call to wipe it, after which nothing is left to do.
func TestCoatCalls(t *testing.T) {
	d, db := deskAndStore(t)
	p := &post{}
	for range 2 {
		told(t, d, "ada", `/mold pull mold:"harbor pawn 2"`)
	}
	ans := ask(t, d, "ada", `/mold pull mold:"harbor pawn 2"`)
	if got := labels(ans.Reply.Actions); !strings.Contains(strings.Join(got, ", "), "Release coat is on, Remind me of the coat") {
		t.Errorf("a pull with the coat due offers %q", got)
	}
	r := press(t, d, "ada", ans, "Remind me of the coat").Reply
	if r == nil || fact(t, r, "due").Value != "2026-11-23T10:30:00Z" || !strings.Contains(r.Title, "Release coat on harbor pawn 2") {
		t.Fatalf("pressed: %+v", r)
	}
	p.call(t, db, time.Hour)
	coated := press(t, d, "ada", p.last(t), "Release coat is on")
	if coated.Reply == nil || fact(t, coated.Reply, "release_due").Value != 5 {
		t.Fatalf("the coat is on: %+v, %v", coated.Reply, coated.Fault)
	}
	p.call(t, db, 3*time.Hour)
	if got := labels(p.last(t).Reply.Actions); strings.Join(got, ", ") != "Snooze 10 min, Done" {
		t.Errorf("the call to wipe offers %q", got)
	}
	refused(t, d, "ada", `/due coat mold:"harbor pawn" in:never`, fault.BadTime, "in")
	refused(t, d, "ada", `/due coat mold:"harber"`, fault.UnknownMold, "mold")
}

// The call of a pour has what can be said at the mold.
func TestPourCallButtons(t *testing.T) {
	d, db := deskAndStore(t)
	p := &post{}
	told(t, d, "ada", `/pour start material:"demo rigid white" mold:"harbor pawn"`)
	p.call(t, db, 24*time.Hour)
	if got := labels(p.last(t).Reply.Actions); strings.Join(got, ", ") != "Ready, Still soft, Done, Snooze 10 min" {
		t.Errorf("the call offers %q", got)
	}
	inv := calling("ada")
	inv.At, inv.Press = monday.Add(24*time.Hour), button(t, p.last(t), "Done").ID
	if ans := d.Do(t.Context(), inv); ans.Reply == nil || !strings.Contains(ans.Reply.Title, "Done:") {
		t.Errorf("done: %+v, %v", ans.Reply, ans.Fault)
	}
	if got := callLater(t, d, "ada", 24*time.Hour, "/due list"); got.Title != "You wait for nothing" || len(got.Facts) != 0 {
		t.Errorf("after it: %q, %+v", got.Title, got.Facts)
	}
	// A part in coats is called for its next coat, and for nothing else.
	told(t, d, "bram", `/pour start material:"demo flexible amber" thickness:"6 mm" coats:3`)
	p.call(t, db, 24*time.Hour)
	if got := labels(p.last(t).Reply.Actions); strings.Join(got, ", ") != "The coat is on, Snooze 10 min" {
		t.Errorf("the call for a coat offers %q", got)
	}
}

// What was opened calls its owner a week before it is too old, counted from the
// day on which the button is pressed.
func TestOpenedCalls(t *testing.T) {
	d := desk(t)
	shown := ask(t, d, "bram", `/material show material:"demo rigid white"`)
	inv := calling("bram")
	inv.At, inv.Press = monday.AddDate(0, 0, 7), button(t, shown, "I opened it today: call me in time").ID
	r := d.Do(t.Context(), inv).Reply
	if r == nil {
		t.Fatal("refused")
	}
	// Four months after 30 November is 30 March, by then in summer time.
	if due, last := fact(t, r, "due").Value, fact(t, r, "use_by").Value; due != "2027-03-23T09:00:00Z" || last != "2027-03-30T08:00:00Z" {
		t.Errorf("called at %v, to use it by %v", due, last)
	}
	if !said(r, "4 months", "bulletin win") || !strings.Contains(r.Title, "opened 30 Nov 2026: use it by 30 Mar 2027") {
		t.Errorf("it says %q, %q", r.Title, r.Notes)
	}
	refused(t, d, "bram", `/due opened material:"demo tin silicone"`, fault.MissingOption, "material")
	if got := labels(ask(t, d, "bram", `/material show material:"demo tin silicone"`).Reply.Actions); strings.Contains(strings.Join(got, ", "), "opened") {
		t.Errorf("a material without that date offers %q", got)
	}
	told(t, d, "ada", `/material edit material:"demo rigid white" shelf_opened:"5 days"`)
	if r := told(t, d, "bram", `/due opened material:"demo rigid white"`); fact(t, r, "due").Value != "2026-11-28T09:00:00Z" {
		t.Errorf("with less than a week: %v", fact(t, r, "due").Value)
	}
}

// What could be shown nowhere is told with whatever its member asks next, once,
// and stays in the list until it is done.
func TestMissedCallsAreTold(t *testing.T) {
	missed := func(r *chat.Reply) bool { return said(r, "Missed: #1 wipe the mold", "10:30") }
	d, db := deskAndStore(t)
	told(t, d, "bram", `/due add about:"wipe the mold" in:1h`)
	(&post{closed: true}).call(t, db, 2*time.Hour)

	if r := told(t, d, "ada", `/first material:"demo rigid white"`); missed(r) {
		t.Error("another member is told")
	}
	refused(t, d, "bram", "/nonsense", fault.UnknownCommand, "")
	// Before everyone's eyes it is told aside.
	ans := ask(t, d, "bram", `/first material:"demo rigid white" show:yes`)
	if missed(ans.Reply) || ans.Aside == nil || !missed(ans.Aside) || !ans.Aside.Private {
		t.Errorf("in public: %q, aside %+v", ans.Reply.Notes, ans.Aside)
	}
	if again := ask(t, d, "bram", `/first material:"demo rigid white"`); missed(again.Reply) || again.Aside != nil {
		t.Error("told twice")
	}
	if r := told(t, d, "bram", "/due list"); !missed(r) {
		t.Errorf("the list says %q", r.Notes)
	}
	if r := press(t, d, "bram", chat.Answer{Reply: ans.Aside}, "Done: wipe the mold").Reply; r == nil || r.Title != "Done: wipe the mold" {
		t.Errorf("done: %+v", r)
	}
	if r := told(t, d, "bram", "/due list"); missed(r) {
		t.Error("it is still in the list")
	}
}

// A pour's call that was missed leads to the pour, and closes it nowhere else.
func TestMissedCallOfAPour(t *testing.T) {
	d, db := deskAndStore(t)
	told(t, d, "bram", `/pour start material:"demo rigid white" mold:"harbor pawn"`)
	(&post{closed: true}).call(t, db, 2*time.Hour)
	ans := ask(t, d, "bram", "/me show")
	if got := strings.Join(labels(ans.Reply.Actions), ", "); strings.Contains(got, "Done") {
		t.Errorf("it offers %q", got)
	}
	if r := press(t, d, "bram", ans, "Show pour #1").Reply; r == nil || fact(t, r, "state").Value != "running" || !strings.Contains(strings.Join(labels(r.Actions), ", "), "Still soft, Done") {
		t.Errorf("pressed: %+v", r)
	}
	list := ask(t, d, "bram", "/due list")
	press(t, d, "bram", list, "Seen #1 Ready to come out: demo rigid w…")
	if r := told(t, d, "bram", "/due list"); said(r, "Missed") || fact(t, r, "running").Value != "#1" {
		t.Errorf("seen, the list says %q, %+v", r.Notes, r.Facts)
	}
}

// In a private answer, and where nobody else reads along, it stands in the
// answer itself; the list tells it too, and then it is told.
func TestMissedCallsInTheAnswer(t *testing.T) {
	for name, line := range map[string]string{"a private answer": "/me show", "the list": "/due list", "alone at a terminal": "/term word:gel", "a write": "/me set units:us"} {
		t.Run(name, func(t *testing.T) {
			d, db := deskAndStore(t)
			told(t, d, "bram", `/due add about:"wipe the mold" in:1h`)
			(&post{closed: true}).call(t, db, 2*time.Hour)
			inv := calling("bram")
			inv.Line, inv.Alone = line, true
			ans := d.Do(t.Context(), inv)
			if ans.Reply == nil || ans.Aside != nil || !said(ans.Reply, "Missed: #1 wipe the mold") {
				t.Fatalf("answered %+v, aside %+v", ans.Reply, ans.Aside)
			}
			count := 0
			for _, n := range ans.Reply.Notes {
				count += strings.Count(n, "Missed")
			}
			if again := d.Do(t.Context(), inv); count != 1 || line != "/due list" && said(again.Reply, "Missed") {
				t.Errorf("told %d times, and then: %q", count, again.Reply.Notes)
			}
		})
	}
	// A card that is made anew by itself tells nothing.
	d, db := deskAndStore(t)
	told(t, d, "bram", `/pour start material:"demo rigid white" mold:"harbor pawn"`)
	told(t, d, "bram", `/due add about:"wipe the mold" in:1h`)
	(&post{closed: true}).call(t, db, 2*time.Hour)
	inv := calling("bram")
	inv.Line, inv.Renewal = "/pour show pour:#1 show:yes", true
	if ans := d.Do(t.Context(), inv); ans.Reply == nil || said(ans.Reply, "Missed") || ans.Aside != nil {
		t.Errorf("a card tells %+v", ans)
	}
	if r := told(t, d, "bram", "/me show"); !said(r, "Missed: #2 wipe the mold") {
		t.Errorf("after the card: %q", r.Notes)
	}
}

// A press carries no right: whoever forges the button of another's reminder, or
// makes one up, is refused, and nothing changes.
func TestForgedPresses(t *testing.T) {
	d := desk(t)
	told(t, d, "bram", `/due add about:"wipe the mold" in:1h`)
	before := told(t, d, "bram", "/due list").Facts
	for _, line := range []string{`/due snooze due:"#1@1" in:"10 min"`, `/due done due:"#1@1"`, `/due cancel due:#1`, `/due done due:#1`} {
		for _, owner := range []shop.MemberID{1, 2, 3, 99} {
			a, fits := chat.Standing(chat.Action{Line: line}, owner)
			if !fits {
				t.Fatalf("%s fits no button", line)
			}
			inv := calling("cleo")
			inv.Press = a.ID
			if ans := d.Do(t.Context(), inv); ans.Fault == nil || ans.Fault.Code != fault.NotFound {
				t.Errorf("%s pressed by cleo as %d: %+v", line, owner, ans)
			}
			inv.ShopKey, inv.MemberKey = demo.ShopKey, "discord:42"
			if ans := d.Do(t.Context(), inv); ans.Fault == nil || ans.Fault.Code != fault.NotFound {
				t.Errorf("%s pressed by a stranger as %d: %+v", line, owner, ans)
			}
		}
	}
	for _, id := range []string{"1r.1.", "1r.zz", "1x.1./due cancel due:#1", "9r.1./due cancel due:#1", "1r.1.#nothere", "1r.1./due cancel", strings.Repeat("1r.1.", 40)} {
		inv := calling("bram")
		inv.Press = id
		if ans := d.Do(t.Context(), inv); ans.Fault == nil || ans.Fault.Code == fault.Internal {
			t.Errorf("the made-up button %q: %+v", id, ans)
		}
	}
	after := told(t, d, "bram", "/due list").Facts
	if len(after) != 1 || after[0].Value != before[0].Value {
		t.Errorf("it was %+v and is %+v", before, after)
	}
}

// The list tells what one is called for, and what runs.
func TestDueListTellsWhatRuns(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/pour start material:"demo rigid white" mold:"harbor pawn" share:yes`)
	told(t, d, "bram", `/pour start material:"demo rigid clear" mold:"viaduct arch"`)
	r := callLater(t, d, "bram", time.Minute, "/due list")
	if r.Title != "You wait for 1 call" {
		t.Errorf("titled %q", r.Title)
	}
	f := fact(t, r, "running")
	if f.Value != "#2" || !strings.Contains(f.Label, "viaduct arch") || !strings.Contains(f.Text, "until") {
		t.Errorf("runs: %+v", f)
	}
	for _, other := range r.Facts {
		if strings.Contains(other.Label, "harbor pawn") {
			t.Errorf("bram waits for ada's %+v", other)
		}
	}
	golden(t, "due_list_running", ask(t, d, "bram", "/due list"))
}

// A card that others see holds nothing that is its member's alone, neither when
// it is posted nor when it is made anew later.
func TestPublicCardsKeepNotesPrivate(t *testing.T) {
	d := desk(t)
	told(t, d, "ada", `/pour start material:"demo rigid white" mold:"harbor pawn" show:yes`)
	told(t, d, "ada", `/pour note text:"for the secret order"`)
	callLater(t, d, "ada", time.Hour, "/pour soft")
	secret := func(r *chat.Reply) bool { return said(r, "secret order") || said(r, "till soft after") }
	if r := callLater(t, d, "ada", time.Hour, "/pour show"); !secret(r) {
		t.Errorf("its owner reads %q", r.Notes)
	}
	public := ask(t, d, "ada", "/pour show show:yes")
	if public.Private || secret(public.Reply) || public.Reply.Live == nil {
		t.Errorf("all read %q", public.Reply.Notes)
	}
	posted := press(t, d, "ada", ask(t, d, "ada", "/pour show"), "Post here")
	if posted.Private || secret(posted.Reply) {
		t.Errorf("posted: %q", posted.Reply.Notes)
	}
	inv := calling("ada")
	inv.Line, inv.Renewal = "/pour show pour:#1 show:yes", true
	if anew := d.Do(t.Context(), inv); secret(anew.Reply) {
		t.Errorf("made anew: %q", anew.Reply.Notes)
	}
}
