package main

import (
	"context"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
	"github.com/pourwright/pourwright/internal/store/postgres"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// records is an opened database, in a file or on a server, with what the verbs
// ask of it.
type records interface {
	shop.People
	shop.Pours
	shop.Molds
	shop.Dues
	shop.Calls
	shop.Cards
	shop.Lines
	shop.Boards
	shop.Together
	shop.Tidying
	Books() shop.Books
	Bell() <-chan struct{}
	CardBell() <-chan struct{}
	Changes() (n uint64, next <-chan struct{})
	Path() string // without a password
	Check(ctx context.Context) []store.Finding
	Standing(ctx context.Context) error
	DueBacklog(ctx context.Context, space string) (pending int, first time.Time, err error)
	Close() error
}

// openDB opens the database that the setting db names: a server's, or a file.
// It gives nil, and no pointer to nothing, beside an error.
func (p *program) openDB(ctx context.Context, named string, watch store.Observer) (records, error) {
	if postgres.Names(named) {
		db, err := postgres.Open(ctx, postgres.Config{URL: named, Rand: p.Rand, Watch: watch})
		if err != nil {
			return nil, err
		}
		return db, nil
	}
	return opened(sqlite.Open(ctx, sqlite.Config{Path: named, Rand: p.Rand, Watch: watch}))
}

func opened(db *sqlite.DB, err error) (records, error) {
	if err != nil {
		return nil, err
	}
	return db, nil
}

// onServer refuses a verb that copies files where the database is none.
func onServer(verb, instead string) error {
	return fault.New(fault.NotAllowed, "%s copies a database file, and db names a Postgres server", verb).
		Hint("use the server's own tools: %s", instead)
}
