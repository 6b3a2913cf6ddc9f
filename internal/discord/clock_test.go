package discord

import (
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/chat"
)

var (
	three = time.Date(2026, 11, 23, 15, 4, 0, 0, time.UTC)
	next  = three.Add(24 * time.Hour)
)

func TestClocks(t *testing.T) {
	c := newClocks([]chat.Clock{{Text: "15:04", At: three}, {Text: "Tue 24 Nov 15:04", At: next}, {Text: "15:04:00", At: three}})
	for _, one := range []struct{ name, text, want string }{
		{"a time", "pot life until 15:04: *stir*", `pot life until <t:1795446240:t>: \*stir\*`},
		{"a day and a time", "between 15:04 and Tue 24 Nov 15:04", "between <t:1795446240:t> and <t:1795532640:f>"},
		{"with seconds", "until 15:04:00", "until <t:1795446240:T>"},
		{"none", "15 : 04", "15 : 04"},
		{"a stamp that a member typed", "<t:1:R> 15:05", `\<t\:1:R\> 15:05`},
		{"markup beside a time", "**15:04**#15:04", `\*\*<t:1795446240:t>\*\*#<t:1795446240:t>`},
	} {
		if got := c.escape(one.text); got != one.want {
			t.Errorf("%s: %q becomes %q, want %q", one.name, one.text, got, one.want)
		}
	}
}

// No stamp comes of what a member wrote, whatever it is, but of the times of
// the reply.
func TestClocksAreNotForged(t *testing.T) {
	c := newClocks([]chat.Clock{{Text: "15:04", At: three}})
	rapid.Check(t, func(r *rapid.T) {
		text := rapid.StringMatching("[<>t:0-9 \\\\1504R]{0,30}").Draw(r, "text")
		got := strings.ReplaceAll(c.escape(text), "<t:1795446240:t>", "")
		for i := range got {
			if got[i] == '<' && (i == 0 || got[i-1] != '\\') {
				r.Fatalf("%q becomes %q", text, got)
			}
		}
	})
}

// A title that holds a time is shown where stamps work, and no stamp is cut.
func TestClocksInACard(t *testing.T) {
	r := &chat.Reply{Title: "harbor pawn: pot life until 15:04", Clocks: []chat.Clock{{Text: "15:04", At: three}},
		Facts: []chat.Fact{{Key: "phase", Label: "Now", Value: "pot life", Text: "pot life until 15:04"}},
		Notes: []string{"Look at 15:04."}}
	judge(t, render(chat.Answer{Reply: r}, 0))
	m := render(chat.Answer{Reply: r}, 0).message
	if e := m.Embeds[0]; e.Title != "" || e.Description != "**harbor pawn: pot life until <t:1795446240:t>**" || e.Fields[0].Value != "pot life until <t:1795446240:t>" {
		t.Errorf("the card is %+v", e)
	}
	if text := m.Embeds[1].Description; text != "- Look at <t:1795446240:t>." {
		t.Errorf("the notes are %q", text)
	}
	for limit := range 40 {
		if got := cutUnits("look at <t:1795446240:t> and then", limit); strings.Contains(got, "<") && !strings.Contains(got, ">") {
			t.Errorf("cut to %d: %q", limit, got)
		}
	}
}
