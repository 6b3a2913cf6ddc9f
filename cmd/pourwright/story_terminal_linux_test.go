package main

import (
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
)

// atTerminal is a member at the prompt.
type atTerminal struct {
	*testing.T
	clock   *clock
	home    string
	path    string // of the database
	x       *terminal
	from    int       // of the screen: where what comes now begins
	earlier []*output // of runs before this one
}

func (a *atTerminal) begin() {
	a.Helper()
	a.x, a.from = openTry(a.T, a.home, "pourwright-clocked", a.clock.environ(), "--db", a.path), 0
}

func (a *atTerminal) kill() {
	a.Helper()
	if err := a.x.cmd.Process.Kill(); err != nil {
		a.Error(err)
	}
	a.fallen()
}

func (a *atTerminal) fallen() {
	a.Helper()
	if err := a.x.cmd.Wait(); err == nil || err.Error() != "signal: killed" {
		a.Fatalf("it ended with %v, and was to be killed; the screen is:\n%s", err, a.x.screen)
	}
	// Its last words may still be on their way to the screen it had.
	a.earlier = append(a.earlier, a.x.screen)
	a.x.screen = &output{}
}

var control = regexp.MustCompile("\x1b\\[[0-9;?]*[A-Za-z]")

// screen is all that came, without the terminal's control.
func (a *atTerminal) screen() string { return plain(a.x.screen) }

func plain(screen *output) string { return control.ReplaceAllString(screen.String(), "") }

// find waits for a pattern in what came since a.from.
func (a *atTerminal) find(pattern string) (match []string, all string) {
	a.Helper()
	want := regexp.MustCompile(pattern)
	for end := time.Now().Add(surely); ; time.Sleep(5 * time.Millisecond) {
		all = a.screen()[a.from:]
		if found := want.FindAllStringSubmatch(all, -1); len(found) > 0 {
			return found[len(found)-1], all
		}
		if time.Now().After(end) {
			a.Fatalf("%q does not come; the screen is:\n%s", pattern, all)
		}
	}
}

// loosely finds a text wherever the lines are broken.
func loosely(text string) string {
	words := strings.Fields(text)
	for i := range words {
		words[i] = regexp.QuoteMeta(words[i])
	}
	return strings.Join(words, `\s+`)
}

func (a *atTerminal) ask(line, want string) string {
	a.Helper()
	a.from = len(a.screen())
	a.x.types(line + "\r")
	_, answer := a.find(loosely(want))
	return answer
}

func (a *atTerminal) press(label, want string) string {
	a.Helper()
	button, _ := a.find(`\[(\d+)\] ` + regexp.QuoteMeta(label) + `(?:  |\s*\r?\n)`)
	return a.ask(button[1], want)
}

func (a *atTerminal) called(want string) string {
	a.Helper()
	_, text := a.find(loosely(want))
	return text
}

func (a *atTerminal) calls(about string) int {
	call := regexp.MustCompile(`[\r\n](?:Reminder: )?` + loosely(about))
	n := 0
	for _, screen := range append(slices.Clone(a.earlier), a.x.screen) {
		n += len(call.FindAllString(plain(screen), -1))
	}
	return n
}

// The story of a pour in a real terminal.
func TestTryPourStoryOnTerminal(t *testing.T) {
	t.Parallel()
	home := t.TempDir()
	a := &atTerminal{T: t, clock: newClock(t), home: home, path: filepath.Join(home, "shop.db")}
	s := &story{TB: t, way: a, clock: a.clock, space: "local"}
	s.tell(func() {
		s.db, s.by = openAs(t, a.path, "local:ada", "local:kettle-lane")
		a.ask(`/mold pull mold:"harbor pawn"`, "Pull 18 of harbor pawn")
		a.ask(`/mold pull mold:"harbor pawn"`, "Pull 19 of harbor pawn")
	})
	if err := s.db.Close(); err != nil {
		t.Error(err)
	}
	a.x.types("quit\r")
	a.x.ends()
}
