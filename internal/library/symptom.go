package library

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/diagnose"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
)

// Symptoms finds what the option's text may mean: one, or several to ask about.
// The name of a group gives all of it. A text of slips is mended, and it is said.
// Errors: missing_option, not_found, each with the groups to choose from.
func Symptoms(c *chat.Call, option string, family material.Family) ([]diagnose.Rule, error) {
	typed := c.Text(option)
	if typed == "" {
		return nil, groupsOf(fault.New(fault.MissingOption, "what went wrong?").In(option).
			Hint(`say it in your own words, such as %s:"still sticky after a day", or name a group: %s`, option, strings.Join(groupNames(), ", ")))
	}
	for _, g := range diagnose.Groups() {
		if chat.Fold(typed) == string(g) {
			return diagnose.InGroup(g), nil
		}
	}
	hits := diagnose.Match(typed, family)
	if mended := mend(typed); mended != "" {
		better := diagnose.Match(mended, family)
		if len(better) > 0 && (len(hits) == 0 || better[0].Score > hits[0].Score) {
			c.Note(fmt.Sprintf("%q was read as %q.", fault.Echo(typed), mended))
			hits = better
		}
	}
	if len(hits) == 0 {
		return nil, noSymptom(option, typed)
	}
	out := make([]diagnose.Rule, len(hits))
	for i, h := range hits {
		out[i] = h.Rule
	}
	return out, nil
}

func noSymptom(option, typed string) error {
	near := chat.Nearest(typed, diagnose.Names())
	f := fault.New(fault.NotFound, "nothing here is about %q", fault.Echo(typed)).In(option)
	if len(near) > 0 {
		return f.Choose(near...).Hint("did you mean %s? /help topic:trouble tells how to ask", List(near))
	}
	return groupsOf(f.Hint(`say what you see, such as %s:"bubbles on top", or name a group: %s; /help topic:trouble tells more`, option, strings.Join(groupNames(), ", ")))
}

// groupsOf offers every group.
func groupsOf(f *fault.Error) error {
	for _, g := range diagnose.Groups() {
		f.Offer(fault.Choice{Value: string(g), Label: Capital(string(g))})
	}
	return f
}

func groupNames() (names []string) {
	for _, g := range diagnose.Groups() {
		names = append(names, string(g))
	}
	return names
}

// mendLeast is how many letters a word has that is mended: shorter ones are near
// too many.
const mendLeast = 4

// mend writes a text anew with words in place of slips of them, "" where there
// is none. A slip keeps the first letter, and is one letter in short words and
// two in long ones.
func mend(text string) string {
	words, known, changed := diagnose.Split(text), diagnose.Words(), false
	for i, w := range words {
		if len(w) < mendLeast || slices.Contains(known, w) {
			continue
		}
		if near := slipOf(w, known); near != "" {
			words[i], changed = near, true
		}
	}
	if !changed {
		return ""
	}
	return strings.Join(words, " ")
}

func slipOf(word string, known []string) (best string) {
	const exact, oneSlip, twoSlips, long = 10, 11, 12, 6
	least := oneSlip + 1
	if len(word) >= long {
		least = twoSlips + 1
	}
	typed := chat.Near(word)
	for _, k := range known {
		if k[0] != word[0] || len(k) < mendLeast-1 {
			continue
		}
		// Below a slip's cost are beginnings and parts of words, which are words
		// of their own.
		if cost, ok := typed.Cost(chat.Named(k)); ok && cost > exact && cost < least {
			best, least = k, cost
		}
	}
	return best
}

// SuggestSymptom completes a symptom: by its name, then by what is meant.
func SuggestSymptom(_ context.Context, _ *chat.Call, typed string) ([]chat.Choice, error) {
	out := chat.Narrow(typed, diagnose.Names())
	for _, h := range diagnose.Match(typed, "") {
		if !slices.ContainsFunc(out, func(c chat.Choice) bool { return c.Value == h.Rule.Name }) {
			out = append(out, chat.Choice{Value: h.Rule.Name})
		}
	}
	return out, nil
}

// Saw reads a list of signs, "cup soft, old jug". Errors: not_found with the near
// ones, too_many_options where two answer one question.
func Saw(c *chat.Call, option string) ([]diagnose.Found, error) {
	var found []diagnose.Found
	typed := c.Text(option)
	for _, name := range quantity.SplitList(typed) {
		if name == "" {
			continue
		}
		f, ok := diagnose.Saw(diagnose.Sign(chat.Fold(name)))
		if !ok {
			return nil, noSign(option, typed, name)
		}
		if !slices.ContainsFunc(found, func(o diagnose.Found) bool { return o.Sign == f.Sign }) {
			found = append(found, f)
		}
	}
	if a, b, twice := diagnose.Contradicts(found); twice {
		return nil, fault.New(fault.TooManyOptions, "%q and %q can't both be so", string(a), string(b)).In(option).Hint("keep one of them")
	}
	return found, nil
}

func noSign(option, list, name string) error {
	near := chat.Nearest(name, diagnose.SignNames())
	f := fault.New(fault.NotFound, "%q is nothing that tells causes apart", fault.Echo(name)).In(option)
	if len(near) == 0 {
		return f.Hint(`leave %s out: the answer says what to look at, such as %s:"cup soft, old jug"`, option, option)
	}
	for _, n := range near {
		f.Offer(fault.Choice{Value: strings.Replace(list, name, n, 1), Label: n})
	}
	return f.Hint("did you mean %s?", List(near))
}

// SuggestSaw completes the last of a list of signs, those that bear on the
// symptom that was typed where it is one.
func SuggestSaw(_ context.Context, c *chat.Call, typed string) ([]chat.Choice, error) {
	names := diagnose.SignNames()
	if hits := diagnose.Match(c.Text("symptom"), ""); len(hits) == 1 {
		names = hits[0].Rule.Minds()
	}
	before, last := "", typed
	if i := strings.LastIndexByte(typed, ','); i >= 0 {
		before, last = strings.TrimSpace(typed[:i])+", ", strings.TrimSpace(typed[i+1:])
	}
	out := chat.Narrow(last, names)
	for i := range out {
		out[i].Value, out[i].Label = before+out[i].Value, ""
	}
	return out, nil
}
