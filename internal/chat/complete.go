package chat

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
)

// suggestMost is how many suggestions the chat service shows.
const suggestMost = 25

// Complete suggests values for the option being typed, best first, at most 25.
// The other options may be missing or half typed. An unknown option gives
// none, and so does a member who asks for them without end: completion never
// refuses.
func (d *Dispatcher) Complete(ctx context.Context, inv Invocation, option string) ([]Choice, error) {
	a, err := d.aim(ctx, inv)
	if err != nil && fault.As(err) != nil {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	o, ok := a.sub.Option(option)
	if !ok {
		return nil, nil
	}
	typed := a.raw[option]
	switch o.Kind {
	case OneWord:
		return narrow(typed, o.Choices), nil
	case YesNo:
		return narrow(typed, []Choice{{Value: "yes"}, {Value: "no"}}), nil
	}
	if o.Suggest == nil {
		return nil, nil
	}
	inv.Raw = a.raw
	by, err := d.identify(ctx, inv)
	if err != nil {
		return nil, err
	}
	if !d.limits.typing.take(by.Member.ID, inv.At) {
		return nil, nil
	}
	c := &Call{Invocation: inv, By: by, Done: ctx.Done(), sub: a.sub, args: map[string]arg{}, pins: map[string]string{}}
	c.Command, c.Sub = a.cmd.Name, a.sub.Name
	c.lenient()
	found, err := o.Suggest(ctx, c, typed)
	if err != nil {
		return nil, fmt.Errorf("suggest %s: %w", option, err)
	}
	return found[:min(len(found), suggestMost)], nil
}

// Narrow keeps the choices that typed may mean, best first; all of them for
// an empty text.
func Narrow(typed string, names []string) []Choice {
	all := make([]Choice, len(names))
	for i, n := range names {
		all[i] = Choice{Value: n}
	}
	return narrow(typed, all)
}

func narrow(typed string, all []Choice) []Choice {
	if strings.TrimSpace(typed) == "" {
		return all[:min(len(all), suggestMost)]
	}
	values := make([]string, len(all))
	for i, c := range all {
		values[i] = c.Value
	}
	var out []Choice
	for _, v := range Nearest(typed, values) {
		out = append(out, all[slices.Index(values, v)])
	}
	return out
}

// CompleteLine suggests ways to go on with a line being typed: the last word
// completed, each as the whole line.
func (d *Dispatcher) CompleteLine(ctx context.Context, inv Invocation) []string {
	line := inv.Line
	cut := lastBreak(line)
	head, word := line[:cut], line[cut:]
	var out []string
	add := func(tail string) { out = append(out, head+tail) }
	t, err := parseLine(head)
	name, value, isOption := strings.Cut(word, ":")
	switch {
	case strings.TrimSpace(head) == "" && strings.HasPrefix(word, "/"):
		for _, n := range d.names {
			if strings.HasPrefix("/"+n, word) {
				add("/" + n + " ")
			}
		}
	case err == nil && isOption:
		inv.Line = head + name + `:"` + escaper.Replace(strings.Trim(value, `"`)) + `"`
		choices, err := d.Complete(ctx, inv, name)
		if err != nil {
			return nil
		}
		for _, ch := range choices {
			add(name + ":" + quote(ch.Value) + " ")
		}
	case err == nil:
		out = d.completeWord(t, head, word)
	}
	return out
}

// completeWord completes a subcommand or an option's name.
func (d *Dispatcher) completeWord(t typed, head, word string) []string {
	if len(t.words) == 0 {
		return nil
	}
	cmd := d.byName[t.words[0]]
	if cmd == nil {
		return nil
	}
	var out []string
	if _, bare := cmd.Sub(""); !bare && len(t.words) == 1 && len(t.options) == 0 {
		for _, s := range cmd.Subs {
			if strings.HasPrefix(s.Name, word) {
				out = append(out, head+s.Name+" ")
			}
		}
		return out
	}
	a, err := d.find(t.words)
	if err != nil {
		return nil
	}
	for _, o := range a.sub.Options {
		given := slices.ContainsFunc(t.options, func(p pair) bool { return p.name == o.Name })
		if !given && strings.HasPrefix(o.Name, word) {
			out = append(out, head+o.Name+":")
		}
	}
	return out
}

// lastBreak is where the word being typed begins: after the last space that is
// not inside quotes.
func lastBreak(line string) int {
	cut, quoted := 0, false
	for i := 0; i < len(line); i++ {
		switch {
		case line[i] == '\\' && quoted:
			i++
		case line[i] == '"':
			quoted = !quoted
		case line[i] == ' ' && !quoted:
			cut = i + 1
		}
	}
	return cut
}
