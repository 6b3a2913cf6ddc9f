package chat_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
)

func values(choices []chat.Choice) string {
	var out []string
	for _, c := range choices {
		out = append(out, c.Value)
	}
	return strings.Join(out, "|")
}

func TestComplete(t *testing.T) {
	b := newBench(t, chat.Rate{})
	for _, c := range []struct{ name, line, option, want string }{
		{"nothing typed", "/mix", "material", "white|slow white|clear"},
		{"a beginning", "/mix material:sl", "material", "slow white"},
		{"a slip", "/mix material:claer", "material", "clear"},
		{"other options half typed", `/mix material:c volume:"2 quar" count:x`, "material", "clear"},
		{"other options that matter", `/mix material:"" volume:"5 ml"`, "material", "tiny"},
		{"one word", "/mix kind:br", "kind", "brush"},
		{"all words", "/mix", "kind", "pour|brush"},
		{"yes or no", "/mix", "dry", "yes|no"},
		{"the added show", "/word", "show", "yes|no"},
		{"a quantity", "/mix volume:2", "volume", ""},
		{"an unknown option", "/mix", "shade", ""},
		{"an unknown command", "/mux", "material", ""},
		{"a broken line", `/mix material:"`, "material", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := b.Complete(t.Context(), line(ada(), c.line), c.option)
			if err != nil {
				t.Fatal(err)
			}
			if values(got) != c.want {
				t.Errorf("got %s, want %s", values(got), c.want)
			}
		})
	}
}

func TestNarrowGivesAtMostWhatIsShown(t *testing.T) {
	many := make([]string, 60)
	for i := range many {
		many[i] = strings.Repeat("m", i+1)
	}
	if got := len(chat.Narrow("", many)); got != 25 {
		t.Errorf("%d suggestions, want 25", got)
	}
}

func TestCompleteLine(t *testing.T) {
	b := newBench(t, chat.Rate{})
	for _, c := range []struct {
		name, line string
		want       []string
	}{
		{"a command", "/m", []string{"/mix "}},
		{"any command", "/", []string{"/mix ", "/thing ", "/word "}},
		{"a sub", "/thing e", []string{"/thing edit "}},
		{"an option", "/mix ma", []string{"/mix material:", "/mix mass:"}},
		{"an option not given yet", "/mix material:white ma", []string{"/mix material:white mass:"}},
		{"a value", "/mix material:sl", []string{`/mix material:"slow white" `}},
		{"a quoted value", `/mix count:3 material:"slow w`, []string{`/mix count:3 material:"slow white" `}},
		{"an option of a sub", "/thing add n", []string{"/thing add name:", "/thing add notes:"}},
		{"no command", "hello", nil},
		{"a slash too late", "hello /", nil},
		{"an unknown command", "/mux ma", nil},
		{"an unknown sub", "/thing nope na", nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := b.CompleteLine(t.Context(), line(ada(), c.line)); !slices.Equal(got, c.want) {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

// What completion offers goes on with what was typed, and can be read.
func FuzzCompleteLine(f *testing.F) {
	for _, s := range []string{"/", "/mix ma", `/mix material:"slow`, "/thing add name:x no", `/mix material:\`, "/mix material:\"a\\", "0 /", "/thing : ", "/thing 0: "} {
		f.Add(s)
	}
	b := newBench(f, chat.Rate{})
	f.Fuzz(func(t *testing.T, typed string) {
		for _, s := range b.CompleteLine(t.Context(), line(ada(), typed)) {
			if _, _, err := chat.ParseLine(s); err != nil {
				t.Errorf("%q was completed to %q: %v", typed, s, err)
			}
		}
	})
}
