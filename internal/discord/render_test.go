package discord

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/discord/fake"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// judge sends an answer through the fake's judgment.
func judge(t interface {
	Helper()
	Errorf(string, ...any)
}, out rendered) {
	t.Helper()
	raw, err := marshal(callback{Type: answerMessage, Data: out.message})
	if err != nil {
		t.Errorf("encode: %v", err)
	}
	var files []fake.File
	for _, f := range out.files {
		files = append(files, fake.File{Name: f.name, Data: f.data})
	}
	for _, bad := range fake.JudgeAnswer(raw, files) {
		t.Errorf("%s", bad)
	}
}

func batchReply() *chat.Reply {
	low, high := 131.95, 132.05
	return &chat.Reply{
		Title: "Mix 132 g A with 122 g B (240 mL)",
		Facts: []chat.Fact{
			{Key: "mass_a", Label: "Part A", Value: 132.0, Unit: "g", Low: &low, High: &high, Text: "132.0 g"},
			{Key: "mass_b", Label: "Part B", Value: 122.4, Unit: "g", Text: "122.4 g"},
			chat.Num("volume_total", "In the cup", 240, quantity.Volume, quantity.Metric),
			{Key: "opened", Label: "Opened", Value: "2026-11-25T10:00:00Z", Text: "today"},
		},
		Steps:    []string{"Warm both jugs to 21 °C", "Weigh A, then B, into one cup", "Stir 40 s, scrape the sides"},
		Notes:    []string{"4 % waste is added: the larger of the three", "at the shop's 21 °C; is your room colder?"},
		Cautions: []chat.Caution{{ID: "isocyanate", Text: "Part A can sensitize the lungs: open a window, wear gloves.", Full: "…"}},
		Working:  []working.Step{{What: "mass of A", Formula: "V·ρA", Value: "120 mL × 1.10 g/mL = 132 g", Source: working.Definition}},
		Images:   []chat.Image{{Name: "cups.png", Alt: "Two cups beside each other", Data: []byte("\x89PNG")}},
		Actions: []chat.Action{
			{ID: "1w.1./batch", Label: "Show working", Do: chat.DoWorking}, {ID: "1p.1./batch", Label: "Post here", Do: chat.DoPost},
			{ID: "1r.1./pour", Label: "Start this pour", Do: chat.DoRun},
		},
		Terms: []string{"pot life", "section"},
	}
}

// TestRenderGolden keeps how answers look. -update rewrites the files.
func TestRenderGolden(t *testing.T) {
	work := batchReply()
	work = &chat.Reply{Title: "Working: " + work.Title, Working: work.Working}
	cases := map[string]chat.Answer{
		"reply":    {Reply: batchReply(), Private: true},
		"bare":     {Reply: &chat.Reply{Title: "Nothing is kept yet"}},
		"working":  {Reply: work, Private: true},
		"cautions": {Reply: &chat.Reply{Title: "Cautions in full", Cautions: []chat.Caution{{ID: "heat", Text: "A deep pour can boil.\nPour in lifts."}}}, Private: true},
		"refused": {Fault: fault.New(fault.OutOfRange, "thickness 3000 mm is more than 500 mm").In("thickness").Hint("give the thickest section, such as 12 mm"),
			Actions: []chat.Action{{ID: "1e.1./cure", Label: "12 mm", Do: chat.DoReplace}}},
	}
	for name, ans := range cases {
		t.Run(name, func(t *testing.T) {
			out := render(ans, 0)
			judge(t, out)
			got, err := json.MarshalIndent(out.message, "", "  ")
			if err != nil {
				t.Fatal(err)
			}
			golden(t, name+".json", append(got, '\n'))
		})
	}
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	file := filepath.Join("testdata", "golden", name)
	if *update {
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != string(want) {
		t.Errorf("%s differs (run with -update and look at the diff):\n%s", file, got)
	}
}

// nasty draws texts of strangers: markup, mentions, wide and invisible
// characters, nothing at all, or a great deal.
func nasty(t *rapid.T, name string) string {
	parts := rapid.SliceOfN(rapid.SampledFrom([]string{
		"resin", " ", "\n", "**", "`", "```", "@everyone", "<@715000000000000104>", "<t:1:R>", "[x](https://example.org)", "🧪", "\u202e", "\x00", "é",
		"\\", "||", "# ", "- ", "1. ", "> ", "_", "~~", ":smile:", "https://example.org/a_b", "\xff", strings.Repeat("w", 300),
	}), 0, 30).Draw(t, name)
	return strings.Join(parts, "")
}

// TestRenderFits wants any reply, however long and odd, to be one that the
// service takes, and its cautions to be in it.
func TestRenderFits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := &chat.Reply{Title: nasty(t, "title")}
		for n := range rapid.IntRange(0, 12).Draw(t, "facts") {
			r.Facts = append(r.Facts, chat.Fact{Key: fmt.Sprint(n), Label: nasty(t, "label"), Text: nasty(t, "text"), Value: 1.5, Unit: "g"})
		}
		lines := func(name string, most int) []string {
			var out []string
			for range rapid.IntRange(0, most).Draw(t, name) {
				out = append(out, nasty(t, name))
			}
			return out
		}
		r.Steps, r.Notes, r.Terms = lines("steps", 30), lines("notes", 10), lines("terms", 3)
		if rapid.Bool().Draw(t, "caution") {
			r.Cautions = []chat.Caution{{ID: "c", Text: "Wear a respirator"}}
		}
		for range rapid.IntRange(0, 5).Draw(t, "working") {
			r.Working = append(r.Working, working.Step{What: nasty(t, "what"), Formula: nasty(t, "formula"), Value: "1", Source: "s"})
		}
		for range rapid.IntRange(0, 12).Draw(t, "images") {
			r.Images = append(r.Images, chat.Image{Name: rapid.SampledFrom([]string{"a.png", "../b.png", "ü n.png", ""}).Draw(t, "name"), Alt: nasty(t, "alt"), Data: []byte("x")})
		}
		for n := range rapid.IntRange(0, 45).Draw(t, "actions") {
			r.Actions = append(r.Actions, chat.Action{ID: fmt.Sprintf("1r.1./x%d", n/2), Label: nasty(t, "action"), Do: chat.DoRun})
		}
		out := render(chat.Answer{Reply: r}, 0)
		judge(t, out)
		if len(r.Cautions) > 0 && !strings.Contains(text(out), "Wear a respirator") {
			t.Errorf("the caution was pushed out")
		}
		f := fault.New(fault.NotFound, "%s", nasty(t, "message")).In(nasty(t, "option")).Hint("%s", nasty(t, "hint"))
		judge(t, render(chat.Answer{Fault: f, Actions: r.Actions}, 0))
	})
}

func text(out rendered) string {
	var b strings.Builder
	for _, e := range out.message.Embeds {
		b.WriteString(e.Title + "\n" + e.Description + "\n")
	}
	return b.String()
}

// TestRenderCutKeepsAll attaches the whole text when a card can't hold it.
func TestRenderCutKeepsAll(t *testing.T) {
	r := batchReply()
	for range 200 {
		r.Steps = append(r.Steps, strings.Repeat("Stir slowly. ", 10))
	}
	r.Steps = append(r.Steps, "The very last step")
	out := render(chat.Answer{Reply: r}, 0)
	judge(t, out)
	last := out.files[len(out.files)-1]
	if last.name != "full-answer.txt" || !strings.Contains(string(last.data), "The very last step") || !strings.Contains(string(last.data), "sensitize") {
		t.Errorf("file %q of %d bytes", last.name, len(last.data))
	}
	if !strings.Contains(text(out), "sensitize the lungs") {
		t.Error("the caution was pushed out by long steps")
	}
}

// TestRenderFactsLeaveRoom keeps the caution when every fact is as long as can
// be.
func TestRenderFactsLeaveRoom(t *testing.T) {
	r := batchReply()
	r.Facts = nil
	for range 30 {
		r.Facts = append(r.Facts, chat.Fact{Label: strings.Repeat("*", 2000), Text: strings.Repeat("_", 5000)})
	}
	out := render(chat.Answer{Reply: r}, 0)
	judge(t, out)
	if len(out.message.Embeds[0].Fields) != shownFacts || !strings.Contains(text(out), "sensitize the lungs") || !strings.Contains(text(out), "Weigh A") {
		t.Errorf("%d facts; %s", len(out.message.Embeds[0].Fields), text(out))
	}
}

// TestRenderFiles leaves out what is too large for the place, and says so.
func TestRenderFiles(t *testing.T) {
	r := &chat.Reply{Title: "Two files", Files: []chat.File{{Name: "a.csv", Data: make([]byte, 100)}, {Name: "A.csv", Data: make([]byte, 99)}}}
	out := render(chat.Answer{Reply: r}, 99)
	judge(t, out)
	if len(out.files) != 1 || len(out.files[0].data) != 99 || !strings.Contains(text(out), `a.csv is left out`) {
		t.Errorf("%d files, text %q", len(out.files), text(out))
	}
	out = render(chat.Answer{Reply: r}, 0)
	judge(t, out)
	if len(out.files) != 2 || out.files[0].name == out.files[1].name || strings.EqualFold(out.files[0].name, out.files[1].name) {
		t.Errorf("names %q and %q", out.files[0].name, out.files[1].name)
	}
}

// TestRenderMore puts actions that fit no button into a list, none lost.
func TestRenderMore(t *testing.T) {
	for _, n := range []int{0, 1, 5, 6, 25, 26, 35} {
		r := &chat.Reply{Title: "x"}
		for i := range n {
			r.Actions = append(r.Actions, chat.Action{ID: fmt.Sprint("1r.1./x", i), Label: fmt.Sprint("Do ", i), Do: chat.DoRun})
		}
		out := render(chat.Answer{Reply: r}, 0)
		judge(t, out)
		raw, err := marshal(out.message.Components)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Count(string(raw), `"1r.1./x`); got != n {
			t.Errorf("%d of %d actions", got, n)
		}
	}
}

func TestRenderForm(t *testing.T) {
	f := &chat.OpenForm{ID: "1f.1./mold add", Title: strings.Repeat("A new mold ", 9), Fields: []chat.Field{
		{Option: chat.Option{Name: "name", Help: strings.Repeat("h", 100), Required: true, Like: "viaduct arch"}, Value: "pier"},
		{Option: chat.Option{Name: "pot_life", Help: "Time to pour", Kind: chat.Measure}, Value: strings.Repeat("v", 300)},
		{Option: chat.Option{Name: "family", Help: "Its rubber", Kind: chat.OneWord, Choices: []chat.Choice{{Value: "addition"}, {Value: "other", Label: "Another"}}}, Value: "other"},
		{Option: chat.Option{Name: "sealed", Help: "Is it?", Kind: chat.YesNo}},
		{Option: chat.Option{Name: "photo", Help: "A picture", Kind: chat.Attachment}},
		{Option: chat.Option{Name: "sixth", Help: "One too many"}},
	}}
	raw, err := marshal(callback{Type: answerForm, Data: renderForm(f)})
	if err != nil {
		t.Fatal(err)
	}
	for _, bad := range fake.JudgeAnswer(raw, nil) {
		t.Error(bad)
	}
	golden(t, "form.json", append(raw, '\n'))
}

func TestRenderChoices(t *testing.T) {
	var many []chat.Choice
	for i := range 40 {
		many = append(many, chat.Choice{Value: fmt.Sprint("v", i)})
	}
	cases := map[string]struct {
		in   []chat.Choice
		want int
	}{
		"none": {nil, 0}, "many": {many, 25}, "long label": {[]chat.Choice{{Value: "v", Label: strings.Repeat("🧪", 80)}}, 1},
		"long value": {[]chat.Choice{{Value: strings.Repeat("v", 101)}, {Value: "w"}}, 1}, "empty": {[]chat.Choice{{}, {Value: "\u202e"}}, 0},
	}
	for name, c := range cases {
		raw, err := marshal(callback{Type: answerSuggestions, Data: renderChoices(c.in)})
		if err != nil {
			t.Fatal(err)
		}
		if bad := fake.JudgeAnswer(raw, nil); len(bad) > 0 {
			t.Errorf("%s: %v", name, bad)
		}
		if got := strings.Count(string(raw), `"value"`); got != c.want {
			t.Errorf("%s: %d choices, want %d: %s", name, got, c.want, raw)
		}
	}
}

func TestEscape(t *testing.T) {
	for in, want := range map[string]string{
		"plain text, 12.5 g":             "plain text, 12.5 g",
		"**bold** _it_ ~~s~~ ||hid||":    `\*\*bold\*\* \_it\_ \~\~s\~\~ \|\|hid\|\|`,
		"`code`":                         "\\`code\\`",
		"<@123> <t:1:R> @everyone":       `\<\@123\> \<t\:1:R\> \@everyone`,
		"[click](https://example.org)":   `\[click\](https\://example.org)`,
		"# head\n - item\n> quote\n1. x": "\\# head\n \\- item\n\\> quote\n1\\. x",
		"a - b, 2 # 3":                   "a - b, 2 # 3",
		"12) first":                      `12\) first`,
		":smile: 1:1 vol":                `\:smile: 1:1 vol`,
		"100:45 wt, note: dry":           "100:45 wt, note: dry",
		`back\slash`:                     `back\\slash`,
		"\u202ereversed\x00\xff\r":       "reversed",
		"-5 °C":                          `\-5 °C`,
		"":                               "",
	} {
		if got := escape(in); got != want {
			t.Errorf("escape(%q)\n got %q\nwant %q", in, got, want)
		}
	}
}

// unescape reads a text as the service does: a backslash before punctuation
// goes.
func unescape(s string) string {
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] == '\\' && i+1 < len(s) && s[i+1] < utf8.RuneSelf && !strings.ContainsRune(" \n\t", rune(s[i+1])) {
			i++
		}
		b.WriteByte(s[i])
	}
	return b.String()
}

// TestEscapeShowsWhatWasTyped reads an escaped text back.
func TestEscapeShowsWhatWasTyped(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := nasty(t, "text")
		want := strings.Map(func(r rune) rune {
			if r != '\n' && !shown(r) {
				return -1
			}
			return r
		}, in)
		if got := unescape(escape(in)); got != want {
			t.Fatalf("%q shows as %q", in, got)
		}
	})
}

// TestCutUnits never exceeds the limit, never breaks a character, and keeps a
// text that fits.
func TestCutUnits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := escape(nasty(t, "text"))
		limit := rapid.IntRange(0, 400).Draw(t, "limit")
		got := cutUnits(s, limit)
		switch {
		case units(got) > limit, !utf8.ValidString(got):
			t.Fatalf("cut to %d: %q (%d)", limit, got, units(got))
		case units(s) <= limit && limit > 0 && got != s:
			t.Fatalf("%q fits %d but became %q", s, limit, got)
		case strings.HasSuffix(strings.TrimSuffix(got, "…"), `\`) && !strings.HasSuffix(strings.TrimSuffix(got, "…"), `\\`) && got != s:
			t.Fatalf("%q ends in half an escape", got)
		}
	})
}

// TestInstants become stamps that each reader sees in their own zone.
func TestInstants(t *testing.T) {
	at := time.Date(2026, 11, 25, 10, 0, 0, 0, time.UTC)
	got := (&page{}).factText(chat.Fact{Value: at.Format(time.RFC3339), Text: "10:00"})
	if want := "<t:1795600800:F> (<t:1795600800:R>)"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestSafeName(t *testing.T) {
	for in, want := range map[string]string{
		"cure.png": "cure.png", "../../etc/passwd": "passwd", `C:\x\a b.stl`: "a_b.stl", ".hidden": "hidden", "": "file", "ü.png": "_.png",
		strings.Repeat("x", 200) + ".png": strings.Repeat("x", 76) + ".png",
	} {
		if got := safeName(in); got != want {
			t.Errorf("safeName(%q) = %q, want %q", in, got, want)
		}
	}
}

// TestRenderTableKeepsTheTitle: a title with a time in it stands in the text of
// the card, and so do the names of what a table compares.
func TestRenderTableKeepsTheTitle(t *testing.T) {
	r := &chat.Reply{Title: "Both poured at 15:04",
		Clocks: []chat.Clock{{Text: "15:04", At: testTime}},
		Table:  &chat.Table{Things: []string{"white", "amber"}, Rows: []chat.TableRow{{Label: "pot life", Cells: []string{"3 min", "25 min"}, Differs: true}}}}
	text := render(chat.Answer{Reply: r}, 0).message.Embeds[0].Description
	for _, want := range []string{"Both poured at", "white", "amber"} {
		if !strings.Contains(text, want) {
			t.Errorf("the card says %q, without %q", text, want)
		}
	}
}
