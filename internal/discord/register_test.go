package discord

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/url"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/discord/fake"
)

func registerOn(t *testing.T, s *fake.Server, commands []*chat.Command, dry bool) (string, error) {
	t.Helper()
	var out bytes.Buffer
	err := Register(t.Context(), Config{Token: fake.Token, APIBase: s.APIBase()}, commands, dry, &out)
	return out.String(), err
}

// TestRegister writes the commands once, and again only what has changed.
func TestRegister(t *testing.T) {
	s := fake.Start(t)
	commands := newDesk(t, &bench{}).Commands()

	out, err := registerOn(t, s, commands, true)
	if err != nil || !strings.Contains(out, "+ /volume") || !strings.Contains(out, "Nothing was written") {
		t.Errorf("dry run: %v\n%s", err, out)
	}
	if _, puts := s.Commands(); puts != 0 {
		t.Error("a dry run wrote")
	}
	if out, err = registerOn(t, s, commands, false); err != nil || !strings.Contains(out, fmt.Sprint(len(commands), " commands are registered")) {
		t.Errorf("first: %v\n%s", err, out)
	}
	for range 2 {
		if out, err = registerOn(t, s, commands, false); err != nil || out != "The registered commands are up to date.\n" {
			t.Errorf("again: %v\n%s", err, out)
		}
	}
	if _, puts := s.Commands(); puts != 1 {
		t.Errorf("written %d times, want once", puts)
	}

	changed := append([]*chat.Command(nil), commands...)
	for i, c := range changed {
		if c.Name == "volume" {
			c := *c
			c.Subs = append([]chat.Sub(nil), c.Subs...)
			c.Subs[0].Help = "Of a shape, by its sizes"
			changed[i] = &c
		}
	}
	changed = changed[1:]
	out, err = registerOn(t, s, changed, false)
	for _, want := range []string{"~ /volume", "- shape.description = Of a shape by its sizes", "+ shape.description = Of a shape, by its sizes", "- /" + commands[0].Name} {
		if err != nil || !strings.Contains(out, want) {
			t.Errorf("changed: %v, want %q in\n%s", err, want, out)
		}
	}
}

// TestRegisterShape looks at what is registered of a declaration.
func TestRegisterShape(t *testing.T) {
	list, err := declare(newDesk(t, &bench{}).Commands())
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
	var pretty bytes.Buffer
	if err := json.Indent(&pretty, raw, "", " "); err != nil {
		t.Fatal(err)
	}
	golden(t, "commands.json", append(pretty.Bytes(), '\n'))
}

// Whatever somebody else has set at a registered command is a difference: what
// the service stores of a command and of its options (ApplicationCommandResponse
// and its options, OpenAPI of 2026-07-18), but for what follows from the rest.
func TestRegisterSeesEveryDifference(t *testing.T) {
	wanted, err := declare(newDesk(t, &bench{}).Commands())
	if err != nil {
		t.Fatal(err)
	}
	raw, err := marshal(wanted)
	if err != nil {
		t.Fatal(err)
	}
	locale := map[string]any{"fr": "autre"}
	for key, value := range map[string]any{
		"type": 2, "name": "other", "name_localizations": locale, "description": "other", "description_localizations": locale,
		"contexts": []any{0}, "integration_types": []any{0}, "default_member_permissions": "0", "nsfw": true, "options": []any{},
	} {
		differs(t, raw, wanted, key, value, func(c map[string]any) map[string]any { return c })
	}
	for key, value := range map[string]any{
		"type": optionNumber, "name": "other", "name_localizations": locale, "description": "other", "description_localizations": locale,
		"required": true, "autocomplete": true, "choices": []any{map[string]any{"name": "a", "value": "b"}},
		"min_value": 1, "max_value": 1, "min_length": 0, "max_length": 0, "channel_types": []any{0}, "file_types": []any{".stl"},
	} {
		differs(t, raw, wanted, key, value, func(c map[string]any) map[string]any {
			return c["options"].([]any)[1].(map[string]any)
		})
	}
}

// differs sets one thing of the registered /cure, and wants it to be seen.
func differs(t *testing.T, raw []byte, wanted []command, key string, value any, of func(map[string]any) map[string]any) {
	t.Helper()
	var list []map[string]any
	if err := json.Unmarshal(raw, &list); err != nil {
		t.Fatal(err)
	}
	for _, c := range list {
		if c["name"] == "cure" {
			of(c)[key] = value
		}
	}
	changed, err := json.Marshal(list)
	if err != nil {
		t.Fatal(err)
	}
	var have []command
	if err := json.Unmarshal(changed, &have); err != nil {
		t.Fatal(err)
	}
	if len(compare(have, wanted)) == 0 {
		t.Errorf("%s = %v at a registered command is no difference", key, value)
	}
}

func TestRegisterRefuses(t *testing.T) {
	long := &chat.Command{Name: "long", Help: "x", Subs: []chat.Sub{{}}}
	for n := range 25 {
		o := chat.Option{Name: fmt.Sprint("o", n), Help: strings.Repeat("h", 100), Kind: chat.OneWord}
		for m := range 25 {
			o.Choices = append(o.Choices, chat.Choice{Value: fmt.Sprint("a rather long choice ", m)})
		}
		long.Subs[0].Options = append(long.Subs[0].Options, o)
	}
	var many []*chat.Command
	for n := range 101 {
		many = append(many, &chat.Command{Name: fmt.Sprint("c", n), Help: "x", Subs: []chat.Sub{{}}})
	}
	s := fake.Start(t)
	for want, commands := range map[string][]*chat.Command{"at most 8000": {long}, "101 commands": many} {
		if _, err := registerOn(t, s, commands, false); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
	if n := len(s.Requests("")); n != 0 {
		t.Errorf("%d requests were made", n)
	}
}

// TestRegisterDailyLimit says what the service's refusal means.
func TestRegisterDailyLimit(t *testing.T) {
	s := fake.Start(t)
	var answer struct{ Body json.RawMessage }
	if err := json.Unmarshal(fake.Example(t, "rest/error_30034"), &answer); err != nil {
		t.Fatal(err)
	}
	s.Inject(fake.Fault{Route: "PUT /applications/{application}/commands", Status: 400, Body: string(answer.Body)})
	if _, err := registerOn(t, s, newDesk(t, &bench{}).Commands(), false); err == nil || !strings.Contains(err.Error(), "try again tomorrow") {
		t.Errorf("got %v", err)
	}
}

func TestCheck(t *testing.T) {
	s := fake.Start(t)
	cfg := Config{Token: fake.Token, APIBase: s.APIBase()}
	h, err := Check(t.Context(), cfg)
	if err != nil || h.ApplicationID != fake.ApplicationID || h.Starts != 1000 || h.Shards != 1 {
		t.Errorf("%+v, %v", h, err)
	}
	cases := map[string]func(*Config){
		"refused":               func(c *Config) { c.Token = "another" },
		"the token belongs to":  func(c *Config) { c.ApplicationID = "715000000000000009" },
		"no bot token":          func(c *Config) { c.Token = "" },
		"nor on this machine":   func(c *Config) { c.APIBase = "https://example.org" },
		"context deadline exce": func(*Config) { s.Inject(fake.Fault{Delay: 300_000_000}) },
	}
	for want, change := range cases {
		c := cfg
		change(&c)
		ctx := context.Context(t.Context())
		if strings.HasPrefix(want, "context") {
			ctx = within(t, 50_000_000)
		}
		if _, err := Check(ctx, c); err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), fake.Token) {
			t.Errorf("%v, want %q", err, want)
		}
	}
}

// TestInviteURL asks for five permissions and no more. Their bits are those of
// the service's documentation, "Bitwise Permission Flags": View Channel
// 0x400, Send Messages 0x800, Embed Links 0x4000, Attach Files 0x8000, Read
// Message History 0x10000.
func TestInviteURL(t *testing.T) {
	u, err := url.Parse(InviteURL(fake.ApplicationID))
	if err != nil {
		t.Fatal(err)
	}
	q := u.Query()
	if u.Scheme != "https" || u.Host != "discord.com" || q.Get("client_id") != fake.ApplicationID ||
		q.Get("scope") != "bot applications.commands" || q.Get("permissions") != fmt.Sprint(0x400+0x800+0x4000+0x8000+0x10000) {
		t.Errorf("%s", u)
	}
}
