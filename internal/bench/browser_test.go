package bench_test

import (
	"net/url"
	"os"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
)

// shots is where the pictures of the pages go: a folder that is named, to be
// looked at, or one that goes with the test.
func shots(t *testing.T) string {
	if folder := os.Getenv("POURWRIGHT_SHOTS"); folder != "" {
		if err := os.MkdirAll(folder, 0o700); err != nil {
			t.Fatal(err)
		}
		return folder
	}
	return t.TempDir()
}

func click(selector string) string { return "document.querySelector(" + quoted(selector) + ").click()" }

// A visit as a member makes it, with the keyboard and with buttons.
func TestBrowser(t *testing.T) {
	tb := startBrowser(t)
	v := open(t, nil)
	folder := shots(t)
	tb.look(1200, 900, "light")
	tb.load(v.page)

	// The slash key leads to the command box, which completes.
	tb.eval(`document.activeElement.blur()`)
	tb.key("/", "/", 191)
	tb.same(`document.activeElement.id`, `"line"`)
	tb.until(`document.querySelectorAll("#line-list li").length === 4`)
	tb.shoot(folder, "completion")
	tb.typeText("cu")
	tb.until(`document.querySelectorAll("#line-list li").length === 1`)
	tb.key("Tab", "", 9)
	tb.same(`document.getElementById("line").value`, `"/cup "`)
	tb.until(`document.querySelector("#line-list li")?.textContent === "material:"`)
	tb.key("ArrowDown", "", 40)
	tb.same(`document.getElementById("line").getAttribute("aria-activedescendant")`, `"line-list-0"`)
	tb.key("Enter", "\r", 13)
	tb.until(`[...document.querySelectorAll("#line-list li")].some((i) => i.textContent.includes("rigid white"))`)
	tb.key("Escape", "", 27)
	tb.same(`document.getElementById("line").getAttribute("aria-expanded")`, `"false"`)
	tb.typeText(`"demo rigid white" mass:"300 g" `)
	tb.until(`!document.getElementById("line-list").hidden`)
	tb.key("Tab", "", 9) // after a whole word it goes on to the button
	tb.same(`document.activeElement.textContent`, `"Ask"`)
	tb.eval(`document.getElementById("line").focus()`)
	tb.events = nil
	tb.key("Enter", "\r", 13)
	tb.await("Page.loadEventFired")
	tb.same(`document.querySelector(".answer h2").textContent`, `"Mix 150 g A with 150 g B of demo rigid white"`)
	tb.same(`document.activeElement.id`, `"a1"`)
	tb.same(`document.querySelector(".answer img").naturalWidth`, `480`)
	tb.until(`/^(in |.* ago$)/.test(document.querySelector(".run").textContent)`)

	// A button, a form in an answer, and a command's own form.
	tb.leads(`[...document.querySelectorAll(".buttons button")].find((b) => b.textContent === "Twice as much").click()`)
	tb.same(`document.querySelector(".answer h2").textContent`, `"Mix 300 g A with 300 g B of demo rigid white"`)
	tb.leads(`[...document.querySelectorAll(".buttons button")].find((b) => b.textContent === "Keep this mold").click()`)
	tb.eval(`document.querySelector(".open input[type=text]").focus()`)
	tb.typeText("harbor pawn")
	tb.leads(click(".open button"))
	tb.same(`document.querySelector(".answer h2").textContent`, `"Kept harbor pawn with 0 pulls"`)
	tb.load(v.page + "ask/cup")
	tb.eval(`document.getElementById("f-material").focus()`)
	tb.typeText("cast")
	tb.until(`document.querySelector("#f-material-list option")?.value === "demo casting epoxy"`)
	tb.leads(click("form:not(#terms) button.main"))
	tb.same(`document.querySelector("[role=alert] .message").textContent`, `"Refused give one of volume, mass, file"`)
	tb.same(`document.activeElement.id`, `"f-volume"`)
	tb.shoot(folder, "refused")
	// The status of a refusal is an error to the browser's log, and only that.
	for i, c := range tb.complaints {
		if strings.Contains(c, "422") {
			tb.complaints = append(tb.complaints[:i], tb.complaints[i+1:]...)
			break
		}
	}
	tb.typeText("250 ml")
	tb.leads(click("form:not(#terms) button.main"))
	tb.same(`document.querySelector(".answer h2").textContent`, `"Mix 125 g A with 125 g B of cast"`)
	tb.quiet("the visit")
}

// A paragraph is completed where one types in it, and what follows stays.
func TestBrowserCompletesParagraphs(t *testing.T) {
	tb := startBrowser(t)
	v := open(t, nil)
	tb.look(800, 900, "light")
	tb.load(v.page + "ask/mold/add")
	tb.eval(`document.getElementById("f-notes").closest("details")?.setAttribute("open", "")`)
	tb.eval(`{ const a = document.getElementById("f-notes"); a.focus(); a.value = "left flask\n, then wait"; a.setSelectionRange(11, 11); }`)
	tb.typeText("rel")
	tb.until(`document.querySelector(".offers button")?.textContent === "release"`)
	tb.same(`document.querySelector(".offers button").getBoundingClientRect().height >= 24`, `true`)
	tb.shoot(shots(t), "offers")
	tb.eval(click(".offers button"))
	tb.same(`document.getElementById("f-notes").value`, `"left flask\nrelease, then wait"`)
	tb.same(`document.activeElement.id + document.getElementById("f-notes").selectionStart`, `"f-notes18"`)
	tb.quiet("completing a paragraph")
}

// Without script the page does all it can do.
func TestBrowserWithoutScript(t *testing.T) {
	tb := startBrowser(t)
	v := open(t, nil)
	tb.script(true)
	tb.load(v.page + "?line=" + url.QueryEscape(cup))
	tb.script(false)
	tb.same(`document.getElementById("line").getAttribute("role")`, `null`)
	tb.leads(click(".box button"))
	tb.same(`document.querySelector(".answer h2").textContent`, `"Mix 150 g A with 150 g B of demo rigid white"`)
	tb.quiet("without script")
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
	tb := startBrowser(t)
	v := open(t, nil)
	folder := shots(t)
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
			tb.look(at.width, at.height, at.scheme)
			tb.load(v.page + path)
			tb.shoot(folder, name+"-"+at.name)
			if name == "trouble" {
				tb.complaints = nil // the 404 itself
			}
			tb.quiet(name + " " + at.name)
			if got := tb.eval(`document.documentElement.scrollWidth - innerWidth`); !strings.HasPrefix(got, "-") && got != "0" {
				t.Errorf("%s at %d px is %s px too wide", name, at.width, got)
			}
			tb.same(unnamed, `[]`)
			tb.same(`document.querySelectorAll("h1").length`, `1`)
			tb.same(`[...document.querySelectorAll("[id]")].map((e) => e.id).filter((id, i, all) => all.indexOf(id) !== i)`, `[]`)
			tb.same(small, `[]`)
		}
	}
}

// What is asked in the terminal comes to an open page by itself and leaves a
// form that is being filled alone.
func TestBrowserHearsNews(t *testing.T) {
	tb := startBrowser(t)
	v := open(t, nil)
	v.ask("/mold add")
	tb.load(v.page)
	tb.eval(`document.querySelector(".open input[type=text]").focus()`)
	tb.typeText("harbor pawn")
	v.bench.Show("/mold list", chat.Answer{Command: "mold list", Reply: &chat.Reply{Title: "No molds yet"}})
	tb.until(`document.querySelector(".answer h2").textContent === "No molds yet"`)
	tb.same(`document.querySelectorAll(".answer").length`, `2`)
	tb.same(`document.querySelector(".open input[type=text]").value`, `"harbor pawn"`)
	tb.same(`document.querySelector("[role=status]").textContent`, `"A new answer"`)
	v.ask("/term word:pull")
	tb.until(`document.querySelectorAll(".answer").length === 3`)
	tb.same(`[...document.querySelectorAll(".answer")].map((a) => a.id)`, `["a3","a2","a1"]`)
	tb.quiet("news")
}

// A printed answer has all that is folded, and nothing to press.
func TestBrowserPrints(t *testing.T) {
	tb := startBrowser(t)
	v := open(t, nil)
	v.ask(cup)
	tb.load(v.page)
	tb.eval(`dispatchEvent(new Event("beforeprint"))`)
	tb.call("Emulation.setEmulatedMedia", map[string]any{"media": "print"}, nil)
	tb.same(`[...document.querySelectorAll(".answer details")].every((d) => d.open)`, `true`)
	tb.same(`[...document.querySelectorAll("button:not(.term), input, .guide")].filter((e) => e.getClientRects().length).length`, `0`)
	tb.shoot(shots(t), "print")
	tb.quiet("printing")
}

// unnamed lists inputs, buttons and pictures that nothing names.
const unnamed = `[...document.querySelectorAll("input:not([type=hidden]), select, textarea, button, img, fieldset")].filter((e) =>
	!(e.labels && e.labels.length) && !e.getAttribute("aria-label") && !e.textContent.trim() && !e.alt).map((e) => e.outerHTML)`

// small lists buttons, but for words in a sentence, lower than the 24 px of
// WCAG 2.2, 2.5.8.
const small = `[...document.querySelectorAll("button:not(.term), select, input:not([type=hidden]):not([type=radio]), summary, .radios label")].filter((e) =>
	e.getClientRects().length && e.getBoundingClientRect().height < 24).map((e) => e.outerHTML)`
