package discord_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/binary"
	"log/slog"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/commands"
	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/discord"
	"github.com/pourwright/pourwright/internal/discord/fake"
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// shopDesk puts the real commands over a real database.
func shopDesk(t *testing.T) *chat.Dispatcher {
	t.Helper()
	db, err := sqlite.Memory(t.Context(), sqlite.Config{Rand: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	})
	desk, err := chat.New(chat.Config{
		Commands: commands.All(db.Books(), mesh.ChatLimits(), commands.Place{}), People: db, Lines: db, Log: slog.New(slog.DiscardHandler),
		NewRef: func() string { return "ref-1" }, Now: time.Now, Terms: caution.Used,
	})
	if err != nil {
		t.Fatal(err)
	}
	return desk
}

// block is a binary STL of a box with edges of 40, 30 and 20 mm: 24 mL.
func block() []byte {
	corner := func(n int) [3]float32 {
		return [3]float32{float32(n&1) * 40, float32(n>>1&1) * 30, float32(n>>2&1) * 20}
	}
	faces := [][3]int{{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, {0, 1, 4}, {1, 5, 4}, {2, 6, 3}, {3, 6, 7}, {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}}
	var b bytes.Buffer
	b.Write(make([]byte, 80))
	write := func(v any) {
		if err := binary.Write(&b, binary.LittleEndian, v); err != nil {
			panic(err)
		}
	}
	write(uint32(len(faces)))
	for _, f := range faces {
		write([3]float32{})
		for _, n := range f {
			write(corner(n))
		}
		write(uint16(0))
	}
	return b.Bytes()
}

// call is a slash command of a member in the guild, with options in order.
func call(t *testing.T, s *fake.Server, name, sub string, options ...any) []byte {
	t.Helper()
	list := append([]any{}, options...)
	if sub != "" {
		list = []any{map[string]any{"type": 1, "name": sub, "options": list}}
	}
	return s.Fresh(fake.With(t, fake.Example(t, "03_slash_attachment"), map[string]any{
		"data.name": name, "data.options": list, "member.user.id": "715000000000000102"}))
}

func word(name, value string) any {
	return map[string]any{"type": 3, "name": name, "value": value}
}

// TestConversation is a first evening with the bot, over real sockets and the
// real gateway library: invite, register, a material from a form, a batch for
// an attached part, its working, its posting to the channel, and a change of
// mind that takes the answer's place.
func TestConversation(t *testing.T) {
	t.Parallel()
	t.Run("gateway", func(t *testing.T) {
		t.Parallel()
		testConversation(t, func(t *testing.T, s *fake.Server, cfg discord.Config, desk discord.Desk) runner {
			gateway, err := discord.New(cfg, desk)
			if err != nil {
				t.Fatal(err)
			}
			gateway.Unhurried(s)
			return gateway
		})
	})
	t.Run("posted", func(t *testing.T) {
		t.Parallel()
		testConversation(t, func(t *testing.T, s *fake.Server, cfg discord.Config, desk discord.Desk) runner {
			cfg.ApplicationID, cfg.PublicKey, cfg.Listen = fake.ApplicationID, s.PublicKey(), "127.0.0.1:0"
			endpoint, err := discord.NewEndpoint(cfg, desk)
			if err != nil {
				t.Fatal(err)
			}
			endpoint.Unhurried(s)
			s.PostTo(nil, "http://"+endpoint.Addr()+"/interactions")
			return endpoint
		})
	})
}

// runner is a way in.
type runner interface{ Run(context.Context) error }

func testConversation(t *testing.T, open func(*testing.T, *fake.Server, discord.Config, discord.Desk) runner) {
	s := fake.Start(t)
	desk := shopDesk(t)
	cfg := discord.Config{Token: fake.Token, APIBase: s.APIBase()}

	h, err := discord.Check(t.Context(), cfg)
	if err != nil {
		t.Fatal(err)
	}
	if invite := discord.InviteURL(h.ApplicationID); !strings.Contains(invite, "client_id="+fake.ApplicationID) {
		t.Errorf("invitation %s", invite)
	}
	var out bytes.Buffer
	if err := discord.Register(t.Context(), cfg, desk.Commands(), false, &out); err != nil {
		t.Fatalf("%v\n%s", err, &out)
	}
	if err := discord.Register(t.Context(), cfg, desk.Commands(), false, &out); err != nil || !strings.HasSuffix(out.String(), "up to date.\n") {
		t.Errorf("second time: %v\n%s", err, &out)
	}

	way := open(t, s, cfg, desk)
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- way.Run(ctx) }()
	defer func() {
		cancel()
		if err := <-ended; err != nil {
			t.Errorf("Run: %v", err)
		}
	}()

	if pong := s.Send(s.Fresh(fake.Example(t, "01_ping"))).Await(); pong.Kind != fake.Pong {
		t.Errorf("a ping was answered by %+v", pong)
	}
	opened := s.Send(call(t, s, "material", "add")).Await()
	if opened.Kind != fake.Form {
		t.Fatalf("no form: %s", opened.Text())
	}
	mine := func(raw []byte) []byte {
		return fake.With(t, raw, map[string]any{"member.user.id": "715000000000000102"})
	}
	kept := s.Send(mine(s.Submit(opened, map[string]any{
		"name": "bench white, urethane", "ratio": "1:1 vol", "density_a": "1.10, 1.02", "pot_life": "3 min, 100 g, 23 C", "demold": "12 min, 6 mm"}))).Await()
	if !strings.Contains(kept.Text(), "bench white") || strings.Contains(kept.Text(), "**Try:**") {
		t.Fatalf("not kept: %s", kept.Text())
	}

	typing := s.Send(fake.With(t, s.Fresh(fake.Example(t, "06_autocomplete_string")), map[string]any{
		"member.user.id": "715000000000000102",
		"data": map[string]any{"id": "715000000000000401", "name": "batch", "type": 1, "options": []any{
			map[string]any{"type": 3, "name": "material", "value": "bench", "focused": true}}}})).Await()
	if typing.Kind != fake.Suggestions || !strings.Contains(string(typing.JSON()), "bench white") {
		t.Errorf("suggestions %s", typing.JSON())
	}

	part := block()
	file := map[string]any{"type": 11, "name": "file", "value": "715000000000000501"}
	order := fake.With(t, call(t, s, "batch", "", word("material", "bench white"), file, word("unit", "mm")), map[string]any{
		"data.resolved.attachments.715000000000000501.url":  s.AddFile("pier.stl", part),
		"data.resolved.attachments.715000000000000501.size": len(part),
	})
	e := s.Send(order)
	batch := e.Await()
	// 24 mL by the box's edges, plus the waste that the answer names.
	if e.Kind() != fake.Defer || !batch.Edited || !batch.Ephemeral || !strings.Contains(batch.Text(), "Part A") {
		t.Fatalf("batch (%d): %s", e.Kind(), batch.Text())
	}

	working := s.Send(mine(s.Press(batch, batch.Button("Show working")))).Await()
	if !working.Ephemeral || !strings.Contains(working.Text(), "24") {
		t.Errorf("working: %s", working.Text())
	}
	posted := s.Send(mine(s.Press(batch, batch.Button("Post here")))).Await()
	if posted.Ephemeral || !strings.Contains(posted.Text(), "Part A") {
		t.Errorf("posted: %s", posted.Text())
	}

	// A near name is offered, and the press puts the answer in its place.
	slip := s.Send(call(t, s, "batch", "", word("material", "bench whit"), word("volume", "100 ml"))).Await()
	offer := slip.Button("bench white")
	if !slip.Ephemeral || offer == "" {
		t.Fatalf("no offer: %s %s", slip.Text(), slip.JSON())
	}
	press := s.Send(mine(s.Press(slip, offer)))
	if replaced := press.Await(); replaced.Kind != fake.Update || !strings.Contains(replaced.Text(), "Part A") {
		t.Errorf("replaced: %+v", replaced)
	}
}
