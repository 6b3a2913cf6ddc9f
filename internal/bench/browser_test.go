package bench_test

import (
	"fmt"
	"net/url"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/testkit/browser"
)

func click(selector string) string {
	return "document.querySelector(" + fmt.Sprintf("%q", selector) + ").click()"
}

// A visit as a member makes it, with the keyboard and with buttons.
func TestBrowser(t *testing.T) {
	tb := browser.Start(t)
	v := open(t, nil)
	folder := browser.Shots(t)
	tb.Look(1200, 900, "light")
	tb.Load(v.page)

	// The slash key leads to the command box, which completes.
	tb.Eval(`document.activeElement.blur()`)
	tb.Key("/", "/", 191)
	tb.Same(`document.activeElement.id`, `"line"`)
	tb.Until(`document.querySelectorAll("#line-list li").length === 4`)
	tb.Shoot(folder, "completion")
	tb.TypeText("cu")
	tb.Until(`document.querySelectorAll("#line-list li").length === 1`)
	tb.Key("Tab", "", 9)
	tb.Same(`document.getElementById("line").value`, `"/cup "`)
	tb.Until(`document.querySelector("#line-list li")?.textContent === "material:"`)
	tb.Key("ArrowDown", "", 40)
	tb.Same(`document.getElementById("line").getAttribute("aria-activedescendant")`, `"line-list-0"`)
	tb.Key("Enter", "\r", 13)
	tb.Until(`[...document.querySelectorAll("#line-list li")].some((i) => i.textContent.includes("rigid white"))`)
	tb.Key("Escape", "", 27)
	tb.Same(`document.getElementById("line").getAttribute("aria-expanded")`, `"false"`)
	tb.TypeText(`"demo rigid white" mass:"300 g" `)
	tb.Until(`!document.getElementById("line-list").hidden`)
	tb.Key("Tab", "", 9) // after a whole word it goes on to the button
	tb.Same(`document.activeElement.textContent`, `"Ask"`)
	tb.Eval(`document.getElementById("line").focus()`)
	tb.Forget()
	tb.Key("Enter", "\r", 13)
	tb.Await("Page.loadEventFired")
	tb.Same(`document.querySelector(".answer h2").textContent`, `"Mix 150 g A with 150 g B of demo rigid white"`)
	tb.Same(`document.activeElement.id`, `"a1"`)
	tb.Same(`document.querySelector(".answer img").naturalWidth`, `480`)
	tb.Until(`/^(in |.* ago$)/.test(document.querySelector(".run").textContent)`)

	// A button, a form in an answer, and a command's own form.
	tb.Leads(`[...document.querySelectorAll(".buttons button")].find((b) => b.textContent === "Twice as much").click()`)
	tb.Same(`document.querySelector(".answer h2").textContent`, `"Mix 300 g A with 300 g B of demo rigid white"`)
	tb.Leads(`[...document.querySelectorAll(".buttons button")].find((b) => b.textContent === "Keep this mold").click()`)
	tb.Eval(`document.querySelector(".open input[type=text]").focus()`)
	tb.TypeText("harbor pawn")
	tb.Leads(click(".open button"))
	tb.Same(`document.querySelector(".answer h2").textContent`, `"Kept harbor pawn with 0 pulls"`)
	tb.Load(v.page + "ask/cup")
	tb.Eval(`document.getElementById("f-material").focus()`)
	tb.TypeText("cast")
	tb.Until(`document.querySelector("#f-material-list option")?.value === "demo casting epoxy"`)
	tb.Leads(click("form:not(#terms) button.main"))
	tb.Same(`document.querySelector("[role=alert] .message").textContent`, `"Refused give one of volume, mass, file"`)
	tb.Same(`document.activeElement.id`, `"f-volume"`)
	tb.Shoot(folder, "refused")
	// The status of a refusal is an error to the browser's log, and only that.
	for i, c := range tb.Complaints {
		if strings.Contains(c, "422") {
			tb.Complaints = append(tb.Complaints[:i], tb.Complaints[i+1:]...)
			break
		}
	}
	tb.TypeText("250 ml")
	tb.Leads(click("form:not(#terms) button.main"))
	tb.Same(`document.querySelector(".answer h2").textContent`, `"Mix 125 g A with 125 g B of cast"`)
	tb.Quiet("the visit")
}

// A paragraph is completed where one types in it, and what follows stays.
func TestBrowserCompletesParagraphs(t *testing.T) {
	tb := browser.Start(t)
	v := open(t, nil)
	tb.Look(800, 900, "light")
	tb.Load(v.page + "ask/mold/add")
	tb.Eval(`document.getElementById("f-notes").closest("details")?.setAttribute("open", "")`)
	tb.Eval(`{ const a = document.getElementById("f-notes"); a.focus(); a.value = "left flask\n, then wait"; a.setSelectionRange(11, 11); }`)
	tb.TypeText("rel")
	tb.Until(`document.querySelector(".offers button")?.textContent === "release"`)
	tb.Same(`document.querySelector(".offers button").getBoundingClientRect().height >= 24`, `true`)
	tb.Shoot(browser.Shots(t), "offers")
	tb.Eval(click(".offers button"))
	tb.Same(`document.getElementById("f-notes").value`, `"left flask\nrelease, then wait"`)
	tb.Same(`document.activeElement.id + document.getElementById("f-notes").selectionStart`, `"f-notes18"`)
	tb.Quiet("completing a paragraph")
}

// Without script the page does all it can do.
func TestBrowserWithoutScript(t *testing.T) {
	tb := browser.Start(t)
	v := open(t, nil)
	tb.Script(true)
	tb.Load(v.page + "?line=" + url.QueryEscape(cup))
	tb.Script(false)
	tb.Same(`document.getElementById("line").getAttribute("role")`, `null`)
	tb.Leads(click(".box button"))
	tb.Same(`document.querySelector(".answer h2").textContent`, `"Mix 150 g A with 150 g B of demo rigid white"`)
	tb.Quiet("without script")
}

// views are the pages in each of their states, by name.
func views(v *visit) map[string]string {
	v.ask("/mold add name:pawn pulls:17")
	v.ask("/mold add")
	v.ask("/cup material:nothing mass:300g")
	v.ask(`/cup material:"demo rigid white" mass:"300 g" ratio:"100:45 wt"`)
	return map[string]string{
		"home": "", "form": "ask/cup", "subs": "ask/mold", "trouble": "nothing",
		"wrong": "ask/cup?o.material=demo%20rigid%20white&o.cup=200", "odd": "ask/odd/hostile",
	}
}

// Each page fits a phone and a wide window, in light and in dark, and every
// input has a name to be read out.
func TestBrowserLooks(t *testing.T) {
	tb := browser.Start(t)
	v := open(t, nil)
	folder := browser.Shots(t)
	for name, path := range views(v) {
		for _, at := range []struct {
			name          string
			width, height int
			scheme        string
		}{
			{"light", 1200, 900, "light"},
			{"dark", 1200, 900, "dark"},
			{"phone", 360, 740, "light"},
			{"phone-dark", 360, 740, "dark"},
		} {
			tb.Look(at.width, at.height, at.scheme)
			tb.Load(v.page + path)
			tb.Shoot(folder, name+"-"+at.name)
			if name == "trouble" {
				tb.Complaints = nil // the 404 itself
			}
			tb.Quiet(name + " " + at.name)
			if got := tb.Eval(`document.documentElement.scrollWidth - innerWidth`); !strings.HasPrefix(got, "-") && got != "0" {
				t.Errorf("%s at %d px is %s px too wide", name, at.width, got)
			}
			tb.Same(unnamed, `[]`)
			tb.Same(`document.querySelectorAll("h1").length`, `1`)
			tb.Same(`[...document.querySelectorAll("[id]")].map((e) => e.id).filter((id, i, all) => all.indexOf(id) !== i)`, `[]`)
			tb.Same(small, `[]`)
		}
	}
}

// What is asked in the terminal comes to an open page by itself and leaves a
// form that is being filled alone.
func TestBrowserHearsNews(t *testing.T) {
	tb := browser.Start(t)
	v := open(t, nil)
	v.ask("/mold add")
	tb.Load(v.page)
	tb.Eval(`document.querySelector(".open input[type=text]").focus()`)
	tb.TypeText("harbor pawn")
	v.bench.Show(t.Context(), "/mold list", chat.Answer{Command: "mold list", Reply: &chat.Reply{Title: "No molds yet"}})
	tb.Until(`document.querySelector(".answer h2").textContent === "No molds yet"`)
	tb.Same(`document.querySelectorAll(".answer").length`, `2`)
	tb.Same(`document.querySelector(".open input[type=text]").value`, `"harbor pawn"`)
	tb.Same(`document.querySelector("[role=status]").textContent`, `"A new answer"`)
	v.ask("/term word:pull")
	tb.Until(`document.querySelectorAll(".answer").length === 3`)
	tb.Same(`[...document.querySelectorAll(".answer")].map((a) => a.id)`, `["a3","a2","a1"]`)
	tb.Quiet("news")
}

// A printed answer has all that is folded, and nothing to press.
func TestBrowserPrints(t *testing.T) {
	tb := browser.Start(t)
	v := open(t, nil)
	v.ask(cup)
	tb.Load(v.page)
	tb.Eval(`dispatchEvent(new Event("beforeprint"))`)
	tb.Call("Emulation.setEmulatedMedia", map[string]any{"media": "print"}, nil)
	tb.Same(`[...document.querySelectorAll(".answer details")].every((d) => d.open)`, `true`)
	tb.Same(`[...document.querySelectorAll("button:not(.term), input, .guide")].filter((e) => e.getClientRects().length).length`, `0`)
	tb.Shoot(browser.Shots(t), "print")
	tb.Quiet("printing")
}

// unnamed lists inputs, buttons and pictures that nothing names.
const unnamed = `[...document.querySelectorAll("input:not([type=hidden]), select, textarea, button, img, fieldset")].filter((e) =>
	!(e.labels && e.labels.length) && !e.getAttribute("aria-label") && !e.textContent.trim() && !e.alt).map((e) => e.outerHTML)`

// small lists buttons, but for words in a sentence, lower than the 24 px of
// WCAG 2.2, 2.5.8.
const small = `[...document.querySelectorAll("button:not(.term), select, input:not([type=hidden]):not([type=radio]), summary, .radios label")].filter((e) =>
	e.getClientRects().length && e.getBoundingClientRect().height < 24).map((e) => e.outerHTML)`
