package commands

import (
	"context"
	"fmt"
	"slices"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/library"
)

func init() { register("help", newHelp) }

type helpCommand struct{ deps }

func newHelp(d deps) chat.Command {
	h := helpCommand{d}
	return chat.Command{
		Name: "help",
		Help: "what can I ask?",
		Asks: []chat.Ask{
			{Question: "What can I ask about my scale?", Line: "/help topic:scale"},
			{Question: "Which options does a command take?", Line: "/help topic:batch"},
		},
		Subs: []chat.Sub{{Public: true, Run: h.run, Options: []chat.Option{
			{Name: "topic", Help: "a command, or a word of what you want to do", Like: "batch", Suggest: h.suggest},
		}}},
	}
}

func (h helpCommand) suggest(_ context.Context, _ *chat.Call, typed string) ([]chat.Choice, error) {
	return chat.Narrow(typed, library.Topics(h.all())), nil
}

func (h helpCommand) run(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	all, err := h.here(ctx, c)
	if err != nil {
		return nil, err
	}
	if c.Text("topic") == "" {
		return everything(all), nil
	}
	t, err := library.Topic(c, "topic", all)
	if err != nil {
		return nil, err
	}
	switch {
	case t.Sub != nil:
		return subHelp(t), nil
	case t.Command != nil:
		return commandHelp(t.Command), nil
	}
	r := &chat.Reply{Title: fmt.Sprintf("What can be asked about %q", t.Word)}
	return withAsks(r, t.Asks), nil
}

// here is every command with the examples that work in this shop.
func (h helpCommand) here(ctx context.Context, c *chat.Call) ([]chat.Command, error) {
	all := slices.Clone(h.all())
	for i := range all {
		asks, err := h.library.Here(ctx, c.By, all[i].Asks)
		if err != nil {
			return nil, err
		}
		all[i].Asks = asks
	}
	return all, nil
}

// askedFirst are the commands in the order in which a newcomer needs them; the
// rest follow in theirs.
var askedFirst = []string{"first", "batch", "cure", "pour", "volume", "tint", "ratio", "mold", "trouble", "material", "safety", "term"}

func rank(command string) int {
	if i := slices.Index(askedFirst, command); i >= 0 {
		return i
	}
	return len(askedFirst)
}

// everything is one question for each command, and how a line is written.
func everything(all []chat.Command) *chat.Reply {
	r := &chat.Reply{
		Title: "What do you want to do?",
		Notes: []string{
			`Write /command name:value, with quotes around a value that has spaces. "250 ml", "8 fl oz" and "1 1/2 in" are all read.`,
			"/help topic:batch tells all that a command takes; a word such as scale or mold finds what can be asked about it.",
		},
	}
	slices.SortStableFunc(all, func(a, b chat.Command) int { return rank(a.Name) - rank(b.Name) })
	var asks []chat.Ask
	for _, cmd := range all {
		if len(cmd.Asks) > 0 && cmd.Name != "help" {
			asks = append(asks, cmd.Asks[0])
		}
	}
	return withAsks(r, asks)
}

// withAsks shows questions with the lines that answer them, and a button for
// each as far as the service has room.
func withAsks(r *chat.Reply, asks []chat.Ask) *chat.Reply {
	const buttons = 20
	for i, a := range asks {
		r.Steps = append(r.Steps, a.Question+" "+a.Line)
		if i < buttons {
			r.Actions = append(r.Actions, chat.Action{Label: a.Question, Line: a.Line})
		}
	}
	return r
}

// commandHelp is a command's page: its subs, or what it takes.
func commandHelp(cmd *chat.Command) *chat.Reply {
	if bare, ok := cmd.Sub(""); ok {
		return subHelp(library.HelpTopic{Command: cmd, Sub: bare, Asks: cmd.Asks})
	}
	r := &chat.Reply{Title: fmt.Sprintf("/%s: %s", cmd.Name, cmd.Help)}
	for i := range cmd.Subs {
		path := cmd.Path(&cmd.Subs[i])
		r.Steps = append(r.Steps, fmt.Sprintf("/%s: %s", path, cmd.Subs[i].Help))
		r.Actions = append(r.Actions, chat.Action{Label: "/" + path, Line: chat.FormatLine("help", map[string]string{"topic": path}, nil)})
	}
	return about(r, cmd)
}

// subHelp is the page of what one sub takes.
func subHelp(t library.HelpTopic) *chat.Reply {
	r := &chat.Reply{Title: fmt.Sprintf("/%s: %s", t.Command.Path(t.Sub), t.Help())}
	for _, o := range t.Sub.Options {
		r.Steps = append(r.Steps, library.OptionHelp(t.Sub, o))
	}
	if len(t.Sub.Options) == 0 {
		r.Notes = append(r.Notes, "It needs no options.")
	}
	if t.Sub.Computes || t.Sub.Public {
		r.Notes = append(r.Notes, "show:yes posts the answer to the channel, show:no keeps it to you.")
	}
	withExamples(r, t)
	return about(r, t.Command)
}

func withExamples(r *chat.Reply, t library.HelpTopic) {
	for _, a := range t.Asks {
		r.Notes = append(r.Notes, "For example: "+a.Line)
		r.Actions = append(r.Actions, chat.Action{Label: a.Question, Line: a.Line})
	}
}

func about(r *chat.Reply, cmd *chat.Command) *chat.Reply {
	if cmd.About != "" {
		r.Notes = append(r.Notes, cmd.About)
	}
	return r
}
