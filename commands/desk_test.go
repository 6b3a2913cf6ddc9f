package commands_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"flag"
	"log/slog"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // zones by name, also where the system has none

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/commands"
	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/console"
	"github.com/pourwright/pourwright/internal/demo"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/store"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

var update = flag.Bool("update", false, "rewrite the replies in testdata; look at the difference before you commit")

// monday is the time of every call in these tests, in the demo shop's winter.
var monday = time.Date(2026, 11, 23, 9, 30, 0, 0, time.UTC)

// place is a board that nobody serves.
var place = commands.Place{BoardPath: func(token string) string { return "/b/" + token + "/" }}

// desk is every command over the demo shop, in a real database in memory.
func desk(t testing.TB) *chat.Dispatcher {
	t.Helper()
	d, _ := deskAndStore(t)
	return d
}

// deskAndStore is for tests that also change what the clock does behind the
// commands.
func deskAndStore(t testing.TB) (*chat.Dispatcher, *sqlite.DB) {
	t.Helper()
	return deskWithin(t, store.DefaultLimits())
}

// deskWithin keeps what the limits let it.
func deskWithin(t testing.TB, limits store.Limits) (*chat.Dispatcher, *sqlite.DB) {
	t.Helper()
	db, err := sqlite.Memory(context.Background(), sqlite.Config{Rand: rand.Reader, Limits: limits})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	})
	if err := demo.Seed(context.Background(), db, monday.AddDate(0, 0, -7)); err != nil {
		t.Fatal(err)
	}
	d, err := chat.New(chat.Config{
		Commands: commands.All(db.Books(), mesh.DeskLimits(), place), People: db, Lines: db, Cards: db, Beside: library.Missed(db),
		Log: slog.New(slog.NewTextHandler(testLog{t}, &slog.HandlerOptions{Level: slog.LevelError})), NewRef: func() string { return "ref-1" },
		Now: time.Now, Terms: caution.Used,
	})
	if err != nil {
		t.Fatal(err)
	}
	return d, db
}

// testLog shows what broke in the test that broke it.
type testLog struct{ testing.TB }

func (l testLog) Write(p []byte) (int, error) {
	l.Logf("log: %s", bytes.TrimSpace(p))
	return len(p), nil
}

// calling is a call by a member of the demo shop: "ada", who manages it,
// "bram", "cleo", or anyone new.
func calling(as string) chat.Invocation {
	return chat.Invocation{At: monday, MemberKey: "local:" + as, MemberName: as, ShopKey: demo.ShopKey, Founds: true}
}

// ask types a line.
func ask(t testing.TB, d *chat.Dispatcher, as, line string) chat.Answer {
	t.Helper()
	inv := calling(as)
	inv.Line = line
	return d.Do(t.Context(), inv)
}

// told is ask where a reply is wanted.
func told(t testing.TB, d *chat.Dispatcher, as, line string) *chat.Reply {
	t.Helper()
	ans := ask(t, d, as, line)
	if ans.Reply == nil {
		t.Fatalf("%s: got %v, want a reply", line, ans.Fault)
	}
	return ans.Reply
}

// refused is ask where a refusal is wanted, with its code and option.
func refused(t testing.TB, d *chat.Dispatcher, as, line string, code fault.Code, option string) chat.Answer {
	t.Helper()
	ans := ask(t, d, as, line)
	switch {
	case ans.Fault == nil:
		t.Fatalf("%s: answered %q, want %s", line, ans.Reply.Title, code)
	case ans.Fault.Code != code || ans.Fault.Option != option:
		t.Fatalf("%s: got %v (option %q), want %s in option %q", line, ans.Fault, ans.Fault.Option, code, option)
	case ans.Fault.HintText() == "":
		t.Errorf("%s: refused without a hint: %s", line, ans.Fault.Message)
	}
	return ans
}

// press presses the button with that label of an answer.
func press(t testing.TB, d *chat.Dispatcher, as string, ans chat.Answer, label string) chat.Answer {
	t.Helper()
	inv := calling(as)
	inv.Press, inv.Forms = button(t, ans, label).ID, true
	return d.Do(t.Context(), inv)
}

// send sends a form in.
func send(t testing.TB, d *chat.Dispatcher, as string, form *chat.OpenForm, filled map[string]string) chat.Answer {
	t.Helper()
	inv := calling(as)
	inv.Press, inv.Filled, inv.Forms = form.ID, filled, true
	return d.Do(t.Context(), inv)
}

func button(t testing.TB, ans chat.Answer, label string) chat.Action {
	t.Helper()
	actions := ans.Actions
	if ans.Reply != nil {
		actions = ans.Reply.Actions
	}
	i := slices.IndexFunc(actions, func(a chat.Action) bool { return a.Label == label })
	if i < 0 {
		t.Fatalf("no button %q among %q", label, labels(actions))
	}
	return actions[i]
}

func labels(actions []chat.Action) []string {
	out := make([]string, len(actions))
	for i, a := range actions {
		out[i] = a.Label
	}
	return out
}

// fact is a fact of a reply by its key.
func fact(t testing.TB, r *chat.Reply, key string) chat.Fact {
	t.Helper()
	for _, f := range r.Facts {
		if f.Key == key {
			return f
		}
	}
	t.Fatalf("%q has no fact %s: %+v", r.Title, key, r.Facts)
	return chat.Fact{}
}

// said reports whether a note holds all of the words.
func said(r *chat.Reply, words ...string) bool {
	return slices.ContainsFunc(r.Notes, func(n string) bool {
		return !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(n, w) })
	})
}

var pictureSize = regexp.MustCompile(`\(\d+ bytes`)

// golden holds an answer, as the terminal shows it, against the file with that
// name in testdata.
func golden(t *testing.T, name string, ans chat.Answer) {
	t.Helper()
	var got bytes.Buffer
	screen := console.Screen{W: &got, Width: 100}
	if err := screen.Show(ans, nil); err != nil {
		t.Fatal(err)
	}
	// how small a picture packs is the compressor's business
	shown := pictureSize.ReplaceAll(got.Bytes(), []byte("(… bytes"))
	path := filepath.Join("testdata", name+".golden")
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, shown, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v; go test ./commands -update writes it", err)
	}
	if diff := cmp.Diff(string(want), string(shown)); diff != "" {
		t.Errorf("%s (-want +got; go test ./commands -update rewrites it):\n%s", path, diff)
	}
}
