package chat_test

import (
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

func TestParseLine(t *testing.T) {
	for _, c := range []struct {
		name, line string
		words      []string
		options    []string
	}{
		{"bare", "/help", []string{"help"}, nil},
		{"a sub", "/volume mesh", []string{"volume", "mesh"}, nil},
		{"case of names goes, of values stays", "/Batch Material:White", []string{"batch"}, []string{"material", "White"}},
		{"spaces around", "  /batch \t count:3 ", []string{"batch"}, []string{"count", "3"}},
		{"a space after the slash", "/ batch", []string{"batch"}, nil},
		{"quoted", `/batch material:"demo rigid white" volume:"250 ml"`, []string{"batch"}, []string{"material", "demo rigid white", "volume", "250 ml"}},
		{"escapes", `/a x:"say \"hi\" \\ now"`, []string{"a"}, []string{"x", `say "hi" \ now`}},
		{"a backslash that escapes nothing", `/a x:"C:\temp"`, []string{"a"}, []string{"x", `C:\temp`}},
		{"a colon in a value", "/ratio convert ratio:1:1", []string{"ratio", "convert"}, []string{"ratio", "1:1"}},
		{"an empty value", `/a x: y:""`, []string{"a"}, []string{"x", "", "y", ""}},
		{"a quote inside", `/a x:5'3"`, []string{"a"}, []string{"x", `5'3"`}},
		{"curly quotes", `/batch material:“demo rigid white” volume:„250 ml“ count:3`, []string{"batch"}, []string{"material", "demo rigid white", "volume", "250 ml", "count", "3"}},
		{"a curly quote that never closes", "/a x:“hi y:2", []string{"a"}, []string{"x", "“hi", "y", "2"}},
		{"a line break is a space", "/a\nx:1\ny:2", []string{"a"}, []string{"x", "1", "y", "2"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			words, options, err := chat.ParseLine(c.line)
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(c.words, words); d != "" {
				t.Errorf("words of %q (-want +got):\n%s", c.line, d)
			}
			if d := cmp.Diff(c.options, options); d != "" {
				t.Errorf("options of %q (-want +got):\n%s", c.line, d)
			}
		})
	}
}

func TestParseLineRefuses(t *testing.T) {
	for _, c := range []struct {
		name, line string
		code       fault.Code
		option     string
		hint       string
	}{
		{"no slash", "batch", fault.UnknownCommand, "", "/help"},
		{"nothing", "", fault.UnknownCommand, "", "/help"},
		{"an unquoted space", "/batch volume:250 ml", fault.UnknownOption, "", `volume:"250 ml"`},
		{"single quotes", "/batch material:'demo rigid white'", fault.UnknownOption, "", `material:"demo rigid"`},
		{"a space after the colon", "/batch volume: 250", fault.UnknownOption, "", "volume:250"},
		{"a colon without a name", "/batch :250", fault.UnknownOption, "", "name:value"},
		{"an open quote", `/batch material:"demo`, fault.UnknownOption, "material", `"`},
		{"twice", "/batch count:1 COUNT:2", fault.TooManyOptions, "count", "once"},
		{"too long", "/a x:" + strings.Repeat("y", 9000), fault.LimitReached, "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := chat.ParseLine(c.line)
			f := fault.As(err)
			if f == nil || f.Code != c.code || f.Option != c.option || !strings.Contains(f.HintText(), c.hint) {
				t.Errorf("got %v, hint %q; want %s in option %q with hint %q", err, f.HintText(), c.code, c.option, c.hint)
			}
		})
	}
}

// A line that was written is read back as it was, whatever the values hold.
func TestFormatLineRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		path := rapid.StringMatching(`[a-z][a-z0-9_-]{0,8}( [a-z]{1,8})?`).Draw(t, "path")
		raw := rapid.MapOfN(rapid.StringMatching(`[a-z][a-z0-9_-]{0,8}`), rapid.String(), 0, 6).Draw(t, "raw")
		order := rapid.SliceOfN(rapid.StringMatching(`[a-z][a-z0-9_-]{0,2}`), 0, 4).Draw(t, "order")
		slices.Sort(order)
		line := chat.FormatLine(path, raw, slices.Compact(order))
		words, options, err := chat.ParseLine(line)
		if err != nil {
			t.Fatalf("%q: %v", line, err)
		}
		if got := strings.Join(words, " "); got != path {
			t.Errorf("path of %q = %q, want %q", line, got, path)
		}
		got := map[string]string{}
		for i := 0; i < len(options); i += 2 {
			got[options[i]] = options[i+1]
		}
		if d := cmp.Diff(raw, got); d != "" {
			t.Errorf("%q (-want +got):\n%s", line, d)
		}
	})
}

func TestFormatLineOrder(t *testing.T) {
	got := chat.FormatLine("batch", map[string]string{"zeta": "1", "alpha": "a b", "mass": ""}, []string{"mass", "missing", "zeta"})
	if want := `/batch mass:"" zeta:1 alpha:"a b"`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// What can be read can be written and read again to the same.
func FuzzParseLine(f *testing.F) {
	for _, s := range []string{
		"/help", `/batch material:"demo rigid white" volume:"250 ml"`, "/ratio convert ratio:1:1 density_a:1.1",
		`/a x:"\"\\" y:`, "/ :x", "/a x:\u00a0y", "/a \xff:\xfe", "/\"a\" b:\"c\"d:e",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		words, options, err := chat.ParseLine(line)
		if err != nil {
			if fault.As(err) == nil {
				t.Fatalf("%q: %v is no fault", line, err)
			}
			return
		}
		raw := map[string]string{}
		var order []string
		for i := 0; i < len(options); i += 2 {
			raw[options[i]] = options[i+1]
			order = append(order, options[i])
		}
		if !utf8.ValidString(line) || len(words) == 0 {
			return
		}
		again, options2, err := chat.ParseLine(chat.FormatLine(strings.Join(words, " "), raw, order))
		if err != nil {
			// Quotes may make the written line the longer one.
			if fault.Is(err, fault.LimitReached) {
				return
			}
			t.Fatalf("%q: %v", line, err)
		}
		if !slices.Equal(words, again) || !slices.Equal(options, options2) {
			t.Errorf("%q: %q %q, again %q %q", line, words, options, again, options2)
		}
	})
}
