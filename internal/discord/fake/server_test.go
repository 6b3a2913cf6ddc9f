package fake

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"
)

// client sends bare requests, right or wrong.
type client struct {
	t *testing.T
	s *Server
}

func (c client) do(method, path, body string, change ...func(*http.Request)) (status, code int) {
	c.t.Helper()
	r, err := http.NewRequest(method, c.s.APIBase()+path, strings.NewReader(body))
	if err != nil {
		c.t.Fatal(err)
	}
	r.Header.Set("User-Agent", "DiscordBot (https://example.org, 1)")
	if body != "" {
		r.Header.Set("Content-Type", "application/json")
	}
	if !strings.HasPrefix(path, "/interactions") && !strings.HasPrefix(path, "/webhooks") {
		r.Header.Set("Authorization", "Bot "+Token)
	}
	for _, f := range change {
		f(r)
	}
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		return 0, 0
	}
	defer answer.Body.Close()
	raw, err := io.ReadAll(answer.Body)
	if err != nil {
		c.t.Fatal(err)
	}
	var doc apiError
	if bytes.HasPrefix(raw, []byte("{")) {
		if err := json.Unmarshal(raw, &doc); err != nil {
			c.t.Fatal(err)
		}
	}
	return answer.StatusCode, doc.Code
}

// startStill begins a server whose clock stands but for what Advance moves it:
// how quick this machine is decides nothing.
func startStill(t *testing.T) *Server {
	t.Helper()
	s := Start(t)
	now := time.Now()
	s.clock = func() time.Time { return now }
	return s
}

const goodMessage = `{"content":"hi","allowed_mentions":{"parse":[]}}`

// TestConversationRules walks through the life of an interaction, one wrong
// step at a time, and wants the service's answer and a complaint where the bot
// is to blame.
func TestConversationRules(t *testing.T) {
	slash, press, form, complete := "02_slash_subcommand_strings", "08_button_press", "10_modal_submit_labels", "06_autocomplete_string"
	const callback, original, follow = "callback", "original", "follow"
	say := `{"type":4,"data":` + goodMessage + `}`
	type step struct {
		to, body     string
		after        time.Duration
		status, code int
		complaint    string
	}
	cases := map[string]struct {
		example string
		steps   []step
	}{
		"answer and edit":           {slash, []step{{to: callback, body: say, status: 204}, {to: original, body: goodMessage, status: 200}, {to: follow, body: goodMessage, status: 200}}},
		"deferral and edit":         {slash, []step{{to: callback, body: `{"type":5}`, status: 204}, {to: original, body: goodMessage, status: 200}}},
		"twice":                     {slash, []step{{to: callback, body: say, status: 204}, {to: callback, body: say, status: 400, code: 40060, complaint: "second answer"}}},
		"late":                      {slash, []step{{to: callback, body: say, after: 3100 * time.Millisecond, status: 404, code: 10062, complaint: "after the interaction"}}},
		"edit before an answer":     {slash, []step{{to: original, body: goodMessage, status: 404, code: 10015}}},
		"follow-up too soon":        {slash, []step{{to: callback, body: `{"type":5}`, status: 204}, {to: follow, body: goodMessage, status: 400, code: 50035, complaint: "before the announced message"}}},
		"edit of an old message":    {slash, []step{{to: callback, body: say, status: 204}, {to: original, body: goodMessage, after: 16 * time.Minute, status: 401, code: 50027}}},
		"edit that hides":           {slash, []step{{to: callback, body: say, status: 204}, {to: original, body: `{"content":"hi","allowed_mentions":{"parse":[]},"flags":64}`, status: 400, code: 50035, complaint: "who sees"}}},
		"edit without mentions":     {slash, []step{{to: callback, body: say, status: 204}, {to: original, body: `{"content":"hi"}`, status: 400, code: 50035, complaint: "allowed_mentions"}}},
		"suggestions to a command":  {slash, []step{{to: callback, body: `{"type":8,"data":{"choices":[]}}`, status: 400, code: 50035, complaint: "completions"}}},
		"a message to a completion": {complete, []step{{to: callback, body: say, status: 400, code: 50035, complaint: "completions"}}},
		"update of nothing":         {slash, []step{{to: callback, body: `{"type":6}`, status: 400, code: 50035, complaint: "without a message"}}},
		"update of a message":       {press, []step{{to: callback, body: `{"type":6}`, status: 204}, {to: original, body: goodMessage, status: 200}}},
		"form after a form":         {form, []step{{to: callback, body: `{"type":9,"data":{"custom_id":"f","title":"t","components":[{"type":10,"content":"x"}]}}`, status: 400, code: 50035, complaint: "form after a form"}}},
		"out of v2":                 {slash, []step{{to: callback, body: `{"type":4,"data":{"allowed_mentions":{"parse":[]},"components":[{"type":10,"content":"x"}],"flags":32768}}`, status: 204}, {to: original, body: goodMessage, status: 400, code: 50035, complaint: "leaves its flag out"}}},
		"into v2 with old content":  {slash, []step{{to: callback, body: say, status: 204}, {to: original, body: `{"allowed_mentions":{"parse":[]},"components":[{"type":10,"content":"x"}],"flags":32768}`, status: 400, code: 50035, complaint: "content null"}}},
		"into v2":                   {slash, []step{{to: callback, body: say, status: 204}, {to: original, body: `{"content":null,"embeds":[],"allowed_mentions":{"parse":[]},"components":[{"type":10,"content":"x"}],"flags":32768}`, status: 200}}},
		"six follow-ups of a guest": {"15_user_install_in_a_guild_without_the_bot", []step{{to: callback, body: say, status: 204},
			{to: follow, body: goodMessage, status: 200}, {to: follow, body: goodMessage, status: 200}, {to: follow, body: goodMessage, status: 200},
			{to: follow, body: goodMessage, status: 200}, {to: follow, body: goodMessage, status: 200}, {to: follow, body: goodMessage, status: 400, code: 40094}}},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			s := startStill(t)
			e := s.Expect(Example(t, c.example))
			paths := map[string]string{
				callback: "POST /interactions/" + e.ID + "/" + e.Token + "/callback",
				original: "PATCH /webhooks/" + ApplicationID + "/" + e.Token + "/messages/@original",
				follow:   "POST /webhooks/" + ApplicationID + "/" + e.Token,
			}
			for n, step := range c.steps {
				s.Advance(step.after)
				method, path, _ := strings.Cut(paths[step.to], " ")
				status, code := client{t, s}.do(method, path, step.body)
				if status != step.status || code != step.code {
					t.Errorf("step %d: %d, code %d; want %d, code %d", n, status, code, step.status, step.code)
				}
				found := strings.Join(s.TakeViolations(), "\n")
				if step.complaint == "" && found != "" || !strings.Contains(found, step.complaint) {
					t.Errorf("step %d: complaint %q, want %q", n, found, step.complaint)
				}
			}
		})
	}
}

func TestHeaderRules(t *testing.T) {
	cases := map[string]struct {
		method, path, body string
		change             func(*http.Request)
		status             int
		complaint          string
	}{
		"good":             {"GET", "/gateway/bot", "", func(*http.Request) {}, 200, ""},
		"wrong token":      {"GET", "/gateway/bot", "", func(r *http.Request) { r.Header.Set("Authorization", "Bot x") }, 401, ""},
		"wrong agent":      {"GET", "/gateway/bot", "", func(r *http.Request) { r.Header.Set("User-Agent", "curl") }, 200, "User-Agent"},
		"token on a hook":  {"POST", "/webhooks/1/x", goodMessage, func(r *http.Request) { r.Header.Set("Authorization", "Bot "+Token) }, 401, "Authorization"},
		"body on a GET":    {"GET", "/gateway/bot", "{}", func(*http.Request) {}, 400, "a body"},
		"no content type":  {"POST", "/users/@me/channels", `{"recipient_id":"715000000000000104"}`, func(r *http.Request) { r.Header.Del("Content-Type") }, 400, "content type"},
		"broken JSON":      {"POST", "/users/@me/channels", `{"recipient_id":`, func(*http.Request) {}, 400, "unexpected end"},
		"no such route":    {"GET", "/guilds/1", "", func(*http.Request) {}, 404, "no route"},
		"old version":      {"GET", "/../v9/gateway", "", func(*http.Request) {}, 404, "no route"},
		"no localizations": {"GET", "/applications/1/commands", "", func(*http.Request) {}, 200, "with_localizations"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			s := Start(t)
			status, _ := client{t, s}.do(c.method, c.path, c.body, c.change)
			found := strings.Join(s.TakeViolations(), "\n")
			if status != c.status || c.complaint == "" && found != "" || !strings.Contains(found, c.complaint) {
				t.Errorf("status %d, complaint %q; want %d, %q", status, found, c.status, c.complaint)
			}
		})
	}
}

// TestLimitsAreJudged wants a client that ignores limits to be found out.
func TestLimitsAreJudged(t *testing.T) {
	s := startStill(t)
	s.Limit("GET /gateway", 2, time.Hour)
	c := client{t, s}
	for n, want := range []int{200, 200, 429} {
		if status, _ := c.do("GET", "/gateway", ""); status != want {
			t.Errorf("request %d: %d, want %d", n, status, want)
		}
	}
	if found := s.TakeViolations(); len(found) != 1 || !strings.Contains(found[0], "more than 2 requests") {
		t.Errorf("complaints %q", found)
	}
	for range 60 {
		c.do("GET", "/gateway/bot", "")
	}
	if found := strings.Join(s.TakeViolations(), "\n"); !strings.Contains(found, "more than 50 requests in a second") {
		t.Errorf("complaints %q", found)
	}
}

// TestNonce gives the first message back, as the service does.
func TestNonce(t *testing.T) {
	s := Start(t)
	c := client{t, s}
	body := `{"content":"due","nonce":"7","enforce_nonce":true,"allowed_mentions":{"parse":[]}}`
	for range 2 {
		if status, _ := c.do("POST", "/channels/"+ChannelID+"/messages", body); status != 200 {
			t.Errorf("status %d", status)
		}
	}
	if len(s.nonces) != 1 {
		t.Errorf("%d messages kept, want 1", len(s.nonces))
	}
}

func TestFaults(t *testing.T) {
	s := Start(t)
	c := client{t, s}
	s.Inject(Fault{Route: "GET /gateway", Status: 502})
	s.Inject(Fault{Route: "GET /gateway", Drop: true})
	for _, scope := range []Scope{User, Shared, Global, Banned} {
		s.Inject(Limited(t, "GET /gateway", scope, time.Second))
	}
	var got []string
	for range 7 {
		status, _ := c.do("GET", "/gateway", "")
		got = append(got, fmt.Sprint(status))
	}
	if want := "502 0 429 429 429 429 200"; strings.Join(got, " ") != want {
		// net/http sends a GET again when an idle connection was closed under it.
		if alt := "502 429 429 429 429 200 200"; strings.Join(got, " ") != alt {
			t.Errorf("answers %q, want %q", strings.Join(got, " "), want)
		}
	}
}
