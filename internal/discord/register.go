package discord

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"unicode/utf8"

	"github.com/pourwright/pourwright/internal/chat"
)

// codeDailyCreates says that a guild's or application's 200 new commands of
// the day are used up.
const codeDailyCreates = 30034

// Register makes the service's list of slash commands that of the
// declarations. It reads the list first and writes only on a difference, as
// new names are limited to 200 a day. The difference goes to out; dryRun writes
// nothing.
func Register(ctx context.Context, cfg Config, commands []*chat.Command, dryRun bool, out io.Writer) error {
	c, err := cfg.settle()
	if err != nil {
		return err
	}
	wanted, err := declare(commands)
	if err != nil {
		return err
	}
	r := newREST(c)
	defer r.close()
	app, err := applicationID(ctx, c, r)
	if err != nil {
		return err
	}
	have, err := r.commands(ctx, app)
	if err != nil {
		return fmt.Errorf("read the registered commands: %w", err)
	}
	changes := compare(have, wanted)
	for _, line := range changes {
		if _, err := fmt.Fprintln(out, line); err != nil {
			return fmt.Errorf("print the difference: %w", err)
		}
	}
	end := "The registered commands are up to date."
	switch {
	case len(changes) > 0 && dryRun:
		end = "Nothing was written (dry run)."
	case len(changes) > 0:
		if err := r.putCommands(ctx, app, wanted); err != nil {
			if hasCode(err, codeDailyCreates) {
				err = errors.Join(errors.New("the service takes 200 new command names a day; try again tomorrow"), err)
			}
			return fmt.Errorf("write the commands: %w", err)
		}
		end = fmt.Sprintf("%d commands are registered.", len(wanted))
	}
	_, err = fmt.Fprintln(out, end)
	return err
}

// applicationID is the configured one, or the service's answer.
func applicationID(ctx context.Context, c settled, r *rest) (string, error) {
	if c.ApplicationID != "" {
		return c.ApplicationID, nil
	}
	a, err := r.application(ctx)
	if err != nil {
		return "", fmt.Errorf("ask for the application's id: %w", err)
	}
	if !isSnowflake(a.ID) {
		return "", errors.New("the service gave no application id")
	}
	return a.ID, nil
}

// declare turns declarations into what is registered, and checks the limits
// that only the service would notice otherwise.
func declare(commands []*chat.Command) ([]command, error) {
	if len(commands) > maxSlashCommands {
		return nil, fmt.Errorf("%d commands are more than the %d that can be registered", len(commands), maxSlashCommands)
	}
	list := make([]command, 0, len(commands))
	for _, c := range commands {
		d := command{
			Type: commandSlash, Name: c.Name, Description: c.Help,
			Contexts:         []int{contextGuild, contextBotDM, contextPrivate},
			IntegrationTypes: []int{installGuild, installUser},
		}
		if bare, ok := c.Sub(""); ok {
			d.Options = declareOptions(bare)
		} else {
			for i := range c.Subs {
				s := &c.Subs[i]
				d.Options = append(d.Options, option{Type: optionSub, Name: s.Name, Description: s.Help, Options: declareOptions(s)})
			}
		}
		if n := commandText(d.Name, d.Description, d.Options); n > maxCommandText {
			return nil, fmt.Errorf("command /%s has %d characters of names and descriptions, at most %d can be registered", c.Name, n, maxCommandText)
		}
		list = append(list, d)
	}
	slices.SortFunc(list, func(a, b command) int { return compareText(a.Name, b.Name) })
	return list, nil
}

func compareText(a, b string) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// commandText counts what the service counts: names, descriptions and choice
// values, in characters.
func commandText(name, description string, options []option) int {
	n := utf8.RuneCountInString(name) + utf8.RuneCountInString(description)
	for _, o := range options {
		n += commandText(o.Name, o.Description, o.Options)
		for _, ch := range o.Choices {
			n += utf8.RuneCountInString(ch.Name) + utf8.RuneCountInString(fmt.Sprint(ch.Value))
		}
	}
	return n
}

// declareOptions keeps the order but for required options, which come first.
// Where a form opens for a bare call, nothing may be required of it.
func declareOptions(s *chat.Sub) []option {
	var required, others []option
	for _, o := range s.Options {
		if o.Folded {
			continue // a list or a form fills it
		}
		d := declareOption(o)
		d.Required = o.Required && len(s.Forms) == 0
		if d.Required {
			required = append(required, d)
		} else {
			others = append(others, d)
		}
	}
	return append(required, others...)
}

func declareOption(o chat.Option) option {
	d := option{Type: optionString, Name: o.Name, Description: o.Help}
	switch o.Kind {
	case chat.Count:
		// The dispatcher's own bounds: the client shows them while typing.
		least, most := o.Bounds()
		low, high := float64(least), float64(most)
		d.Type, d.MinValue, d.MaxValue = optionInteger, &low, &high
	case chat.YesNo:
		d.Type = optionBoolean
	case chat.Attachment:
		d.Type = optionAttachment
	case chat.Person:
		d.Type = optionUser
	case chat.OneWord:
		for _, ch := range o.Choices {
			d.Choices = append(d.Choices, choice{Name: cutUnits(orElse(ch.Label, ch.Value), 100), Value: ch.Value})
		}
	default:
		d.Autocomplete = o.Suggest != nil
	}
	return d
}
