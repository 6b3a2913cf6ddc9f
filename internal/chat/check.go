package chat

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"unicode/utf8"
)

// nameShape is what every transport takes as a name; the chat service allows
// more, we use less.
var nameShape = regexp.MustCompile(`^[a-z][a-z0-9_-]{0,31}$`)

const (
	helpMost    = 100
	optionsMost = 25
	choicesMost = 25
	fieldsMost  = 5
)

// check finds what is wrong in a declaration.
func check(c *Command) error {
	var errs []error
	bad := func(format string, args ...any) { errs = append(errs, fmt.Errorf(format, args...)) }
	if !nameShape.MatchString(c.Name) {
		bad("name %q is not lower case letters", c.Name)
	}
	checkHelp(bad, "the command", c.Help)
	if len(c.Subs) == 0 || len(c.Subs) > optionsMost {
		bad("%d subcommands, want 1 to %d", len(c.Subs), optionsMost)
	}
	seen := map[string]bool{}
	for i := range c.Subs {
		s := &c.Subs[i]
		if seen[s.Name] {
			bad("sub %q is declared twice", s.Name)
		}
		seen[s.Name] = true
		if s.Name == "" && len(c.Subs) > 1 {
			bad("a bare command has no other subs")
		}
		if s.Name != "" && !nameShape.MatchString(s.Name) {
			bad("sub name %q is not lower case letters", s.Name)
		}
		if s.Name != "" {
			checkHelp(bad, "sub "+s.Name, s.Help)
		}
		if s.Run == nil {
			bad("sub %q runs nothing", s.Name)
		}
		checkOptions(bad, s)
	}
	return errors.Join(errs...)
}

func checkHelp(bad func(string, ...any), what, help string) {
	if n := utf8.RuneCountInString(help); n == 0 || n > helpMost {
		bad("%s: help of %d characters, want 1 to %d", what, n, helpMost)
	}
}

func checkOptions(bad func(string, ...any), s *Sub) {
	names := map[string]bool{}
	registered := 0
	optional := false
	for _, o := range s.Options {
		if names[o.Name] {
			bad("option %s is declared twice", o.Name)
		}
		names[o.Name] = true
		if !o.Folded {
			registered++
		}
		if !nameShape.MatchString(o.Name) {
			bad("option name %q is not lower case letters", o.Name)
		}
		checkHelp(bad, "option "+o.Name, o.Help)
		if o.Required && optional {
			bad("option %s is required but comes after one that is not", o.Name)
		}
		optional = optional || !o.Required
		if o.Kind == Measure && len(o.Dims) == 0 {
			bad("option %s measures nothing", o.Name)
		}
		if (o.Kind == OneWord) != (len(o.Choices) > 0) || len(o.Choices) > choicesMost {
			bad("option %s has %d choices, want 1 to %d for one word and none else", o.Name, len(o.Choices), choicesMost)
		}
		if o.Min > o.Max {
			bad("option %s has its least above its most", o.Name)
		}
	}
	if registered > optionsMost {
		bad("sub %q registers %d options, at most %d", s.Name, registered, optionsMost)
	}
	checkReferences(bad, s, names)
}

// checkReferences wants every option that a group, a form or a list names to
// be there.
func checkReferences(bad func(string, ...any), s *Sub, names map[string]bool) {
	refs := map[string][]string{}
	for _, g := range s.OneOf {
		refs["a group"] = append(refs["a group"], g...)
	}
	forms := map[string]bool{}
	for _, f := range s.Forms {
		if forms[f.Name] {
			bad("form %q is declared twice", f.Name)
		}
		forms[f.Name] = true
		if f.Name != "" && !nameShape.MatchString(f.Name) {
			bad("form name %q is not lower case letters", f.Name)
		}
		refs["form "+f.Name] = f.Options
		if len(f.Options) == 0 || len(f.Options) > fieldsMost {
			bad("form %q has %d fields, want 1 to %d", f.Name, len(f.Options), fieldsMost)
		}
		if utf8.RuneCountInString(f.Title) > 45 || f.Title == "" {
			bad("form %q needs a title of at most 45 characters", f.Name)
		}
	}
	for _, o := range s.Options {
		refs["the list of "+o.Name] = o.Spread
	}
	for where, list := range refs {
		for _, n := range list {
			if !names[n] {
				bad("sub %q: %s names option %q, which is not declared", s.Name, where, n)
			}
		}
		sorted := slices.Clone(list)
		slices.Sort(sorted)
		if len(slices.Compact(sorted)) != len(list) {
			bad("sub %q: %s names an option twice", s.Name, where)
		}
	}
}
