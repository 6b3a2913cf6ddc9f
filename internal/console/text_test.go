package console_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"github.com/google/go-cmp/cmp"
	"github.com/mattn/go-runewidth"
	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/console"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/working"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares with a file, or writes it under -update.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v (go test -update writes it)", err)
	}
	if d := cmp.Diff(string(want), string(got)); d != "" {
		t.Errorf("%s differs (-want +got; go test -update writes it anew):\n%s", path, d)
	}
}

func long() *chat.Reply {
	r := full()
	r.Notes = append(r.Notes, "Waste is 4 % of the volume, which is more than the film of one cup and more than 2 mL; a wide cup or a cold room asks for more than that.")
	for i := range 6 {
		r.Facts = append(r.Facts, chat.Fact{Key: fmt.Sprint("f", i), Label: fmt.Sprint("Further fact ", i), Value: i, Text: fmt.Sprint(i)})
	}
	return r
}

func TestShow(t *testing.T) {
	answers := map[string]chat.Answer{
		"reply": {Reply: long()},
		"refusal": {
			Fault: fault.New(fault.AmbiguousNumber, `"1,000 ml" can be one or a thousand`).In("volume").Hint(`volume:"1000 ml" or volume:"1.000 ml"`),
			Actions: []chat.Action{
				{ID: "a", Label: "1000 ml"}, {ID: "b", Label: "1 ml"}, {ID: "c", Label: "a rather long label, as long as allowed"}, {ID: "d", Label: "another label"},
			},
		},
		"broken":  {Fault: fault.New(fault.Unavailable, "the disk that holds the records is full").Hint("make room")},
		"working": {Reply: &chat.Reply{Title: "Working: Mix 132 g A with 122 g B", Working: long().Working}},
		"form": {Form: &chat.OpenForm{Title: "Color and hardness", Fields: []chat.Field{
			{Option: chat.Option{Name: "hardness", Help: "as the bulletin says"}, Value: "74 D"},
			{Option: chat.Option{Name: "cured_color", Help: "as it cures", Required: true}},
		}}},
	}
	screens := map[string]console.Screen{"80": {Width: 80}, "40": {Width: 40}, "color": {Width: 80, Color: true}, "once": {Width: 80, Once: true}}
	for name, ans := range answers {
		for kind, s := range screens {
			t.Run(name+"_"+kind, func(t *testing.T) {
				var out bytes.Buffer
				s.W = &out
				if err := s.Show(ans, map[string]string{"cure.png": "/tmp/pictures/cure.png"}); err != nil {
					t.Fatal(err)
				}
				golden(t, name+"_"+kind+".txt", out.Bytes())
				plain := sgr.ReplaceAllString(out.String(), "")
				for line := range strings.SplitSeq(plain, "\n") {
					if w := runewidth.StringWidth(line); w > s.Width {
						t.Errorf("a line of %d columns on a screen of %d: %q", w, s.Width, line)
					}
				}
			})
		}
	}
}

var sgr = regexp.MustCompile("\x1b\\[[0-9;]*m")

// Colors add nothing that the words do not say.
func TestColorIsNeverAlone(t *testing.T) {
	var plain, color bytes.Buffer
	ans := chat.Answer{Reply: long()}
	for s, out := range map[*console.Screen]*bytes.Buffer{{Width: 80}: &plain, {Width: 80, Color: true}: &color} {
		s.W = out
		if err := s.Show(ans, nil); err != nil {
			t.Fatal(err)
		}
	}
	if d := cmp.Diff(plain.String(), sgr.ReplaceAllString(color.String(), "")); d != "" {
		t.Errorf("without its colors the text differs:\n%s", d)
	}
	if plain.String() == color.String() {
		t.Error("nothing is colored")
	}
}

// Whatever members wrote, the terminal gets no control character, no change
// of direction and no line that is too long.
func TestHostileText(t *testing.T) {
	hostile := rapid.StringOfN(rapid.OneOf(
		rapid.SampledFrom([]rune("\x1b\a\b\r\n\t\x00\x7f\u0085\u009b\u202e\u2066\u2028\ufeff\U000e0041[]31m;")),
		rapid.Rune(),
	), 0, 200, -1)
	rapid.Check(t, func(t *rapid.T) {
		text := func(name string) string { return hostile.Draw(t, name) }
		ans := chat.Answer{Reply: &chat.Reply{
			Title: text("title"), Steps: []string{text("step")}, Notes: []string{text("note")},
			Facts:    []chat.Fact{{Key: "k", Label: text("label"), Text: text("text")}},
			Cautions: []chat.Caution{{ID: "x", Text: text("caution")}},
			Working:  []working.Step{{What: text("what"), Formula: text("formula"), Value: text("value"), Source: text("source")}},
			Images:   []chat.Image{{Name: text("image"), Alt: text("alt")}}, Files: []chat.File{{Name: text("file")}},
			Actions: []chat.Action{{ID: "a", Label: text("action")}}, Terms: []string{text("term")},
		}}
		if rapid.Bool().Draw(t, "refused") {
			ans = chat.Answer{Fault: fault.New(fault.NotFound, "%s", text("message")).In(text("option")).Hint("%s", text("hint"))}
		}
		var out bytes.Buffer
		s := console.Screen{W: &out, Width: rapid.IntRange(30, 100).Draw(t, "width")}
		if err := s.Show(ans, nil); err != nil {
			t.Fatal(err)
		}
		for line := range strings.SplitSeq(out.String(), "\n") {
			for _, r := range line {
				if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == '\u2028' || r == '\ufeff' {
					t.Fatalf("%U reaches the terminal in %q", r, line)
				}
			}
		}
	})
}

// No word of a text is lost by wrapping, and no line is too long.
func TestWrapKeepsWords(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOfN(rapid.StringMatching(`[a-zäß日0-9]{1,40}`), 1, 40).Draw(t, "words")
		width := rapid.IntRange(30, 100).Draw(t, "width")
		var out bytes.Buffer
		s := console.Screen{W: &out, Width: width}
		if err := s.Show(chat.Answer{Reply: &chat.Reply{Title: strings.Join(words, " ")}}, nil); err != nil {
			t.Fatal(err)
		}
		if got, want := strings.Join(strings.Fields(out.String()), ""), strings.Join(words, ""); got != want {
			t.Fatalf("wrapped to %q, want the letters of %q", out.String(), want)
		}
		for line := range strings.SplitSeq(out.String(), "\n") {
			if w := runewidth.StringWidth(line); w > width {
				t.Fatalf("a line of %d columns on a screen of %d: %q", w, width, line)
			}
		}
	})
}
