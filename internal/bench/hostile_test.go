package bench_test

import (
	"html"
	"regexp"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/bench"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/testkit"
)

// elements are the tags of a page, handlers what a script could hang on.
var (
	elements = regexp.MustCompile(`<(/?[A-Za-z][A-Za-z0-9]*)([^>]*)>`)
	inQuotes = regexp.MustCompile(`"[^"]*"`)
	handler  = regexp.MustCompile(`(?i)\son[a-z]+\s*=`)
	linked   = regexp.MustCompile(`(?:href|src|action)="([^"]*)"`)
)

// TestHostileMembers: whatever a member wrote, a page has no element, no script
// and no address of theirs, and nothing that can't be seen.
func TestHostileMembers(t *testing.T) {
	h := testkit.NewHostile(t)
	v := open(t, func(c *bench.Config) {
		c.Desk, c.MemberKey, c.MemberName, c.ShopKey, c.ShopName = h.Dispatcher, testkit.Victim, "ada", testkit.HostileShop, ""
	})
	known := map[string]bool{}
	for _, e := range elements.FindAllStringSubmatch(v.ask("/help").text+v.ask(`/batch material:nothing volume:"1 l"`).text, -1) {
		known[e[1]] = true
	}
	for _, more := range []string{"dl", "dt", "dd", "div", "table", "thead", "tbody", "tr", "th", "td", "details", "summary", "ol", "ul", "li", "section", "h3", "span",
		"code", "cite", "time", "figure", "img", "fieldset", "legend", "input", "textarea", "select", "option", "label", "button", "form", "p", "a", "strong", "datalist"} {
		known[more], known["/"+more] = true, true
	}
	// A page holds the cards before it too, and grows: look at the newest, of
	// some lines of each sort.
	lines := h.Lists
	for i := 0; i < len(h.Lines); i += 7 {
		lines = append(lines, h.Lines[i])
	}
	for _, line := range lines {
		_, page, found := strings.Cut(v.ask(line).text, `<article class="card answer"`)
		if !found {
			t.Fatalf("%q: no card", line)
		}
		page, _, _ = strings.Cut("<article"+page, "</article>")
		text := page
		for _, e := range elements.FindAllStringSubmatch(page, -1) {
			if !known[e[1]] {
				t.Errorf("%q: a page has an element %s", line, e[0])
			}
			if handler.MatchString(inQuotes.ReplaceAllString(e[2], `""`)) {
				t.Errorf("%q: an element has a handler: %s", line, e[0])
			}
			for _, l := range linked.FindAllStringSubmatch(e[2], -1) {
				if at := html.UnescapeString(l[1]); strings.Contains(at, ":") && !strings.HasPrefix(at, "data:image/svg") && !strings.HasPrefix(at, v.page) && !strings.HasPrefix(at, "/") {
					t.Errorf("%q: a page leads to %q", line, at)
				}
			}
			text = strings.Replace(text, e[0], "", 1)
		}
		for part := range strings.SplitSeq(html.UnescapeString(text), "\n") {
			if strings.ContainsFunc(strings.ReplaceAll(part, "\u200e", ""), func(r rune) bool { return r != '\t' && r != '\r' && shop.Unseen(r) }) {
				t.Errorf("%q: a page shows %q", line, part)
				break
			}
		}
		if t.Failed() {
			return
		}
	}
}
