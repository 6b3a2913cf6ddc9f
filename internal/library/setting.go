package library

import (
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Setting ties one option to one line of T, a shop's settings or a member's
// wishes: how it is asked for, stored and shown.
type Setting[T any] struct {
	chat.Option
	Set  func(c *chat.Call, t *T) error
	Show func(t T, s quantity.System) chat.Fact
	// Empty reports that there is no value that could be typed; nil is never.
	Empty func(t T) bool
}

// Options lists what the settings are asked by.
func Options[T any](settings []Setting[T]) []chat.Option {
	options := make([]chat.Option, len(settings))
	for i, s := range settings {
		options[i] = s.Option
	}
	return options
}

// Change reads the options that a call gives over the present values. changed
// are the settings given. One typed as it is shown stays exactly as it is: a
// form that is sent back must not round what nobody touched. Errors: those of
// reading, each in its option.
func Change[T any](c *chat.Call, settings []Setting[T], now T) (then T, changed []Setting[T], err error) {
	then = now
	for _, s := range settings {
		if !c.Has(s.Name) {
			continue
		}
		changed = append(changed, s)
		if c.Text(s.Name) == s.Show(now, c.By.System()).Text {
			continue
		}
		if err := s.Set(c, &then); err != nil {
			if f := fault.As(err); f != nil {
				return now, nil, f.In(s.Name)
			}
			return now, nil, err
		}
	}
	return then, changed, nil
}

// BeforeAfter is a fact for each change whose text shows what it was.
func BeforeAfter[T any](changed []Setting[T], before, after T, s quantity.System) []chat.Fact {
	facts := make([]chat.Fact, len(changed))
	for i, one := range changed {
		facts[i] = one.Show(after, s)
		if was := one.Show(before, s).Text; was == facts[i].Text {
			facts[i].Text += ", as before"
		} else {
			facts[i].Text = was + " → " + facts[i].Text
		}
	}
	return facts
}

// Shown is what each setting is now, as it would be typed, to fill a form; one
// that has no value is left empty there.
func Shown[T any](settings []Setting[T], now T, s quantity.System) map[string]string {
	texts := make(map[string]string, len(settings))
	for _, one := range settings {
		if one.Empty == nil || !one.Empty(now) {
			texts[one.Name] = one.Show(now, s).Text
		}
	}
	return texts
}

// measured is a quantity kept in a unit of base base units.
func measured[T any](o chat.Option, label string, base float64, at func(*T) *float64) Setting[T] {
	o.Kind = chat.Measure
	return Setting[T]{Option: o,
		Set: func(c *chat.Call, t *T) error { *at(t) = c.Value(o.Name, 0) / base; return nil },
		Show: func(t T, s quantity.System) chat.Fact {
			if o.Percent {
				return chat.Share(o.Name, label, *at(&t))
			}
			return chat.Num(o.Name, label, *at(&t)*base, o.Dims[0], s)
		}}
}

// worded is a word that read checks and writes in its one form; nothing is
// what is shown, and may be typed, where no word is kept.
func worded[T any](o chat.Option, label, nothing string, read func(string) (string, error), at func(*T) *string) Setting[T] {
	return Setting[T]{Option: o,
		Set: func(c *chat.Call, t *T) error {
			typed := c.Text(o.Name)
			if nothing != "" && chat.Fold(typed) == chat.Fold(nothing) {
				*at(t) = ""
				return nil
			}
			word, err := read(typed)
			if err == nil {
				*at(t) = word
			}
			return err
		},
		Show: func(t T, _ quantity.System) chat.Fact {
			text := *at(&t)
			if text == "" {
				text = nothing
			}
			return chat.Fact{Key: o.Name, Label: label, Value: text, Text: text}
		}}
}

func asTyped(typed string) (string, error) { return typed, nil }

// systems are the unit systems that can be chosen.
var systems = []chat.Choice{{Value: "metric"}, {Value: "us"}, {Value: "imperial"}}
