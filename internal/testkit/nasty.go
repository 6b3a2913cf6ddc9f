// Package testkit is what the tests of several packages share: texts by people
// who mean harm, a desk over a shop that they have been in, and what must never
// be seen of them. Only tests import it.
package testkit

import "strings"

// Nasty is a text that tries something, and what.
type Nasty struct{ What, Text string }

// Forged stands at the beginning of a line that somebody tries to smuggle in.
const Forged = "FORGED"

// Nasties are the texts, each of them fit for a name by its length.
func Nasties() []Nasty {
	return []Nasty{
		{"pings all", "@everyone @here"},
		{"pings a member", "<@1> <@!80351110224678912>"},
		{"pings a role or channel", "<@&2> <#3> <id:customize>"},
		{"a command mention", "</batch:4>"},
		{"a time stamp and an emoji", "<t:0:R> <a:x:5> :smile:"},
		{"bold and more", "**b** __u__ *i* ~~s~~ ||spoiler||"},
		{"a code fence", "``` `x` ```"},
		{"a masked link", "[free resin](https://example.org/x)"},
		{"a bare link", "https://example.org/a_b http://x"},
		{"a heading", "# big"},
		{"small print", "-# small"},
		{"a quote", "> quoted >>> all"},
		{"lists", "- item 1. item"},
		{"a script", "<script>alert(1)</script>"},
		{"an image", `<img src=x onerror="alert(2)">`},
		{"an attribute", `" onfocus="alert(3)" autofocus x="`},
		{"a template", "{{.Token}} ${7*7} {%x%}"},
		{"an address", "javascript:alert(4)"},
		{"an escape", "\x1b[31mred\x1b[0m \x1b]0;title\x07"},
		{"C1 controls", "\u009b31m\u0090q\u009c"},
		{"C0 controls", "a\x00b\x08c\x7fd"},
		{"lines", "one\r\n" + Forged + " 10 g\n" + Forged + " ok"},
		{"other lines", "one\u2028" + Forged + "\u2029" + Forged + "\u0085" + Forged + "\v" + Forged},
		{"turned around", "\u202e001\u202c \u202dx\u2069"},
		{"isolated", "\u2066a\u2067b\u2068c"},
		{"without width", "a\u200bb\u2060c\ufeffd\u00ade"},
		{"fillers only", "\u3164\u115f\u2800\uffa0x"},
		{"a heap of marks", "z" + strings.Repeat("\u0335\u0489", 15)},
		{"four bytes a letter", strings.Repeat("\U0001F9EA\U0001D518", 10)},
		{"joined pictographs", "👩\u200d🔧 🏳\ufe0f\u200d🌈"},
		{"right to left", "אדום 100 אאא"},
		{"other letters", "аdmin dеmo"},
		{"a formula", `=HYPERLINK("https://example.org","x")`},
		{"another formula", "@SUM(1+1)*cmd|' /C calc'!A0"},
		{"not text", "a\xff\xfe\xc0b"},
		{"tags", "a\U000e0041\U000e0042b"},
		{"quotes of a line", `x" volume:"9 l" \"`},
		{"percent verbs", "%s%d%!x(MISSING)%n"},
		{"a path", "../../etc/passwd"},
		{"long", strings.Repeat("w", 70)},
	}
}
