package chat_test

import (
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

func TestOptionsAreRead(t *testing.T) {
	b := newBench(t, chat.Rate{})
	for _, c := range []struct {
		name, line string
		want       map[string]string // text|measure|count|yes|ratio
	}{
		{"a quantity in its base unit", `/mix material:white volume:"1 l"`,
			map[string]string{"volume": "1 l|1000|0|false|{0 0 0}"}},
		{"a percent option", `/mix material:white volume:"1 l" waste:10`,
			map[string]string{"waste": "10|0.1|0|false|{0 0 0}"}},
		{"a count", `/mix material:white mass:"100 g" count:12`,
			map[string]string{"count": "12|0|12|false|{0 0 0}"}},
		{"a choice by its value, without case", `/mix material:white mass:"100 g" kind:BRUSH`,
			map[string]string{"kind": "brush|0|0|false|{0 0 0}"}},
		{"a choice by its label", `/mix material:white mass:"100 g" kind:"a pour"`,
			map[string]string{"kind": "pour|0|0|false|{0 0 0}"}},
		{"yes", `/mix material:white mass:"100 g" dry:Y`,
			map[string]string{"dry": "Y|0|0|true|{0 0 0}"}},
		{"no", `/mix material:white mass:"100 g" dry:off`,
			map[string]string{"dry": "off|0|0|false|{0 0 0}"}},
		{"a ratio", `/mix material:white mass:"100 g" ratio:"100:45 wt"`,
			map[string]string{"ratio": "100:45 wt|0|0|false|{100 45 2}"}},
		{"a list in order", `/mix material:white mass:"100 g" pot:"3 min, 100 g, 23 C"`,
			map[string]string{"pot": "3 min|180|0|false|{0 0 0}", "pot_mass": "100 g|100|0|false|{0 0 0}", "pot_temp": "23 C|23|0|false|{0 0 0}"}},
		{"a list by dimension", `/mix material:white mass:"100 g" pot:"23 C, 3 min"`,
			map[string]string{"pot": "3 min|180|0|false|{0 0 0}", "pot_temp": "23 C|23|0|false|{0 0 0}"}},
		{"control characters go", "/mix material:\"wh\u202eite\x07\" mass:\"100 g\"",
			map[string]string{"material": "white|0|0|false|{0 0 0}"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			ans := b.answered(t, line(ada(), c.line))
			got := map[string]string{}
			for _, f := range ans.Reply.Facts {
				got[f.Key] = f.Value.(string)
			}
			for name, want := range c.want {
				if got[name] != want {
					t.Errorf("%s = %q, want %q", name, got[name], want)
				}
			}
		})
	}
}

func TestOptionsAreRefused(t *testing.T) {
	b := newBench(t, chat.Rate{})
	const good = "/mix material:white mass:100g "
	for _, c := range []struct {
		name, line   string
		code         fault.Code
		option, hint string
	}{
		{"unknown before missing", "/mix colour:red", fault.UnknownOption, "colour", "it takes material"},
		{"unknown with a near name", "/mix matreial:white", fault.UnknownOption, "matreial", "did you mean material:"},
		{"unknown option of a sub", "/thing add nmae:x", fault.UnknownOption, "nmae", "did you mean name:"},
		{"missing", "/mix mass:100g", fault.MissingOption, "material", `material:"slow white"`},
		{"empty", `/mix material:"" mass:100g`, fault.MissingOption, "material", `material:"slow white"`},
		{"none of a group", "/mix material:white", fault.MissingOption, "volume", `volume:"250 ml"`},
		{"two of a group", "/mix material:white mass:100g volume:1l", fault.TooManyOptions, "mass", "keep one of volume, mass"},
		{"a wrong dimension", "/mix material:white mass:5ml", fault.BadQuantity, "mass", ""},
		{"a bad value before a missing option", "/mix mass:heavy", fault.BadQuantity, "mass", ""},
		{"not a whole number", good + "count:1.5", fault.BadQuantity, "count", "1 to 50"},
		{"zero of what can't be zero", good + "count:0", fault.OutOfRange, "count", "1 to 50"},
		{"too many", good + "count:51", fault.OutOfRange, "count", "1 to 50"},
		{"past an int", good + "count:99999999999999999999", fault.BadQuantity, "count", "1 to 50"},
		{"no choice", good + "kind:dip", fault.NotFound, "kind", "pour, brush"},
		{"neither yes nor no", good + "dry:maybe", fault.NotFound, "dry", "dry:yes"},
		{"no file", good + "file:part.stl", fault.BadFile, "file", "attach"},
		{"a ratio without basis", good + "ratio:1:1", fault.AmbiguousUnit, "ratio", ""},
		{"a list too long", good + `pot:"3 min, 100 g, 23 C, 5 min"`, fault.BadQuantity, "pot", "3 min, 100 g, 23 C"},
		{"a list with a stranger in it", good + `pot:"3 min, 100 psi"`, fault.BadQuantity, "pot", "pot, pot_mass, pot_temp"},
		{"a list and its member", good + `pot:"3 min, 100 g" pot_mass:90g`, fault.TooManyOptions, "pot_mass", "once"},
		{"a list without its head", good + `pot:"100 g, 23 C"`, fault.BadQuantity, "pot", ""},
		{"a text too long", "/thing add name:" + strings.Repeat("n", 21), fault.LimitReached, "name", "shorten"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := b.refused(t, line(ada(), c.line), c.code).Fault
			if f.Option != c.option || !strings.Contains(f.HintText(), c.hint) {
				t.Errorf("got option %q and hint %q, want %q and %q", f.Option, f.HintText(), c.option, c.hint)
			}
		})
	}
}

// What a member typed is shown back, and only so much of it.
func TestRefusalClipsWhatWasTyped(t *testing.T) {
	b := newBench(t, chat.Rate{})
	for _, l := range []string{
		"/mix material:white mass:100g count:" + strings.Repeat("é", 4000),
		"/mix " + strings.Repeat("o", 4000) + ":1",
		"/" + strings.Repeat("c", 4000),
		"/thing " + strings.Repeat("s", 4000),
		"/word " + strings.Repeat("w", 4000),
	} {
		f := b.Do(t.Context(), line(ada(), l)).Fault
		if f == nil {
			t.Fatalf("%.20s…: not refused", l)
		}
		if n := len([]rune(f.Message)) + len(f.Option); n > 300 {
			t.Errorf("%.20s…: a message of %d characters", l, n)
		}
	}
}

func TestFilesFindTheirOption(t *testing.T) {
	b := newBench(t, chat.Rate{})
	inv := line(ada(), "/mix material:white mass:100g")
	inv.Files = map[string]chat.File{"": {Name: "part.stl", Data: []byte("solid")}}
	ans := b.answered(t, inv)
	if got := ans.Reply.Facts[0]; got.Key != "file" || !strings.HasPrefix(got.Value.(string), "part.stl|") {
		t.Errorf("first fact %+v, want the file's name", got)
	}

	inv = line(ada(), "/word word:pull")
	inv.Files = map[string]chat.File{"": {Name: "part.stl"}}
	b.refused(t, inv, fault.TooManyOptions)
}

// A pinned file comes back from a button without its bytes.
func TestPinnedFileNeedsNoBytes(t *testing.T) {
	b := newBench(t, chat.Rate{})
	ans := b.answered(t, line(ada(), "/mix material:white mass:100g file:#a1b2"))
	if got := ans.Reply.Facts[0].Value.(string); !strings.HasPrefix(got, "#a1b2|") {
		t.Errorf("file read as %q, want #a1b2", got)
	}
}
