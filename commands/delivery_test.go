package commands_test

import (
	"strings"
	"sync"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

// serverCall is a call from a chat server whose owner says who manages it.
func serverCall(member string, manager bool, line string) chat.Invocation {
	return chat.Invocation{
		At: monday, MemberKey: "discord:" + member, MemberName: "member " + member,
		ShopKey: "discord:900", ShopName: "Signal Box Casters", Manager: manager, Line: line,
	}
}

// What the service delivers twice is carried out once.
func TestWriteDeliveredTwice(t *testing.T) {
	d := desk(t)
	inv := calling("ada")
	inv.ID, inv.Line = "1172230", `/shop faq topic:keys answer:"By the door."`
	if ans := d.Do(t.Context(), inv); ans.Reply == nil {
		t.Fatal(ans.Fault)
	}
	told(t, d, "ada", `/shop faq topic:keys answer:"Under the mat."`)
	if ans := d.Do(t.Context(), inv); ans.Fault == nil || ans.Fault.Code != fault.Busy {
		t.Errorf("the second time: %+v", ans)
	}
	if r := told(t, d, "ada", "/shop faq topic:keys"); r.Title != "keys: Under the mat." {
		t.Errorf("the first answer came back: %q", r.Title)
	}
}

// A chat server's own managers may set its shop, and name others by mention.
func TestManagersOfAChatServer(t *testing.T) {
	d := desk(t)
	set := `/shop set temp:"18 C" managers:discord:42`
	if ans := d.Do(t.Context(), serverCall("7", true, "/shop show")); ans.Reply == nil {
		t.Fatal(ans.Fault)
	}
	if ans := d.Do(t.Context(), serverCall("8", false, set)); ans.Fault == nil || ans.Fault.Code != fault.NotAllowed {
		t.Errorf("no manager: %+v", ans)
	}
	ans := d.Do(t.Context(), serverCall("7", true, set))
	if ans.Reply == nil {
		t.Fatal(ans.Fault)
	}
	// Nobody knows the name of who has never asked.
	if f := fact(t, ans.Reply, "managers"); f.Label != "discord:42" {
		t.Errorf("said %+v", f)
	}
	if ans := d.Do(t.Context(), serverCall("42", false, `/shop set temp:"19 C"`)); ans.Reply == nil {
		t.Errorf("who was put on the list: %v", ans.Fault)
	}
	if ans := d.Do(t.Context(), serverCall("7", true, "/shop set managers:local:ada")); ans.Fault == nil || ans.Fault.Code != fault.NotAllowed {
		t.Errorf("a member of a terminal in a chat server: %+v", ans)
	}
}

// A line too long for a button is kept in the database, for its shop.
func TestLongLinesKeepTheirButtons(t *testing.T) {
	d := desk(t)
	topic := strings.Repeat("long topic ", 7)
	told(t, d, "ada", chat.FormatLine("shop faq", map[string]string{"topic": topic, "answer": "Yes."}, nil))
	ans := ask(t, d, "bram", chat.FormatLine("shop faq", map[string]string{"topic": topic}, nil))
	id := button(t, ans, "Post here").ID
	if !strings.Contains(id, ".#") {
		t.Fatalf("id %q holds its line, want a kept one", id)
	}
	posted := press(t, d, "cleo", ans, "Post here")
	if posted.Reply == nil || posted.Private || posted.Reply.Title != strings.TrimSpace(topic)+": Yes." {
		t.Errorf("pressed: %+v", posted)
	}
	elsewhere := serverCall("7", true, "")
	elsewhere.Press = id
	if ans := d.Do(t.Context(), elsewhere); ans.Fault == nil || ans.Fault.Code != fault.NotFound {
		t.Errorf("pressed in another shop: %+v", ans)
	}
}

// The demo shop is in the terminal's name space: a chat server sees none of it.
func TestChatServersSeeNothingLocal(t *testing.T) {
	d := desk(t)
	ans := d.Do(t.Context(), serverCall("7", true, `/first material:"demo rigid white"`))
	if ans.Fault == nil || ans.Fault.Code != fault.UnknownMaterial {
		t.Errorf("got %+v, want unknown_material", ans.Reply)
	}
}

// Many members at once, some of them writing, all get answers, and each
// writer's last word is kept.
func TestManyAtOnce(t *testing.T) {
	d := desk(t)
	var all sync.WaitGroup
	for _, who := range []string{"ada", "bram", "cleo", "dora", "emil", "fay"} {
		for _, line := range []string{`/first material:"demo rigid white"`, "/me set to:dm", "/shop faq", "/term word:gel", "/me export"} {
			all.Go(func() {
				for range 5 {
					inv := calling(who)
					inv.Line = line
					if ans := d.Do(t.Context(), inv); ans.Reply == nil {
						t.Errorf("%s: %s: %v", who, line, ans.Fault)
					}
				}
			})
		}
	}
	all.Wait()
	for _, who := range []string{"ada", "fay"} {
		if got := fact(t, told(t, d, who, "/me show"), "to").Value; got != "dm" {
			t.Errorf("%s is called %v, want dm", who, got)
		}
	}
}

// In chat the service says who manages a server: its first caller is nobody
// special.
func TestAChatServersFirstCallerDoesNotManageIt(t *testing.T) {
	d := desk(t)
	inv := calling("eve")
	inv.MemberKey, inv.ShopKey, inv.ShopName, inv.Founds = "discord:7", "discord:8", "A server", false
	inv.Line = `/shop set temp:"5 C"`
	if ans := d.Do(t.Context(), inv); ans.Fault == nil || ans.Fault.Code != fault.NotAllowed {
		t.Errorf("the first caller set the shop up: %+v", ans.Fault)
	}
	inv.Manager = true
	if ans := d.Do(t.Context(), inv); ans.Fault != nil {
		t.Errorf("the server's manager: %v", ans.Fault)
	}
	inv.Manager, inv.Line = false, `/shop set temp:"6 C"`
	if ans := d.Do(t.Context(), inv); ans.Fault == nil {
		t.Error("the right stayed after the service took it away")
	}
}

// A message others can read is replaced by who asked alone; anyone else who
// presses gets an answer of their own.
func TestOnlyWhoAskedReplacesAnAnswer(t *testing.T) {
	d := desk(t)
	ans := ask(t, d, "ada", `/batch material:"demo rigid whte" volume:"250 ml" show:yes`)
	if mine := press(t, d, "ada", ans, "demo rigid white"); mine.Fault != nil || !mine.Replace {
		t.Errorf("the asker's press: %+v, replace %v", mine.Fault, mine.Replace)
	}
	if other := press(t, d, "bram", ans, "demo rigid white"); other.Fault != nil || other.Replace {
		t.Errorf("another's press: %+v, replace %v", other.Fault, other.Replace)
	}
	inv := calling("bram")
	inv.Press = button(t, ans, "demo rigid white").ID
	if d.Foresee(t.Context(), inv).Replace {
		t.Error("foreseen as a replacement")
	}
}
