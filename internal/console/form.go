package console

import (
	"context"
	"errors"
	"maps"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

// fill asks for a form's fields one by one and sends them in. A person who
// made a slip is asked again with what was typed in place.
func (p *Prompt) fill(ctx context.Context, form *chat.OpenForm) error {
	if err := p.say(p.Screen.paint(bold, oneLine(form.Title)) + " (Ctrl-C leaves it)"); err != nil {
		return err
	}
	filled := map[string]string{}
	for _, f := range form.Fields {
		filled[f.Name] = f.Value
	}
	for ctx.Err() == nil {
		files, err := p.fields(ctx, form, filled)
		if errors.Is(err, ErrLeft) {
			return p.say("Left; nothing was sent.")
		}
		if f := fault.As(err); f != nil {
			if err := p.show(ctx, chat.Answer{Fault: f, Private: true}, form.Title); err != nil || !p.Editor.Live() {
				return err
			}
			continue
		}
		if err != nil {
			return err
		}
		inv := p.Who.Invocation(p.Now())
		inv.Press, inv.Filled, inv.Files = form.ID, maps.Clone(filled), files
		ans := p.Desk.Do(ctx, inv)
		if err := p.show(ctx, ans, form.Title); err != nil {
			return err
		}
		if ans.Fault == nil || !p.Editor.Live() || !asks(form, ans.Fault.Option) {
			return nil
		}
	}
	return nil
}

// asks reports whether the form has a field of that name.
func asks(form *chat.OpenForm, option string) bool {
	return slices.ContainsFunc(form.Fields, func(f chat.Field) bool { return f.Name == option })
}

// fields asks once for each field, keeping what is typed in filled.
func (p *Prompt) fields(ctx context.Context, form *chat.OpenForm, filled map[string]string) (map[string]chat.File, error) {
	files := map[string]chat.File{}
	for _, f := range form.Fields {
		if err := p.explain(f); err != nil {
			return nil, err
		}
		now := oneLine(filled[f.Name])
		text, err := p.Editor.Line(f.Name+": ", now, p.completeField(ctx, form, f, filled))
		if err != nil {
			return nil, err
		}
		// A text of several lines is edited in one; left alone it stays whole.
		if text != now {
			filled[f.Name] = strings.TrimSpace(text)
		}
		if f.Kind != chat.Attachment || filled[f.Name] == "" || strings.HasPrefix(filled[f.Name], "#") {
			continue
		}
		file, err := ReadFile(filled[f.Name], p.FileMost)
		if err != nil {
			return nil, fault.As(err).In(f.Name)
		}
		files[f.Name] = file
	}
	return files, nil
}

// explain says above a field what it wants.
func (p *Prompt) explain(f chat.Field) error {
	text := f.Help
	if f.Like != "" {
		text += ", such as " + f.Like
	}
	if len(f.Choices) > 0 {
		words := make([]string, len(f.Choices))
		for i, c := range f.Choices {
			words[i] = c.Value
		}
		text += ": " + strings.Join(words, ", ")
	}
	if !f.Required {
		text += " (may stay empty)"
	}
	for _, line := range wrap(text, p.Screen.Width-2) {
		if err := p.say("  " + p.Screen.paint(dim, line)); err != nil {
			return err
		}
	}
	return nil
}

func (p *Prompt) completeField(ctx context.Context, form *chat.OpenForm, f chat.Field, filled map[string]string) func(string) []string {
	return func(typed string) []string {
		if f.Kind == chat.Attachment {
			return paths(typed)
		}
		inv := p.Who.Invocation(p.Now())
		inv.Press, inv.Filled = form.ID, maps.Clone(filled)
		inv.Filled[f.Name] = typed
		choices, err := p.Desk.Complete(ctx, inv, f.Name)
		if err != nil {
			return nil
		}
		values := make([]string, len(choices))
		for i, c := range choices {
			values[i] = c.Value
		}
		return typable(values)
	}
}
