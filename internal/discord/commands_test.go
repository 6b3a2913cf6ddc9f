package discord

import (
	"crypto/rand"
	"log/slog"
	"path/filepath"
	"testing"
	"time"

	"github.com/pourwright/pourwright/commands"
	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/demo"
	"github.com/pourwright/pourwright/internal/discord/fake"
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// demoDesk is the demo shop in a database file.
func demoDesk(t testing.TB) *chat.Dispatcher {
	t.Helper()
	db, err := sqlite.Open(t.Context(), sqlite.Config{Path: filepath.Join(t.TempDir(), "shop.db"), Rand: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	})
	if err := demo.Seed(t.Context(), db, testTime); err != nil {
		t.Fatal(err)
	}
	desk, err := chat.New(chat.Config{
		Commands: commands.All(db.Books(), mesh.ChatLimits(), commands.Place{}), People: db, Lines: db, Log: slog.New(slog.DiscardHandler),
		NewRef: func() string { return "ref-1" }, Now: time.Now, Terms: caution.Used,
	})
	if err != nil {
		t.Fatal(err)
	}
	return desk
}

func asAda(i chat.Invocation) chat.Invocation {
	i.At, i.MemberKey, i.MemberName, i.ShopKey = testTime, "local:ada", "ada", demo.ShopKey
	return i
}

// TestEveryCommandFits renders the answer to each question that a command says
// it answers, and what all its buttons lead to, and has each judged.
func TestEveryCommandFits(t *testing.T) {
	t.Parallel()
	desk := demoDesk(t)
	answers := 0
	show := func(what string, ans chat.Answer) {
		answers++
		t.Run(what, func(t *testing.T) {
			if ans.Form != nil {
				raw, err := marshal(callback{Type: answerForm, Data: renderForm(ans.Form)})
				if err != nil {
					t.Fatal(err)
				}
				for _, bad := range fake.JudgeAnswer(raw, nil) {
					t.Error(bad)
				}
				return
			}
			judge(t, render(ans, 0))
		})
	}
	for _, c := range desk.Commands() {
		if len(c.Asks) == 0 {
			t.Errorf("/%s answers no question", c.Name)
		}
		for _, ask := range c.Asks {
			ans := desk.Do(t.Context(), asAda(chat.Invocation{Line: ask.Line}))
			show(ask.Line, ans)
			if ans.Reply == nil {
				continue
			}
			for _, a := range ans.Reply.Actions {
				show(ask.Line+" → "+a.Label, desk.Do(t.Context(), asAda(chat.Invocation{Press: a.ID})))
			}
		}
		for _, s := range c.Subs {
			show("/"+c.Path(&s), desk.Do(t.Context(), asAda(chat.Invocation{Command: c.Name, Sub: s.Name, Forms: true})))
		}
	}
	t.Logf("%d answers judged", answers)
}

// TestCommandsRegister judges the real declarations, and the count of
// characters that the service limits.
func TestCommandsRegister(t *testing.T) {
	list, err := declare(demoDesk(t).Commands())
	if err != nil {
		t.Fatal(err)
	}
	raw, err := marshal(list)
	if err != nil {
		t.Fatal(err)
	}
	for _, bad := range fake.JudgeCommands(raw) {
		t.Error(bad)
	}
}
