package discord

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/discord/fake"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/testkit"
)

// Markup that is ours: heads of sections, the numbers of a table's things,
// times, and the marks of lists.
var (
	escaped = regexp.MustCompile(`\\[!-/:-@\[-` + "`" + `{-~]`)
	ours    = regexp.MustCompile(`\*\*(?:Caution|Steps|Option:|Try:|\d)\*\*|<t:\d+:[tfFR]>`)
	// A title that holds a time stands in the text, bold as titles are.
	boldLine = regexp.MustCompile(`(?m)^\*\*([^*]*)\*\*$`)
	listMark = regexp.MustCompile(`(?m)^(?:- |\d+\. )`)
	live     = regexp.MustCompile("(?m)[*_~`|<>@\\[\\]]|^\\s*(?:#|-|\\+|\\d+[.)] )|://|:[^\\s:]+:")
)

// liveMarkup gives what the service would read as markup in a text of ours, ""
// if nothing.
func liveMarkup(s string) string {
	s = escaped.ReplaceAllString(s, "·")
	s = boldLine.ReplaceAllString(ours.ReplaceAllString(s, "·"), "· $1")
	s = listMark.ReplaceAllString(s, "·")
	return live.FindString(s)
}

func TestLiveMarkup(t *testing.T) {
	for text, want := range map[string]string{
		"**Caution**\n- open a window": "", `1\*2`: "", "10. of May": "", "a - b": "",
		"**a title at <t:1:t>**": "", "**a** b**": "*", "x **bold**": "*", "<@1>": "<", "x\n# big": "#", "`x`": "`", "see https://example.org": "://", "- # big": "", ":smile:": ":smile:",
	} {
		if got := liveMarkup(text); got != want {
			t.Errorf("in %q markup %q is live, want %q", text, got, want)
		}
	}
}

// TestHostileMembers: whatever a member wrote, what others are sent fits the
// schema, pings nobody, has no markup but ours and nothing that can't be seen.
func TestHostileMembers(t *testing.T) {
	t.Parallel()
	h := testkit.NewHostile(t)
	messages, forged, suggested := 0, 0, 0
	h.Each(t, func(line string, ans chat.Answer) {
		if ans.Form != nil {
			judgeForm(t, line, ans.Form)
			return
		}
		out := render(ans, 0)
		judge(t, out)
		messages++
		m := out.message
		if m.Content != nil && *m.Content != "" || len(m.Mentions.Parse)+len(m.Mentions.Users) > 0 {
			t.Fatalf("%q: content %v may mention %+v", line, m.Content, m.Mentions)
		}
		for _, card := range m.Embeds {
			texts := []string{card.Title, card.Description}
			for _, f := range card.Fields {
				texts = append(texts, f.Name, f.Value)
			}
			for _, s := range texts {
				if found := liveMarkup(s); found != "" {
					t.Errorf("%q: %q is live in %q", line, found, s)
				}
				for text := range strings.SplitSeq(s, "\n") {
					if strings.HasPrefix(text, testkit.Forged) {
						t.Errorf("%q: a line is forged in %q", line, s)
					}
				}
				forged += strings.Count(s, testkit.Forged)
			}
		}
		raw, err := json.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		visible(t, line, raw)
		for _, f := range out.files {
			if strings.ContainsAny(f.name, "/\\\"\n") || strings.HasPrefix(f.name, ".") {
				t.Errorf("%q: a file is called %q", line, f.name)
			}
		}
	})
	for option, line := range map[string]string{"material": "/batch", "mold": "/mold show", "tint": "/tint show", "formula": "/formula show", "topic": "/shop faq"} {
		for _, n := range append(testkit.Nasties(), testkit.Nasty{}) {
			call := h.Call(testkit.Victim, chat.FormatLine(line[1:], map[string]string{option: n.Text}, nil))
			found, err := h.Complete(t.Context(), call, option)
			if err != nil {
				t.Fatal(err)
			}
			raw, err := marshal(callback{Type: answerSuggestions, Data: renderChoices(found)})
			if err != nil {
				t.Fatal(err)
			}
			for _, bad := range fake.JudgeAnswer(raw, nil) {
				t.Errorf("suggestions for %q: %s", n.Text, bad)
			}
			visible(t, "suggestions for "+n.Text, raw)
			suggested += len(found)
		}
	}
	if suggested < 100 {
		t.Errorf("%d suggestions: this looked at too little", suggested)
	}
	if messages < 400 || forged < 20 {
		t.Errorf("%d messages, %d times a forged text: this looked at too little", messages, forged)
	}
}

func judgeForm(t *testing.T, line string, f *chat.OpenForm) {
	t.Helper()
	raw, err := marshal(callback{Type: answerForm, Data: renderForm(f)})
	if err != nil {
		t.Fatal(err)
	}
	for _, bad := range fake.JudgeAnswer(raw, nil) {
		t.Errorf("%q: %s", line, bad)
	}
}

// visible wants no text of a message to hold what can't be seen; ids are read
// by programs alone.
func visible(t *testing.T, line string, raw []byte) {
	t.Helper()
	var v any
	if err := json.Unmarshal(raw, &v); err != nil {
		t.Fatal(err)
	}
	var walk func(key string, v any)
	walk = func(key string, v any) {
		switch v := v.(type) {
		case string:
			bad := func(r rune) bool { return r != '\n' && chat.Hidden(r) || unicode.In(r, unicode.Zl, unicode.Zp) }
			if key != "custom_id" && key != "value" && (strings.ContainsFunc(v, bad) || shop.Heaped(v)) {
				t.Errorf("%q: %s is %q", line, key, v)
			}
		case []any:
			for _, e := range v {
				walk(key, e)
			}
		case map[string]any:
			for k, e := range v {
				if k == "value" && v["name"] != nil { // a field's
					walk("field", e)
				}
				walk(k, e)
			}
		}
	}
	walk("", v)
}
