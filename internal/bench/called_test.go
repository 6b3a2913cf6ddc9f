package bench_test

import (
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/testkit/browser"
)

// A call stands out from what was asked for, in words too.
func TestCallOnPage(t *testing.T) {
	v := open(t, nil)
	v.bench.Call(t.Context(), &chat.Reply{Title: "Wipe <the> mold"})
	page := v.get("").text
	if !strings.Contains(page, `answer called"`) || !strings.Contains(page, "You are called") || !strings.Contains(page, "Wipe &lt;the&gt; mold") {
		t.Errorf("the page shows:\n%s", page)
	}
}

// hide makes a page believe that it is or is not looked at.
const hide = `(hidden) => {
	Object.defineProperty(document, "hidden", { configurable: true, get: () => hidden });
	document.dispatchEvent(new Event("visibilitychange"));
}`

// settled waits until no page holds, or waits for, the turn to listen.
func settled(which string) string {
	return `(async () => { while ((await navigator.locks.query()).` + which + `.length > 0) await new Promise((yes) => setTimeout(yes, 5)); })()`
}

// A page that nobody looks at hears of a call and tells it in its title; of
// several such pages one does.
func TestBrowserCalledBehind(t *testing.T) {
	tb := browser.Start(t)
	v := open(t, nil)
	tb.Load(v.page)
	own := tb.Eval(`document.title`)
	tb.Eval(`(` + hide + `)(true)`)
	v.bench.Call(t.Context(), &chat.Reply{Title: "Wipe the mold"})
	tb.Until(`document.title.startsWith("You are called: Wipe the mold")`)
	tb.Same(`document.querySelector("[role=status]").textContent`, `"You are called: Wipe the mold"`)
	tb.Shoot(browser.Shots(t), "called")
	tb.Eval(`(` + hide + `)(false)`)
	tb.Same(`document.title`, own)
	tb.Eval(settled("held"))

	// Another page has the turn: this one is deaf while nobody looks at it.
	tb.Eval(`new Promise((held) => { navigator.locks.request("news", () => { held(); return new Promise((free) => { window.free = free; }); }); })`)
	tb.Eval(`(` + hide + `)(true)`)
	tb.Eval(settled("pending"))
	v.bench.Call(t.Context(), &chat.Reply{Title: "Coat the mold"})
	// Longer than news would take: the page itself is asked for, over and over.
	tb.Eval(`(async () => { for (let i = 0; i < 10; i++) await (await fetch(location.pathname)).text(); })()`)
	tb.Same(`document.title`, own)
	tb.Eval(`(` + hide + `)(false)`) // looked at again, it has all
	tb.Until(`document.querySelector(".answer h2").textContent === "Coat the mold"`)
	tb.Quiet("calls behind")
}
