package formula

import (
	"maps"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/quantity"
)

// Doc is what a member reads of a function or a constant, made from its
// declaration.
type Doc struct {
	Name, Group, Help string
	Forms             []string // the ways to call it
	Example           string
	Source            string
	Unsure            bool   // it gives a range
	Band              bool   // a range by practice or judgement, not of 10 to 90 %
	Reads             string // the shop's constant that stands in for a last value
	Note              string // what its reader must know, a sentence
	Caution           string // the id of the one that goes with its result
}

// Functions are all functions by group, in the order of the groups.
func Functions() []Doc {
	var all []Doc
	for _, f := range declared() {
		all = append(all, f.doc())
	}
	return all
}

func (f function) doc() Doc {
	d := Doc{Name: f.name, Group: f.group, Help: f.help, Example: f.example, Source: f.source, Unsure: f.unsure, Band: f.band, Reads: f.reads, Note: f.note, Caution: f.caution}
	for _, o := range f.forms {
		d.Forms = append(d.Forms, o.signature(f.name))
	}
	return d
}

// FunctionNamed is the function of that name; like is the closest where there
// is none.
func FunctionNamed(name string) (d Doc, like string, ok bool) {
	if f := functions[name]; f != nil {
		return f.doc(), "", true
	}
	return Doc{}, near(name, FunctionNames()), false
}

// Constants are what every formula knows, by name.
func Constants() []Doc {
	var all []Doc
	for _, name := range slices.Sorted(maps.Keys(constants)) {
		all = append(all, Doc{Name: name, Help: constants[name].help})
	}
	return all
}

// Units are the units of a dimension as they are written, from the reader's own
// table.
func Units(d quantity.Dim) []string {
	var all []string
	for u := quantity.NoUnit + 1; u < 255; u++ {
		if u.Symbol() != "" && u.Dim() == d {
			all = append(all, u.Symbol())
		}
	}
	return all
}

// Completion is a text with its last word completed, and that word as it is
// shown; of a function it shows how it is called.
type Completion struct{ Text, Word string }

// Complete gives ways to go on with a formula being typed: units behind a
// number, else functions, constants and the names that were set.
func Complete(text string) []Completion {
	r := []rune(text)
	from := len(r)
	for from > 0 && (isLetter(r[from-1]) || r[from-1] == '_' || isDigit(r[from-1])) {
		from--
	}
	for from < len(r) && isDigit(r[from]) { // 250m: the digits are no part of the word
		from++
	}
	head, word := string(r[:from]), string(r[from:])
	if word == "" {
		return nil
	}
	var out []Completion
	add := func(names []string, after string) {
		for _, n := range names {
			if !strings.HasPrefix(strings.ToLower(n), strings.ToLower(word)) || n+after == word {
				continue
			}
			c := Completion{Text: head + n + after, Word: n}
			if after != "" {
				c.Word = functions[n].forms[0].signature(n)
			}
			out = append(out, c)
		}
	}
	if before := strings.TrimRight(head, " "); before != "" && isDigit(rune(before[len(before)-1])) {
		for d := quantity.Number; d <= quantity.Drops; d++ {
			add(Units(d), "")
		}
		return out
	}
	add(setIn(text), "")
	add(FunctionNames(), "(")
	add(slices.Sorted(maps.Keys(constants)), "")
	return out
}

// setIn lists the names that a text sets.
func setIn(text string) []string {
	var names []string
	words := strings.FieldsFunc(text, func(r rune) bool { return !isLetter(r) && !isDigit(r) && r != '_' })
	for i := 1; i < len(words); i++ {
		if (words[i-1] == "let" || words[i-1] == "input") && !slices.Contains(names, words[i]) {
			names = append(names, words[i])
		}
	}
	return names
}
