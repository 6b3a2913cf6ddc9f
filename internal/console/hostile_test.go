package console_test

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/console"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/testkit"
)

// TestHostileMembers: nothing that a member wrote steers the terminal of
// another, begins a line of its own, or breaks the one line of JSON.
func TestHostileMembers(t *testing.T) {
	h := testkit.NewHostile(t)
	seen := 0
	h.Each(t, func(line string, ans chat.Answer) {
		var out bytes.Buffer
		screen := console.Screen{W: &out, Width: 2000}
		if err := screen.Show(ans, nil); err != nil {
			t.Fatal(err)
		}
		for text := range strings.SplitSeq(out.String(), "\n") {
			if at := strings.IndexFunc(text, shop.Unseen); at >= 0 || !utf8.ValidString(text) || shop.Heaped(text) {
				t.Errorf("%q is shown as %q", line, text)
			}
			if strings.HasPrefix(strings.TrimSpace(text), testkit.Forged) {
				t.Errorf("%q begins a line with what was forged: %q", line, text)
			}
		}
		seen += strings.Count(out.String(), testkit.Forged)

		out.Reset()
		if err := console.WriteJSON(&out, ans); err != nil {
			t.Fatal(err)
		}
		var v any
		if err := json.Unmarshal(out.Bytes(), &v); err != nil || bytes.Count(out.Bytes(), []byte("\n")) != 1 {
			t.Errorf("%q: JSON %q: %v", line, out.String(), err)
		}
		texts(v, func(s string) {
			if strings.ContainsFunc(s, func(r rune) bool { return r != '\n' && chat.Hidden(r) }) {
				t.Errorf("%q: JSON holds %q", line, s)
			}
		})
	})
	if seen < 20 {
		t.Errorf("what was forged is seen %d times at all, so this looked at nothing", seen)
	}
}

// texts are all strings of a JSON value but ids, which only programs read.
func texts(v any, see func(string)) {
	switch v := v.(type) {
	case string:
		see(v)
	case []any:
		for _, e := range v {
			texts(e, see)
		}
	case map[string]any:
		for k, e := range v {
			if k != "id" {
				texts(e, see)
			}
		}
	}
}
