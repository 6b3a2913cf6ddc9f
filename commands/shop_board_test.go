package commands_test

import (
	"crypto/rand"
	"log/slog"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/commands"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/demo"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

var boardPath = regexp.MustCompile(`/b/[a-z2-7]{32}/`)

func TestShopBoard(t *testing.T) {
	d := desk(t)
	golden(t, "shop_board_none", ask(t, d, "bram", "/shop board"))
	for _, do := range []string{"make", "revoke"} {
		refused(t, d, "bram", "/shop board do:"+do, fault.NotAllowed, "do")
	}
	refused(t, d, "ada", "/shop board do:revoke", fault.NotFound, "do")
	if r := told(t, d, "bram", "/shop board"); len(r.Actions) != 0 {
		t.Errorf("bram, who does not manage, is offered %q", labels(r.Actions))
	}

	made := ask(t, d, "ada", "/shop board do:make")
	path := fact(t, made.Reply, "path").Text
	if !boardPath.MatchString(path) || !made.Private || !said(made.Reply, "without a login") || !said(made.Reply, "board_listen") || said(made.Reply, "works no more") {
		t.Errorf("made: %+v, private %v", made.Reply, made.Private)
	}
	for _, l := range labels(made.Reply.Actions) {
		if l == "Post here" {
			t.Error("the address can be posted")
		}
	}
	refused(t, d, "ada", "/shop board do:make show:yes", fault.UnknownOption, "show")

	again := told(t, d, "ada", "/shop board do:make")
	if fact(t, again, "path").Text == path || !said(again, "works no more") {
		t.Errorf("made again: %+v", again)
	}
	golden(t, "shop_board", ask(t, d, "ada", "/shop board"))
	for _, who := range []string{"ada", "bram"} {
		if r := told(t, d, who, "/shop board"); boardPath.MatchString(strings.Join(r.Notes, " ")) || fact(t, r, "made_by").Text != "ada" {
			t.Errorf("%s is told %+v", who, r)
		}
	}
	golden(t, "shop_board_revoke", press(t, d, "ada", ask(t, d, "ada", "/shop board"), "Take the address back"))
	if r := told(t, d, "ada", "/shop board"); len(r.Facts) != 0 {
		t.Errorf("after it was taken back: %+v", r)
	}
}

// A manager's button does not work in other hands.
func TestShopBoardButtonsAskWhoPresses(t *testing.T) {
	d := desk(t)
	made := ask(t, d, "ada", "/shop board do:make")
	ans := press(t, d, "bram", made, "Take it back")
	if ans.Fault == nil || ans.Fault.Code != fault.NotAllowed {
		t.Errorf("bram pressed it: %+v", ans)
	}
	if len(told(t, d, "ada", "/shop board").Facts) == 0 {
		t.Error("the board is gone")
	}
}

// The address is told whole where the program knows how it begins.
func TestShopBoardAddress(t *testing.T) {
	for _, c := range []struct {
		place   commands.Place
		key     string
		begins  string
		remarks string // in a note; "" is none about where it is served
	}{
		{commands.Place{Board: true, BoardAt: "http://127.0.0.1:8090", BoardPath: place.BoardPath}, "address", "http://127.0.0.1:8090/b/", ""},
		{commands.Place{Board: true, BoardPath: place.BoardPath}, "path", "/b/", "port of board_listen"},
		{place, "path", "/b/", "sets board_listen"},
	} {
		db, err := sqlite.Memory(t.Context(), sqlite.Config{Rand: rand.Reader})
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close()
		if err := demo.Seed(t.Context(), db, monday); err != nil {
			t.Fatal(err)
		}
		d, err := chat.New(chat.Config{
			Commands: commands.All(db.Books(), mesh.DeskLimits(), c.place), People: db, Lines: db,
			Log: slog.New(slog.DiscardHandler), NewRef: func() string { return "ref-1" }, Now: time.Now,
		})
		if err != nil {
			t.Fatal(err)
		}
		r := told(t, d, "ada", "/shop board do:make")
		if got := fact(t, r, c.key).Text; !strings.HasPrefix(got, c.begins) {
			t.Errorf("%s is %q, want it to begin with %q", c.key, got, c.begins)
		}
		if c.remarks != "" && !said(r, c.remarks) {
			t.Errorf("no note says %q: %q", c.remarks, r.Notes)
		}
		if c.remarks == "" && said(r, "board_listen") {
			t.Errorf("told to set what is set: %q", r.Notes)
		}
	}
}
