package console_test

import (
	"bytes"
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"github.com/pourwright/pourwright/internal/console"
)

// person is an Editor of someone who types what is planned, after looking at
// what is suggested.
type person struct {
	lines     []string // "\x03" is Ctrl-C
	suggested []string
	offered   [][]string // completions of "lo" at each prompt
}

func (p *person) Line(_, suggestion string, complete func(string) []string) (string, error) {
	if len(p.lines) == 0 {
		return "", io.EOF
	}
	line := p.lines[0]
	p.lines = p.lines[1:]
	p.suggested = append(p.suggested, suggestion)
	p.offered = append(p.offered, complete("lo"))
	if line == "\x03" {
		return "", console.ErrLeft
	}
	if line == "=" {
		return suggestion, nil
	}
	return line, nil
}

func (p *person) Remember(string) {}
func (p *person) Live() bool      { return true }
func (p *person) Stop()           {}
func (p *person) Close() error    { return nil }

func talk(t *testing.T, lines ...string) (*person, string) {
	t.Helper()
	typist, out := &person{lines: lines}, &bytes.Buffer{}
	prompt := &console.Prompt{
		Desk: newDesk(t), Who: console.Local("ada", "bench"), Editor: typist, Screen: &console.Screen{W: out, Width: 80},
		Folder: console.Folder{Path: t.TempDir()}, Now: time.Now, FileMost: 1000,
	}
	if err := prompt.Run(t.Context()); err != nil {
		t.Fatal(err)
	}
	return typist, out.String()
}

// A slip in a form is asked again with everything typed in place, and what
// was filled in before can be kept.
func TestFormAsksAgain(t *testing.T) {
	typist, got := talk(t, "/hello name:bram", "3", "bad", "long", "=", "good", "=", "=")
	inOrder(t, got, "Refused: title: bad is no title", "Noted good: first\nsecond")
	want := []string{"", "", "", "", "first second", "bad", "long", "first second"}
	if d := cmp.Diff(want, typist.suggested); d != "" {
		t.Errorf("suggested (-want +got):\n%s", d)
	}
}

func TestFormIsLeft(t *testing.T) {
	_, got := talk(t, "/note", "molds", "\x03", "/hello name:bram", "\x03", "quit", "/hello name:late")
	inOrder(t, got, "A note", "Left; nothing was sent.", "Hello bram", "Ctrl-D or quit leaves.")
	if strings.Contains(got, "Noted") || strings.Contains(got, "late") {
		t.Errorf("something was sent in after it was left:\n%s", got)
	}
}

// Completion offers what the dispatcher knows, at the prompt and in a field.
func TestCompletion(t *testing.T) {
	tests := []struct {
		name, typed string
		want        []string
	}{
		{"command", "/he", []string{"/hello "}},
		{"option", "/hello n", []string{"/hello name:"}},
		{"value with a space is quoted", "/hello name:west", []string{`/hello name:"adam West" `}},
		{"nothing", "/nothing", nil},
		{"sub", "/count ", []string{"/count file "}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			if d := cmp.Diff(test.want, completions(t, test.typed)); d != "" {
				t.Errorf("after %q (-want +got):\n%s", test.typed, d)
			}
		})
	}
	t.Run("choice in a field", func(t *testing.T) {
		typist, _ := talk(t, "/note", "x", "long")
		want := [][]string{{}, {}, {"long"}} // the prompt, title, kind
		if d := cmp.Diff(want, typist.offered, cmpopts.EquateEmpty()); d != "" {
			t.Errorf("offered (-want +got):\n%s", d)
		}
	})
}

// once is an Editor that only looks at completions.
type once struct {
	person
	typed string
	got   []string
}

func (o *once) Line(_, _ string, complete func(string) []string) (string, error) {
	o.got = complete(o.typed)
	return "", io.EOF
}

func completions(t *testing.T, typed string) []string {
	t.Helper()
	editor := &once{typed: typed}
	prompt := &console.Prompt{
		Desk: newDesk(t), Who: console.Local("ada", "bench"), Editor: editor, Screen: &console.Screen{W: io.Discard, Width: 80}, Now: time.Now,
	}
	if err := prompt.Run(t.Context()); err != nil {
		t.Fatal(err)
	}
	return editor.got
}

// The path of a file is completed, folders with a slash, hidden files and
// names that a terminal can't show left out.
func TestCompletePath(t *testing.T) {
	dir := t.TempDir()
	touch(t, dir, "part.stl", "party.obj", "other.stl", ".hidden", "pa\x1bx", "my part.stl", "parts/x.stl")
	line := "/count file file:" + dir + "/"
	tests := []struct {
		typed string
		want  []string
	}{
		{line + "part", []string{line + "part.stl", line + "parts/", line + "party.obj"}},
		{line + "oth", []string{line + "other.stl"}},
		{line + ".h", []string{line + ".hidden"}},
		{line + "zzz", []string{}},
		{`/count file file:"` + dir + "/my", []string{`/count file file:"` + dir + `/my part.stl"`}},
		{line + "my", []string{`/count file file:"` + dir + `/my part.stl"`}},
	}
	for _, test := range tests {
		got := completions(t, test.typed)
		slices.Sort(got)
		if d := cmp.Diff(test.want, got); d != "" {
			t.Errorf("after %q (-want +got):\n%s", test.typed, d)
		}
	}
}
