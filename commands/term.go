package commands

import (
	"context"
	"strings"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/library"
)

func init() { register("term", newTerm) }

func newTerm(deps) chat.Command {
	return chat.Command{
		Name: "term",
		Help: "what a word of the trade means",
		Asks: []chat.Ask{
			{Question: "What does demold time mean?", Line: `/term word:"demold time"`},
			{Question: "What is a section?", Line: "/term word:section"},
			{Question: "How much vacuum can a gauge show where we are?", Line: "/term word:vacuum"},
		},
		Subs: []chat.Sub{{Public: true, Run: term, Options: []chat.Option{
			{Name: "word", Help: "the word", Like: "pot life", Required: true, Suggest: library.SuggestTerm},
		}}},
	}
}

// term answers with the glossary's sentence, and a button for each word that
// belongs with it.
func term(_ context.Context, c *chat.Call) (*chat.Reply, error) {
	t, err := library.Term(c, "word")
	if err != nil {
		return nil, err
	}
	r := &chat.Reply{Title: t.Word + ": " + t.Text}
	if len(t.Aliases) > 0 {
		r.Notes = append(r.Notes, "Also called "+strings.Join(t.Aliases, ", ")+".")
	}
	if err := library.AirHere(c, t.Step, r); err != nil {
		return nil, err
	}
	r.Cautions = chat.Cautions(caution.OfStep(t.Step))
	if t.Standard != "" {
		r.Notes = append(r.Notes, "Standard: "+t.Standard+".")
	}
	for _, word := range t.See {
		r.Actions = append(r.Actions, chat.Action{Label: word, Line: chat.FormatLine("term", map[string]string{"word": word}, nil)})
	}
	return r, nil
}
