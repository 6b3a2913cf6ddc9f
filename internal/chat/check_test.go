package chat_test

import (
	"context"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/quantity"
)

func TestNewRefusesWrongDeclarations(t *testing.T) {
	run := func(context.Context, *chat.Call) (*chat.Reply, error) { return &chat.Reply{}, nil }
	word := chat.Option{Name: "word", Help: "a word"}
	sub := func(change func(*chat.Sub)) []chat.Command {
		s := chat.Sub{Run: run, Options: []chat.Option{word, {Name: "other", Help: "another"}}}
		change(&s)
		return []chat.Command{{Name: "good", Help: "good", Subs: []chat.Sub{s}}}
	}
	option := func(o chat.Option) []chat.Command {
		return sub(func(s *chat.Sub) { s.Options = []chat.Option{o} })
	}
	manyOptions := make([]chat.Option, 26)
	manyChoices := make([]chat.Choice, 26)
	for i := range manyOptions {
		manyOptions[i] = chat.Option{Name: "o" + strings.Repeat("x", i), Help: "one"}
		manyChoices[i] = chat.Choice{Value: strings.Repeat("x", i+1)}
	}
	bare := chat.Sub{Run: run}
	for _, c := range []struct {
		name     string
		commands []chat.Command
		want     string
	}{
		{"a name in upper case", []chat.Command{{Name: "Good", Help: "h", Subs: []chat.Sub{bare}}}, "name"},
		{"no help", []chat.Command{{Name: "good", Subs: []chat.Sub{bare}}}, "help"},
		{"help too long", []chat.Command{{Name: "good", Help: strings.Repeat("é", 101), Subs: []chat.Sub{bare}}}, "help"},
		{"no sub", []chat.Command{{Name: "good", Help: "h"}}, "subcommands"},
		{"twice", []chat.Command{{Name: "good", Help: "h", Subs: []chat.Sub{bare}}, {Name: "good", Help: "h", Subs: []chat.Sub{bare}}}, "twice"},
		{"bare and not", []chat.Command{{Name: "good", Help: "h", Subs: []chat.Sub{bare, {Name: "x", Help: "h", Run: run}}}}, "bare"},
		{"a sub twice", []chat.Command{{Name: "good", Help: "h", Subs: []chat.Sub{{Name: "x", Help: "h", Run: run}, {Name: "x", Help: "h", Run: run}}}}, "twice"},
		{"a sub with a space", []chat.Command{{Name: "good", Help: "h", Subs: []chat.Sub{{Name: "x y", Help: "h", Run: run}}}}, "sub name"},
		{"a sub without help", []chat.Command{{Name: "good", Help: "h", Subs: []chat.Sub{{Name: "x", Run: run}}}}, "help"},
		{"a sub that runs nothing", sub(func(s *chat.Sub) { s.Run = nil }), "runs nothing"},
		{"too many options", sub(func(s *chat.Sub) { s.Options = manyOptions }), "at most 25"},
		{"too many with the added one", sub(func(s *chat.Sub) { s.Options = manyOptions[:25]; s.Computes = true }), "at most 25"},
		{"an option twice", sub(func(s *chat.Sub) { s.Options = append(s.Options, word) }), "twice"},
		{"its own show", sub(func(s *chat.Sub) {
			s.Public = true
			s.Options = append(s.Options, chat.Option{Name: "show", Help: "h"})
		}), "twice"},
		{"an option's name", option(chat.Option{Name: "a b", Help: "h"}), "option name"},
		{"an option without help", option(chat.Option{Name: "a"}), "help"},
		{"required after optional", sub(func(s *chat.Sub) { s.Options[1].Required = true }), "required but"},
		{"a measure of nothing", option(chat.Option{Name: "a", Help: "h", Kind: chat.Measure}), "measures nothing"},
		{"one word of none", option(chat.Option{Name: "a", Help: "h", Kind: chat.OneWord}), "choices"},
		{"one word of too many", option(chat.Option{Name: "a", Help: "h", Kind: chat.OneWord, Choices: manyChoices}), "choices"},
		{"choices of a text", option(chat.Option{Name: "a", Help: "h", Choices: manyChoices[:1]}), "choices"},
		{"least above most", option(chat.Option{Name: "a", Help: "h", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Mass}, Min: 2, Max: 1}), "least above"},
		{"a group of strangers", sub(func(s *chat.Sub) { s.OneOf = [][]string{{"word", "gone"}} }), `"gone"`},
		{"a group with a twin", sub(func(s *chat.Sub) { s.OneOf = [][]string{{"word", "word"}} }), "twice"},
		{"a list of strangers", sub(func(s *chat.Sub) { s.Options[0].Spread = []string{"gone"} }), `"gone"`},
		{"a form of strangers", sub(func(s *chat.Sub) { s.Forms = []chat.Form{{Title: "t", Options: []string{"gone"}}} }), `"gone"`},
		{"a form of six", sub(func(s *chat.Sub) {
			s.Options = manyOptions[:6]
			s.Forms = []chat.Form{{Title: "t", Options: []string{"o", "ox", "oxx", "oxxx", "oxxxx", "oxxxxx"}}}
		}), "6 fields"},
		{"a form of none", sub(func(s *chat.Sub) { s.Forms = []chat.Form{{Title: "t"}} }), "0 fields"},
		{"a form without title", sub(func(s *chat.Sub) { s.Forms = []chat.Form{{Options: []string{"word"}}} }), "title"},
		{"a form twice", sub(func(s *chat.Sub) {
			s.Forms = []chat.Form{{Title: "t", Options: []string{"word"}}, {Title: "t", Options: []string{"word"}}}
		}), "twice"},
		{"a form's name that breaks an id", sub(func(s *chat.Sub) { s.Forms = []chat.Form{{Name: "a.b", Title: "t", Options: []string{"word"}}} }), "form name"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := chat.New(chat.Config{Commands: c.commands})
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want an error with %q", err, c.want)
			}
		})
	}
}

func TestNewAddsShowAndSorts(t *testing.T) {
	b := newBench(t, chat.Rate{})
	var names []string
	for _, c := range b.Commands() {
		names = append(names, c.Name)
		for i := range c.Subs {
			s := &c.Subs[i]
			if _, has := s.Option("show"); has != (s.Computes || s.Public) {
				t.Errorf("/%s: show is there: %v", c.Path(s), has)
			}
		}
	}
	if got := strings.Join(names, " "); got != "mix thing word" {
		t.Errorf("commands %s", got)
	}
	// The declarations handed in are left as they were.
	if all := commands(); len(all[1].Subs[0].Options) != 1 {
		t.Error("New changed its argument")
	}
}
