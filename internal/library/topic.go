package library

import (
	"fmt"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

// HelpTopic is what a member wants help with: a command, one of its subs, or a
// word that some questions are about.
type HelpTopic struct {
	Command *chat.Command // nil for a word
	Sub     *chat.Sub     // nil for a whole command or a word
	Word    string
	Asks    []chat.Ask // that belong to it
}

// Help is its one line.
func (t HelpTopic) Help() string {
	if t.Sub != nil && t.Sub.Help != "" {
		return t.Sub.Help
	}
	return t.Command.Help
}

// Topics lists the commands and subs that can be named.
func Topics(all []chat.Command) []string {
	var out []string
	for i := range all {
		c := &all[i]
		out = append(out, c.Name)
		for j := range c.Subs {
			if c.Subs[j].Name != "" {
				out = append(out, c.Path(&c.Subs[j]))
			}
		}
	}
	return out
}

// Topic finds what the option names: a command or sub, with or without the
// slash; a sub's name alone where one command has it; a word in questions and
// help; and last a near command, taken and said. Errors: not_found.
func Topic(c *chat.Call, option string, all []chat.Command) (HelpTopic, error) {
	typed := chat.Fold(strings.TrimPrefix(strings.TrimSpace(c.Text(option)), "/"))
	if t, ok := namedTopic(typed, all); ok {
		return t, nil
	}
	if asks := asksAbout(typed, all); len(asks) > 0 {
		return HelpTopic{Word: typed, Asks: asks}, nil
	}
	near := chat.Nearest(typed, append(Topics(all), askWords(all)...))
	if len(near) == 0 {
		if asks := asksNearest(typed, all); len(asks) > 0 {
			return HelpTopic{Word: typed, Asks: asks}, nil
		}
		return HelpTopic{}, fault.New(fault.NotFound, "nothing here is about %q", fault.Echo(typed)).In(option).
			Hint("/help alone shows what can be asked; %s:batch or %s:mold narrows it; /trouble finds out why a cast went wrong", option, option)
	}
	c.Note(fmt.Sprintf("%q was read as %q.", fault.Echo(typed), near[0]))
	if t, ok := namedTopic(near[0], all); ok {
		return t, nil
	}
	return HelpTopic{Word: near[0], Asks: asksAbout(near[0], all)}, nil
}

// namedTopic finds a command, "volume", a path, "volume mesh", or the name of
// a sub that no other command has.
func namedTopic(typed string, all []chat.Command) (HelpTopic, bool) {
	var alone []HelpTopic
	for i := range all {
		c := &all[i]
		if c.Name == typed {
			return HelpTopic{Command: c, Asks: c.Asks}, true
		}
		for j := range c.Subs {
			s := &c.Subs[j]
			t := HelpTopic{Command: c, Sub: s, Asks: asksOf(c, s)}
			if s.Name != "" && c.Path(s) == typed {
				return t, true
			}
			if s.Name != "" && s.Name == typed {
				alone = append(alone, t)
			}
		}
	}
	if len(alone) == 1 {
		return alone[0], true
	}
	return HelpTopic{}, false
}

// asksOf are the examples whose line calls that sub.
func asksOf(c *chat.Command, s *chat.Sub) []chat.Ask {
	var out []chat.Ask
	for _, a := range c.Asks {
		if strings.HasPrefix(a.Line+" ", "/"+c.Path(s)+" ") {
			out = append(out, a)
		}
	}
	return out
}

// asksAbout are the examples of commands that have a word beginning with the
// typed one in their questions or help: a question's own word goes first.
func asksAbout(typed string, all []chat.Command) []chat.Ask {
	var first, then []chat.Ask
	for _, c := range all {
		inHelp := hasWord(c.Help+" "+c.About, typed)
		for _, s := range c.Subs {
			inHelp = inHelp || hasWord(s.Help, typed)
		}
		for _, a := range c.Asks {
			switch {
			case hasWord(a.Question, typed):
				first = append(first, a)
			case inHelp:
				then = append(then, a)
			}
		}
	}
	return append(first, then...)
}

// asksNearest are the examples whose questions have most of the longer words of
// a whole sentence, where no question has them all.
func asksNearest(typed string, all []chat.Command) (best []chat.Ask) {
	most := 0
	for _, c := range all {
		for _, a := range c.Asks {
			n := 0
			for _, w := range wordsOf(typed) {
				if len(w) > 3 && hasWord(a.Question, w) {
					n++
				}
			}
			if n > most {
				most, best = n, nil
			}
			if n == most && n > 0 {
				best = append(best, a)
			}
		}
	}
	return best
}

// hasWord reports whether each word typed begins one of the text's.
func hasWord(text, typed string) bool {
	words := wordsOf(text)
	asked := wordsOf(typed)
	for _, t := range asked {
		if !slices.ContainsFunc(words, func(w string) bool { return len(t) > 1 && strings.HasPrefix(w, t) }) {
			return false
		}
	}
	return len(asked) > 0
}

func wordsOf(text string) []string {
	return strings.FieldsFunc(chat.Fold(text), func(r rune) bool { return strings.ContainsRune(" ,.;:?!'\"/()", r) })
}

// askWords are the longer words of the questions, for near names.
func askWords(all []chat.Command) []string {
	var out []string
	for _, c := range all {
		for _, a := range c.Asks {
			for _, w := range wordsOf(a.Question) {
				if len(w) > 3 && !slices.Contains(out, w) {
					out = append(out, w)
				}
			}
		}
	}
	return out
}

// OptionHelp is one option's line on a help page.
func OptionHelp(s *chat.Sub, o chat.Option) string {
	text := o.Name + ": " + o.Help
	switch {
	case o.Required:
		text += " (needed)"
	case slices.ContainsFunc(s.OneOf, func(g []string) bool { return slices.Contains(g, o.Name) }):
		text += " (one of these is needed)"
	}
	if o.Kind == chat.OneWord {
		words := make([]string, len(o.Choices))
		for i, ch := range o.Choices {
			words[i] = ch.Value
		}
		return text + "; one of " + strings.Join(words, ", ")
	}
	if o.Kind == chat.YesNo {
		return text + "; yes or no"
	}
	if o.Like != "" {
		text += "; such as " + o.Like
	}
	return text
}
