package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/testkit/browser"
)

// atPage is a member at the page of `try`, in a browser.
type atPage struct {
	*testing.T
	clock  *clock
	path   string // of the database
	tab    *browser.Tab
	cmd    *exec.Cmd
	url    string
	folder string   // for pictures
	titles []string // of what earlier runs showed
}

func (a *atPage) begin() {
	a.Helper()
	null, err := os.Open(os.DevNull)
	if err != nil {
		a.Fatal(err)
	}
	defer null.Close()
	out := &output{}
	a.cmd = exec.Command("pourwright-clocked", "try", "--db", a.path)
	a.cmd.Stdin, a.cmd.Stdout, a.cmd.Stderr = null, out, out
	a.cmd.Env = append(a.clock.environ(), "TMPDIR="+a.TempDir())
	if err := a.cmd.Start(); err != nil {
		a.Fatal(err)
	}
	a.url = pageURL.FindString(out.await(a.T, "quit. Tab completes."))
	a.tab.Load(a.url)
}

func (a *atPage) kill() {
	a.Helper()
	if err := a.cmd.Process.Kill(); err != nil {
		a.Error(err)
	}
	a.fallen()
}

func (a *atPage) fallen() {
	a.Helper()
	if err := a.cmd.Wait(); err == nil || err.Error() != "signal: killed" {
		a.Fatalf("it ended with %v, and was to be killed", err)
	}
	// The page stands in the browser as it was, and complains that nobody is
	// at the other end.
	a.tab.Until(`document.querySelector(".lost").getClientRects().length > 0`)
	a.shoot("nobody there")
	a.titles = append(a.titles, a.shownTitles()...)
	a.tab.Load("about:blank")
	a.tab.Complaints = nil
}

// newest waits until the newest answer holds a text, and gives all of it.
func (a *atPage) newest(want string) string {
	a.Helper()
	a.tab.Until(fmt.Sprintf(`document.querySelector(".answer")?.textContent.replace(/\s+/g, " ").includes(%q)`, want))
	return a.tab.Eval(`document.querySelector(".answer").textContent`)
}

func (a *atPage) ask(line, want string) string {
	a.Helper()
	a.tab.Eval(`document.getElementById("line").value = ""; document.getElementById("line").focus()`)
	a.tab.TypeText(line)
	a.tab.Leads(`document.querySelector(".box button").click()`)
	return a.newest(want)
}

func (a *atPage) press(label, want string) string {
	a.Helper()
	a.tab.Leads(fmt.Sprintf(`[...document.querySelectorAll(".answer .buttons button")].find((b) => b.textContent.trim() === %q).click()`, label))
	text := a.newest(want)
	a.shoot("pressed " + label)
	return text
}

func (a *atPage) called(want string) string {
	a.Helper()
	text := a.newest(want) // by a server-sent event: nothing was loaded
	a.shoot("called " + want)
	return text
}

// shoot looks at the page wide, wide and dark, and on a phone, which it must
// fit; pictures are taken for whoever wants to see them.
func (a *atPage) shoot(name string) {
	a.Helper()
	name, _, _ = strings.Cut(name, ":")
	for _, at := range []struct {
		name   string
		width  int
		scheme string
	}{{"light", 1200, "light"}, {"dark", 1200, "dark"}, {"phone", 360, "light"}} {
		a.tab.Look(at.width, 900, at.scheme)
		if got := a.tab.Eval(`document.documentElement.scrollWidth > innerWidth`); got != "false" {
			a.Errorf("%s is wider than %d px", name, at.width)
		}
		if os.Getenv("POURWRIGHT_SHOTS") != "" {
			a.tab.Shoot(a.folder, "story "+name+" "+at.name)
		}
	}
}

// board looks at what is curing, and goes back.
func (a *atPage) board() {
	a.Helper()
	a.tab.Leads(`[...document.querySelectorAll("nav a")].find((l) => l.textContent === "What is curing").click()`)
	a.tab.Until(`document.querySelector(".pour")?.textContent.includes("harbor pawn")`)
	a.shoot("board")
	a.tab.Leads(`history.back()`)
	a.newest("demo rigid white, harbor pawn")
}

func (a *atPage) shownTitles() (titles []string) {
	a.Helper()
	all := a.tab.Eval(`[...document.querySelectorAll(".answer h2")].map((h) => h.textContent).join("\n")`)
	return strings.Split(strings.Trim(all, `"`), `\n`)
}

func (a *atPage) calls(about string) (n int) {
	a.Helper()
	for _, title := range append(a.shownTitles(), a.titles...) {
		if strings.HasPrefix(strings.TrimPrefix(title, "Reminder: "), about) {
			n++
		}
	}
	return n
}

// The story of a pour on the page, in a browser: buttons are clicked, and calls
// come to the page by themselves.
func TestTryPourStoryOnPage(t *testing.T) {
	t.Parallel()
	a := &atPage{T: t, clock: newClock(t), path: filepath.Join(t.TempDir(), "shop.db"), tab: browser.Start(t), folder: browser.Shots(t)}
	s := &story{TB: t, way: a, clock: a.clock, space: "local", runs: a.board}
	s.tell(func() {
		s.db, s.by = openAs(t, a.path, "local:ada", "local:kettle-lane")
		a.ask(`/mold pull mold:"harbor pawn"`, "Pull 18 of harbor pawn")
		a.ask(`/mold pull mold:"harbor pawn"`, "Pull 19 of harbor pawn")
	})
	a.tab.Quiet("the story")
	if err := s.db.Close(); err != nil {
		t.Error(err)
	}
	if err := a.cmd.Process.Signal(os.Interrupt); err != nil {
		t.Error(err)
	}
	if err := a.cmd.Wait(); err != nil {
		t.Error(err)
	}
}
