package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/discord/fake"
)

// atChat is a member of a chat server.
type atChat struct {
	*testing.T
	clock   *clock
	path    string // of the database
	service *fake.Server
	cmd     *exec.Cmd
	errs    *output
	runs    int
	last    *fake.Shown // what came last: an answer or a call
	posts   int         // calls that were seen
}

func (a *atChat) begin() {
	a.Helper()
	a.cmd, a.errs = exec.Command("pourwright-clocked", "serve", "--db", a.path), &output{}
	a.cmd.Dir, a.cmd.Stderr = a.TempDir(), a.errs
	a.cmd.Env = append(a.clock.environ(), "POURWRIGHT_TOKEN="+fake.Token, "POURWRIGHT_API_BASE="+a.service.APIBase())
	if err := a.cmd.Start(); err != nil {
		a.Fatal(err)
	}
	if a.runs++; !a.service.AwaitReady(a.runs) {
		a.Fatalf("the program does not connect:\n%s", a.errs)
	}
}

func (a *atChat) kill() {
	a.Helper()
	if err := a.cmd.Process.Kill(); err != nil {
		a.Error(err)
	}
	a.fallen()
}

func (a *atChat) fallen() {
	a.Helper()
	if err := a.cmd.Wait(); err == nil || err.Error() != "signal: killed" {
		a.Fatalf("it ended with %v, and was to be killed; the log is:\n%s", err, a.errs)
	}
}

var (
	lineWords  = regexp.MustCompile(`^/(\w+)(?: (\w+))?(?: |$)`)
	lineOption = regexp.MustCompile(`(\w+):(?:"([^"]*)"|(\S+))`)
)

// ask sends what the service makes of a line.
func (a *atChat) ask(line, want string) string {
	a.Helper()
	options := []any{}
	for _, m := range lineOption.FindAllStringSubmatch(line, -1) {
		options = append(options, map[string]any{"type": 3, "name": m[1], "value": m[2] + m[3]})
	}
	words := lineWords.FindStringSubmatch(line)
	data := map[string]any{"id": "1", "name": words[1], "type": 1, "options": options}
	if words[2] != "" {
		data["options"] = []any{map[string]any{"type": 1, "name": words[2], "options": options}}
	}
	raw := fake.With(a.T, fake.Example(a.T, "02_slash_subcommand_strings"), map[string]any{"member.user.id": pourer, "data": data})
	return a.answered(a.service.Fresh(raw), want)
}

func (a *atChat) press(label, want string) string {
	a.Helper()
	id := a.last.Button(label)
	if id == "" {
		a.Fatalf("there is no button %q: %s", label, a.last.JSON())
	}
	return a.answered(fake.With(a.T, a.service.Press(a.last, id), map[string]any{"member.user.id": pourer}), want)
}

func (a *atChat) answered(raw []byte, want string) string {
	a.Helper()
	a.last = a.service.Send(raw).Await()
	text := a.last.Text()
	if !strings.Contains(flat(text), want) {
		a.Fatalf("the answer does not hold %q: %s\nthe log is:\n%s", want, text, a.errs)
	}
	return text
}

func (a *atChat) called(want string) string {
	a.Helper()
	if !a.service.AwaitPosts(a.posts+1, surely) {
		a.Fatalf("not called; the log is:\n%s", a.errs)
	}
	p := a.service.Posts()[a.posts]
	a.posts++
	a.last = &fake.Shown{Kind: fake.Message, Body: p.Body}
	if said := a.last.Text(); !strings.Contains(said, want) || p.Channel != fake.ChannelID || !strings.Contains(said, "<@"+pourer+">") {
		a.Errorf("called in %s, want %q: %s", p.Channel, want, said)
	}
	return a.last.Text()
}

func (a *atChat) calls(about string) (n int) {
	for _, p := range a.service.Posts() {
		if strings.Contains(text(p), about) {
			n++
		}
	}
	return n
}

// The story of a pour in a chat server: the ids of buttons are pressed as they
// came, also those of a program that is gone.
func TestServePourStory(t *testing.T) {
	t.Parallel()
	a := &atChat{T: t, clock: newClock(t), path: filepath.Join(t.TempDir(), "shop.db"), service: patientService(t)}
	s := &story{TB: t, way: a, clock: a.clock, space: "discord"}
	s.tell(func() {
		s.db, s.by = openAs(t, a.path, "discord:"+pourer, "discord:"+fake.GuildID)
		a.ask(`/material add name:"demo rigid white" family:urethane ratio:"1:1 vol" density_a:1.10 density_b:1.02 pot_life:"3 min, 100 g, 23 C" demold:"12 min, 6 mm" full_cure:"24 h"`, "demo rigid white")
		a.ask(`/mold add name:"harbor pawn" family:condensation volume:"6.2 ml" cavities:6 thickest:"14 mm" thinnest:"5 mm" wall:"10 mm" pulls:19`, "harbor pawn")
	})
	if err := s.db.Close(); err != nil {
		t.Error(err)
	}
	if err := a.cmd.Process.Signal(os.Interrupt); err != nil {
		t.Error(err)
	}
	if err := a.cmd.Wait(); err != nil {
		t.Errorf("%v; the log is:\n%s", err, a.errs)
	}
	if n := len(a.service.Posts()); n != 3 {
		t.Errorf("%d calls in all, want 3", n)
	}
}
