// Package commands holds one file per slash command: what it declares and what
// it runs. A command is added by adding its file; registration with the chat
// service, autocomplete, the console's help, the web form and the README's
// table all follow from the declaration.
//
// Helpers, SQL and wording of transports live elsewhere. The smallest file to
// copy is term.go.
package commands

import (
	"fmt"
	"slices"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/forecast"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/part"
	"github.com/pourwright/pourwright/internal/shop"
)

// deps is what a command's constructor is given.
type deps struct {
	shop.Books
	library *library.Library
	parts   *part.Desk
	cures   *forecast.Desk
	place   Place
	// reading lets few files of data be read at once, by whichever command: one
	// can take a hundred megabytes of memory on its way.
	reading chan struct{}
	// all lists every command; it may be called from a handler, not from a
	// constructor.
	all func() []chat.Command
}

// Place is what answers tell of where the program runs.
type Place struct {
	Board     bool   // boards are served
	BoardAt   string // how their addresses begin, "" where that is not known
	BoardPath func(token string) string
}

// readersMost is how many files of data are read at once.
const readersMost = 2

type constructor func(deps) chat.Command

var constructors = map[string]constructor{}

// register is called by each file's init, the only kind of init there is.
func register(name string, c constructor) {
	if constructors[name] != nil {
		panic(fmt.Sprintf("command %q is registered twice", name))
	}
	constructors[name] = c
}

// All makes every command over the books, sorted by name; limits bound the
// files that strangers attach.
func All(books shop.Books, limits part.Limits, place Place) []chat.Command {
	names := make([]string, 0, len(constructors))
	for n := range constructors {
		names = append(names, n)
	}
	slices.Sort(names)
	all := make([]chat.Command, 0, len(names))
	d := deps{
		Books:   books,
		library: library.New(books.Materials, books.Molds, books.Tints, books.Formulas),
		parts:   part.New(books.Measures, limits),
		place:   place,
		reading: make(chan struct{}, readersMost),
		all:     func() []chat.Command { return all },
	}
	d.cures = forecast.New(d.library, d.parts, books.Materials, books.Pours, books.Computed)
	for _, n := range names {
		c := constructors[n](d)
		if c.Name != n {
			panic(fmt.Sprintf("command %q is registered as %q", c.Name, n))
		}
		all = append(all, c)
	}
	return all
}
