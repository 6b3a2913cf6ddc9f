package discord_test

import (
	"context"
	"encoding/json"
	"strconv"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/discord"
	"github.com/pourwright/pourwright/internal/discord/fake"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/sqlite"
	"github.com/pourwright/pourwright/internal/testkit"
)

// People of the server: nora owns, bram is a member, mia may manage it.
const (
	nora = "715000000000000102"
	bram = "715000000000000103"
	mia  = "715000000000000104"

	server     = "715000000000000010"
	mayManage  = "32"
	mayNothing = "0"
)

// hall is the real commands behind the chat service.
type hall struct {
	*fake.Server
	t  *testing.T
	db *sqlite.DB
}

func newHall(t *testing.T) *hall {
	t.Helper()
	s := fake.Start(t)
	desk, db := testkit.Desk(t)
	gateway, err := discord.New(discord.Config{Token: fake.Token, APIBase: s.APIBase()}, desk)
	if err != nil {
		t.Fatal(err)
	}
	gateway.Unhurried(s)
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- gateway.Run(ctx) }()
	t.Cleanup(func() {
		cancel()
		if err := <-ended; err != nil {
			t.Errorf("Run: %v", err)
		}
	})
	return &hall{s, t, db}
}

// from changes an event so that it is that member's, with those permissions.
func (h *hall) from(raw []byte, who, may string, more map[string]any) []byte {
	changes := map[string]any{"member.user.id": who, "member.user.username": "u" + who, "member.permissions": may}
	for k, v := range more {
		changes[k] = v
	}
	return h.Fresh(fake.With(h.t, raw, changes))
}

// types is a slash command typed by someone.
func (h *hall) types(who, may, path string, options ...any) *fake.Shown {
	name, sub, _ := strings.Cut(path, " ")
	return h.Send(h.from(call(h.t, h.Server, name, sub, options...), who, may, nil)).Await()
}

// presses is a button with whatever id, which the service passes on.
func (h *hall) presses(who, may, id string, more map[string]any) *fake.Shown {
	changes := map[string]any{"data": map[string]any{"component_type": 2, "custom_id": id, "id": 2}}
	for k, v := range more {
		changes[k] = v
	}
	return h.Send(h.from(fake.Example(h.t, "08_button_press"), who, may, changes)).Await()
}

// sends is a form sent in under whatever id.
func (h *hall) sends(who, may, id string, fields map[string]string) *fake.Shown {
	var inputs []any
	for name, value := range fields {
		inputs = append(inputs, map[string]any{"type": 18, "component": map[string]any{"type": 4, "custom_id": name, "value": value}})
	}
	return h.Send(h.from(fake.Example(h.t, "10_modal_submit_labels"), who, may, map[string]any{
		"data": map[string]any{"custom_id": id, "components": inputs}})).Await()
}

func (h *hall) viewer(who string) shop.Viewer {
	h.t.Helper()
	m, err := h.db.Member(h.t.Context(), "discord:"+who, "", testkit.Noon)
	if err != nil {
		h.t.Fatal(err)
	}
	s, err := h.db.Shop(h.t.Context(), "discord:"+server, "", 0, testkit.Noon)
	if err != nil {
		h.t.Fatal(err)
	}
	return shop.Viewer{Member: m, Shop: s}
}

// white is nora's material as it is kept, with its shop's settings.
func (h *hall) white() string {
	h.t.Helper()
	v := h.viewer(nora)
	all, err := h.db.Materials(h.t.Context(), v)
	if err != nil {
		h.t.Fatal(err)
	}
	kept, err := json.Marshal([]any{all, v.Shop.Set})
	if err != nil {
		h.t.Fatal(err)
	}
	return string(kept)
}

func (h *hall) refuses(what string, got *fake.Shown, words string) {
	h.t.Helper()
	if !got.Ephemeral && got.Kind != fake.Update || !strings.Contains(got.Text(), words) || !strings.Contains(got.Text(), "**Try:**") {
		h.t.Errorf("%s: answered %q, want a refusal that says %q", what, got.Text(), words)
	}
}

// TestRightsInChat: a transport gives no right. Buttons and forms that were
// forged, that are another's, that are older than a change of rights, or that
// are pressed in another place come to what the presser may do there.
func TestRightsInChat(t *testing.T) {
	t.Parallel()
	h := newHall(t)
	made := h.types(nora, mayNothing, "material add", word("name", "own white"), word("family", "urethane"), word("ratio", "1:1 vol"),
		word("density_a", "1.10, 1.02"), word("pot_life", "3 min, 100 g, 23 C"))
	if !strings.Contains(made.Text(), "own white") {
		t.Fatalf("not kept: %s", made.Text())
	}
	owner := strconv.FormatInt(int64(h.viewer(nora).Member.ID), 36)
	id := func(verb chat.Verb, line string) string { return "1" + string(verb) + "." + owner + "." + line }
	before := h.white()
	const gone = "gone, or not shared with you"

	// While it is private.
	for _, verb := range []chat.Verb{chat.DoRun, chat.DoReplace, chat.DoPost, chat.DoWorking} {
		h.refuses("a forged look", h.presses(bram, mayNothing, id(verb, "/material show material:#1"), nil), "")
		h.refuses("a forged look by a manager", h.presses(mia, mayManage, id(verb, "/material show material:#1"), nil), "")
	}
	h.refuses("a forged removal", h.presses(bram, mayNothing, id(chat.DoReplace, "/material remove material:#1 sure:yes"), nil), gone)
	h.refuses("a forged share", h.presses(mia, mayManage, id(chat.DoRun, "/material share material:#1"), nil), gone)
	h.refuses("another's form", h.sends(bram, mayNothing, id(chat.DoForm, "/material edit material:#1"), map[string]string{"notes": "mine now"}), gone)
	h.refuses("another's form opened", h.presses(bram, mayNothing, "1fmain."+owner+"./material edit material:#1", nil), gone)
	h.refuses("a member sets the shop up", h.presses(bram, mayNothing, id(chat.DoRun, `/shop set temp:"5 C"`), nil), "manager")
	if now := h.white(); now != before {
		t.Errorf("others changed what nora keeps:\n%s\nwas\n%s", now, before)
	}

	// While it is shared: seen, and still nobody's but hers.
	if got := h.types(nora, mayNothing, "material share", word("material", "own white")); strings.Contains(got.Text(), "**Try:**") {
		t.Fatalf("not shared: %s", got.Text())
	}
	before = h.white()
	seen := h.types(bram, mayNothing, "material show", word("material", "own white"))
	batch := seen.Button("Size a 250 mL batch")
	if batch == "" {
		t.Fatalf("no button: %s", seen.JSON())
	}
	h.refuses("a forged removal", h.presses(bram, mayNothing, id(chat.DoReplace, "/material remove material:#1 sure:yes"), nil), "only its owner")
	h.refuses("a manager removes", h.presses(mia, mayManage, id(chat.DoReplace, "/material remove material:#1 sure:yes"), nil), "only its owner")
	h.refuses("another's form", h.sends(mia, mayManage, id(chat.DoForm, "/material edit material:#1"), map[string]string{"notes": "mine now"}), "only its owner")
	h.refuses("given away by another", h.presses(bram, mayNothing, id(chat.DoRun, "/material give material:#1 to:discord:"+bram), nil), "alone can give it")
	h.refuses("hidden by a member", h.presses(bram, mayNothing, id(chat.DoRun, "/material hide material:#1"), nil), "manage")
	// The service says at every call who manages: who no longer does, no longer may.
	if hidden := h.presses(mia, mayManage, id(chat.DoRun, "/material hide material:#1"), nil); strings.Contains(hidden.Text(), "**Try:**") {
		t.Fatalf("a manager can't hide: %s", hidden.Text())
	} else if undo := hidden.Button("Put it back"); undo == "" {
		t.Errorf("no way back: %s", hidden.JSON())
	} else {
		h.refuses("an old button of one who managed", h.presses(mia, mayNothing, undo, nil), "")
		h.refuses("hidden from members", h.presses(bram, mayNothing, batch, nil), gone)
		if back := h.presses(mia, mayManage, undo, nil); strings.Contains(back.Text(), "**Try:**") {
			t.Fatalf("not put back: %s", back.Text())
		}
	}

	// In a direct message, and where the application was not added to the
	// server, the shop is another one, whatever the server's id says.
	direct := h.Send(h.Fresh(fake.With(t, fake.Example(t, "13_dm_with_the_bot"), map[string]any{
		"user.id": bram, "data.name": "material", "data.options": []any{map[string]any{"type": 1, "name": "show", "options": []any{word("material", "#1")}}}}))).Await()
	h.refuses("in a direct message", direct, gone)
	alone := map[string]any{"authorizing_integration_owners": map[string]any{"1": mia}}
	h.refuses("without the application in the server", h.presses(mia, mayManage, id(chat.DoRun, "/material show material:#1"), alone), gone)
	h.refuses("hidden from without", h.presses(mia, mayManage, id(chat.DoRun, "/material hide material:#1"), alone), gone)
	if set := h.presses(mia, mayManage, id(chat.DoRun, `/shop set temp:"5 C"`), alone); strings.Contains(set.Text(), "**Try:**") {
		t.Errorf("who is alone can't set a bench of their own: %s", set.Text())
	}
	if now := h.white(); now != before {
		t.Errorf("others changed what nora keeps:\n%s\nwas\n%s", now, before)
	}

	// A button that is older than the change of rights.
	if got := h.types(nora, mayNothing, "material unshare", word("material", "own white")); strings.Contains(got.Text(), "**Try:**") {
		t.Fatalf("not taken back: %s", got.Text())
	}
	h.refuses("an old button", h.presses(bram, mayNothing, batch, nil), gone)
	if own := h.presses(nora, mayNothing, batch, nil); strings.Contains(own.Text(), "**Try:**") {
		t.Errorf("the owner's press: %s", own.Text())
	}
}
