package console_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"go.uber.org/goleak"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/console"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/store/sqlite"
	"github.com/pourwright/pourwright/internal/working"
)

func TestMain(m *testing.M) {
	goleak.VerifyTestMain(m,
		// database/sql lets this one go a moment after Close.
		goleak.IgnoreTopFunction("database/sql.(*DB).connectionOpener"))
}

// small are small commands: one that answers, one with a form, one that takes a
// file, one with many facts.
func small() []chat.Command {
	hello := func(_ context.Context, c *chat.Call) (*chat.Reply, error) {
		if c.Text("name") == "nobody" {
			return nil, fault.New(fault.NotFound, "nobody is not here").In("name").Hint("name someone").Choose("ada")
		}
		return &chat.Reply{
			Title:   "Hello " + c.Text("name") + " from " + c.By.Member.Name,
			Facts:   []chat.Fact{{Key: "letters", Label: "Letters", Value: len(c.Text("name")), Unit: "1", Text: fmt.Sprint(len(c.Text("name")))}},
			Working: []working.Step{{What: "letters", Formula: "count", Value: "1+1", Source: working.Definition}},
			Images:  []chat.Image{{Name: "hello.png", Alt: "a wave", Data: []byte("png")}},
			Actions: []chat.Action{{Label: "Note it", Do: chat.DoForm, Form: "note", Line: "/note"}},
		}, nil
	}
	note := func(_ context.Context, c *chat.Call) (*chat.Reply, error) {
		if c.Text("title") == "bad" {
			return nil, fault.New(fault.NotFound, "bad is no title").In("title").Hint("another one")
		}
		return &chat.Reply{Title: "Noted " + c.Text("title") + ": " + c.Text("text")}, nil
	}
	count := func(_ context.Context, c *chat.Call) (*chat.Reply, error) {
		return &chat.Reply{Title: fmt.Sprintf("%s has %d bytes", c.File("file").Name, len(c.File("file").Data))}, nil
	}
	twelve := func(context.Context, *chat.Call) (*chat.Reply, error) {
		r := &chat.Reply{Title: "Twelve facts"}
		for i := range 12 {
			r.Facts = append(r.Facts, chat.Fact{Key: fmt.Sprint("f", i+1), Label: fmt.Sprint("fact ", i+1), Value: i, Unit: "1", Text: fmt.Sprint(i)})
		}
		return r, nil
	}
	return []chat.Command{
		{Name: "facts", Help: "many facts", Subs: []chat.Sub{{Run: twelve}}},
		{Name: "hello", Help: "say hello", Subs: []chat.Sub{{
			Options: []chat.Option{{Name: "name", Help: "whom", Required: true, Like: "ada",
				Suggest: func(_ context.Context, _ *chat.Call, typed string) ([]chat.Choice, error) {
					return chat.Narrow(typed, []string{"ada", "adam West", "bram"}), nil
				}}},
			Computes: true, Run: hello,
		}}},
		{Name: "note", Help: "note something", Subs: []chat.Sub{{
			Options: []chat.Option{
				{Name: "title", Help: "what about", Required: true, Like: "molds"},
				{Name: "kind", Help: "what sort", Kind: chat.OneWord, Choices: []chat.Choice{{Value: "long"}, {Value: "short"}}},
				{Name: "text", Help: "the note", Long: true},
			},
			Forms: []chat.Form{{Name: "note", Title: "A note", Options: []string{"title", "kind", "text"},
				Fill: func(context.Context, *chat.Call) (map[string]string, error) {
					return map[string]string{"text": "first\nsecond"}, nil
				}}},
			Run: note,
		}}},
		{Name: "count", Help: "count bytes", Subs: []chat.Sub{{
			Name: "file", Help: "of a file",
			Options: []chat.Option{{Name: "file", Help: "which", Kind: chat.Attachment, Required: true}},
			Run:     count,
		}}},
	}
}

func newDesk(t *testing.T) *chat.Dispatcher {
	t.Helper()
	db, err := sqlite.Memory(t.Context(), sqlite.Config{Rand: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	})
	desk, err := chat.New(chat.Config{
		Commands: small(), People: db, Lines: db, Log: slog.New(slog.DiscardHandler),
		NewRef: func() string { return "ref" }, Now: time.Now,
	})
	if err != nil {
		t.Fatal(err)
	}
	return desk
}

// conversation runs a prompt on an input that stays open until it is closed.
type conversation struct {
	prompt *console.Prompt
	typed  *os.File
	out    *bytes.Buffer
	folder string
}

func converse(t *testing.T) *conversation {
	t.Helper()
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { r.Close(); w.Close() })
	in, err := console.NewInput(r)
	if err != nil {
		t.Fatal(err)
	}
	out := &bytes.Buffer{}
	folder := t.TempDir()
	return &conversation{
		prompt: &console.Prompt{
			Desk: newDesk(t), Who: console.Local("ada", "bench"), Editor: console.NewPipe(in, out),
			Screen: &console.Screen{W: out, Width: 80}, Folder: console.Folder{Path: folder, Keep: true},
			Now: func() time.Time { return time.Unix(1.8e9, 0) }, FileMost: 1000,
		},
		typed: w, out: out, folder: folder,
	}
}

// run types the lines, ends the input and gives what was printed.
func (c *conversation) run(t *testing.T, lines ...string) string {
	t.Helper()
	if _, err := c.typed.WriteString(strings.Join(lines, "\n") + "\n"); err != nil {
		t.Fatal(err)
	}
	c.typed.Close()
	if err := c.prompt.Run(t.Context()); err != nil {
		t.Fatalf("%v; printed:\n%s", err, c.out)
	}
	return c.out.String()
}

// inOrder wants each part after the one before it.
func inOrder(t *testing.T, text string, parts ...string) {
	t.Helper()
	rest := text
	for _, p := range parts {
		i := strings.Index(rest, p)
		if i < 0 {
			t.Fatalf("%q is missing, or not after the part before it, in:\n%s", p, text)
		}
		rest = rest[i+len(p):]
	}
}

func TestPromptAnswersAndPresses(t *testing.T) {
	c := converse(t)
	var heard []string
	c.prompt.Heard = func(_ context.Context, asked string, ans chat.Answer) {
		if ans.Reply != nil {
			heard = append(heard, asked+" → "+ans.Reply.Title)
		}
	}
	got := c.run(t, "7", "/hello name:bram", "", "1", "[1]", "9", "hello", "/hello name:nobody", "1", "quit", "/hello name:late")
	inOrder(t, got,
		"There is no button 7: no answer with buttons",
		"> /hello name:bram", "Hello bram from ada", "Letters  4", "Picture: hello.png: a wave", filepath.Join(c.folder, "hello.png"), "[1] Show working",
		"> 1", "Working: Hello bram", "= count",
		"> [1]", "Working: Hello bram", // an answer without buttons leaves the earlier ones
		"There is no button 9, only 1 to 3.",
		"Refused: a line begins with a slash",
		"Refused: name: nobody is not here", "Try: name someone", "[1] ada",
		"Hello ada from ada",
		"> quit")
	if strings.Contains(got, "late") {
		t.Error("a line after quit was answered")
	}
	if b, err := os.ReadFile(filepath.Join(c.folder, "hello-2.png")); err != nil || string(b) != "png" {
		t.Errorf("the second picture: %q, %v", b, err)
	}
	want := "/hello name:bram → Hello bram from ada|Show working → Working: Hello bram from ada|Show working → Working: Hello bram from ada|ada → Hello ada from ada"
	if got := strings.Join(heard, "|"); got != want {
		t.Errorf("heard %s\nwant  %s", got, want)
	}
	if c.prompt.Read() != 10 {
		t.Errorf("read %d lines, want 10", c.prompt.Read())
	}
}

// The facts beyond the eighth come when they are asked for.
func TestPromptMoreFacts(t *testing.T) {
	got := converse(t).run(t, "more", "/facts", "more")
	inOrder(t, got, "Refused: a line begins with a slash", "Twelve facts", "fact 8", `and 4 more; type "more"`, "> more", "fact 1 ", "fact 12")
	if head, _, _ := strings.Cut(got, "and 4 more"); strings.Contains(head, "fact 9") {
		t.Errorf("more than eight facts are shown at once:\n%s", got)
	}
}

func TestPromptForm(t *testing.T) {
	t.Run("opened by the command", func(t *testing.T) {
		got := converse(t).run(t, "/note", "pawns", "long", "", "/hello name:bram")
		inOrder(t, got, "A note (Ctrl-C leaves it)", "what about, such as molds", "title: pawns", "what sort: long, short (may stay empty)", "kind: long",
			"text: ", "Noted pawns: first\nsecond", "Hello bram")
	})
	t.Run("opened by a button", func(t *testing.T) {
		got := converse(t).run(t, "/hello name:bram", "3", "molds", "", "-")
		inOrder(t, got, "[3] Note it", "A note", "Noted molds:\n")
	})
	t.Run("a slip in piped input is told once", func(t *testing.T) {
		got := converse(t).run(t, "/note", "bad", "long", "x", "/hello name:bram")
		inOrder(t, got, "Refused: title: bad is no title", "> /hello name:bram", "Hello bram")
	})
	t.Run("the input ends inside", func(t *testing.T) {
		got := converse(t).run(t, "/note", "pawns")
		if strings.Contains(got, "Noted") {
			t.Errorf("half a form was sent in:\n%s", got)
		}
	})
}

func TestPromptReadsFiles(t *testing.T) {
	dir := t.TempDir()
	small, large := filepath.Join(dir, "a part.stl"), filepath.Join(dir, "large.stl")
	for path, size := range map[string]int{small: 12, large: 1001} {
		if err := os.WriteFile(path, make([]byte, size), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	got := converse(t).run(t,
		fmt.Sprintf("/count file file:%q", small),
		"/count file file:"+large,
		"/count file file:"+filepath.Join(dir, "gone.stl"),
		"/count file file:"+dir,
		"/count file")
	unwrapped := regexp.MustCompile(`\n +`).ReplaceAllString(got, " ")
	inOrder(t, unwrapped, "a part.stl has 12 bytes",
		"Refused: file:", "has more than",
		"Refused: file:", "there is no such file",
		"Refused: file:", "is not a plain file",
		"Refused: file is missing")
}

// A signal ends a prompt that waits for a person, and nothing is left running.
func TestPromptEndsWithContext(t *testing.T) {
	c := converse(t)
	ctx, cancel := context.WithCancel(t.Context())
	time.AfterFunc(10*time.Millisecond, cancel)
	if err := c.prompt.Run(ctx); err != nil {
		t.Error(err)
	}
}

func TestPromptRefusesEndlessLine(t *testing.T) {
	c := converse(t)
	sent := make(chan error, 1)
	go func() {
		// A little more than is read, so that the rest fits the pipe.
		_, err := c.typed.Write(bytes.Repeat([]byte("x"), 66<<10))
		sent <- err
	}()
	if err := c.prompt.Run(t.Context()); err == nil {
		t.Error("a line of 66 KiB was taken")
	}
	if err := <-sent; err != nil {
		t.Error(err)
	}
}
