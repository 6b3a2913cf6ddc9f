// Package store keeps members, shops and their records in a database behind
// the interfaces of package shop. It holds one SQL text for every database,
// the rule of who may see a row (sight.go), transactions, and limits.
//
// It leaves out which database that is: an opener such as store/sqlite hands
// over an Engine.
//
//	db, err := sqlite.Open(ctx, sqlite.Config{Path: "pourwright.db", Rand: rand.Reader})
//	ada, err := db.Member(ctx, "local:ada", "ada", at)
package store

import (
	"context"
	"database/sql"
	"errors"
	"io"
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

// Engine is an opened database, as its opener hands it over.
type Engine struct {
	// Writer begins transactions that can write from their first statement
	// on, so that what they read does not change under them.
	Writer *sql.DB
	// Reader reads committed rows. It is Writer itself where the database has
	// but one connection; nothing here holds one while asking for the other.
	Reader *sql.DB
	// Mark appends the n-th placeholder of a statement, from 1, as this
	// database takes it; nil leaves each the ? it is.
	Mark func(to []byte, n int) []byte
	// Enter is carried out first in each write transaction, where beginning one
	// does not make it wait for those before it. It gives how to learn later
	// whether the transaction was committed. nil where there is no need.
	Enter func(ctx context.Context, tx *sql.Tx) (Outcome, error)
	// Longest is how long a transaction may take, waiting for an answer to its
	// commit included; 0 is without end.
	Longest time.Duration
	// Translate turns an error of the driver into a fault, ErrUnique or
	// ErrForeign, keeping it as the cause; any other error it gives back. A
	// fault whose cause is ErrLost is one of a connection that broke.
	Translate func(error) error
	// Kind names an error of the driver for whoever counts them: "busy",
	// "full" and the like, from a short list; nil names none.
	Kind func(error) string
	// Scrub takes what was deleted out of the files too, such as a log that
	// still has pages as they were. nil where nothing is left behind.
	Scrub func(ctx context.Context) error

	watch Observer
}

// Observer is told how the database does. It must not block.
type Observer interface {
	// StoreFailed is a statement that the database refused, by its kind.
	StoreFailed(kind string)
	// StoreWaited is how long a write waited for its turn.
	StoreWaited(took time.Duration)
}

type nobodyWatches struct{}

func (nobodyWatches) StoreFailed(string)        {}
func (nobodyWatches) StoreWaited(time.Duration) {}

// Outcome tells whether a transaction was committed whose connection broke
// before the answer came.
type Outcome func(ctx context.Context) (committed bool, err error)

// What an opener's Translate makes of a broken constraint, and of a broken
// connection.
var (
	ErrUnique  = errors.New("the row exists already")
	ErrForeign = errors.New("the row refers to one that is gone")
	ErrLost    = errors.New("the connection to the database broke")
)

// Config is what a store is given besides its database.
type Config struct {
	Rand   io.Reader // unguessable bytes for the ids of lines
	Limits Limits    // the zero value means DefaultLimits
	Watch  Observer  // nil if nobody counts
}

// Store fills the interfaces of package shop. It is safe for concurrent use.
type Store struct {
	eng   Engine
	cfg   Config
	batch *txn // not nil inside Together: every method then uses it
	bell  chan struct{}
	cards chan struct{} // the bell of those that follow pours
	// commits wakes who shows what is kept.
	commits pulse
}

// Store fills all of the books.
var _ interface {
	shop.Materials
	shop.MaterialSearch
	shop.Molds
	shop.Pulls
	shop.Tints
	shop.Formulas
	shop.Sharing
	shop.Adopting
	shop.People
	shop.FAQs
	shop.Pours
	shop.PourLog
	shop.Dues
	shop.Stock
	shop.Calls
	shop.Cards
	shop.Measures
	shop.Lines
	shop.Computed
	shop.Boards
	shop.Own
	shop.Tidying
	shop.Bulk
	shop.Together
} = (*Store)(nil)

// New makes a store of an opened database whose schema is up to date.
func New(eng Engine, cfg Config) *Store {
	if cfg.Limits == (Limits{}) {
		cfg.Limits = DefaultLimits()
	}
	eng.watch = cfg.Watch
	if eng.watch == nil {
		eng.watch = nobodyWatches{}
	}
	return &Store{eng: eng, cfg: cfg, bell: make(chan struct{}, 1), cards: make(chan struct{}, 1)}
}

// Books gives the store as a command takes it.
func (s *Store) Books() shop.Books {
	return shop.Books{Materials: s, Search: s, Molds: s, Pulls: s, Tints: s, Formulas: s, Sharing: s, Adopting: s, People: s, FAQs: s, Pours: s, PourLog: s, Dues: s, Stock: s, Measures: s, Lines: s, Computed: s, Boards: s, Own: s, Bulk: s, Together: s}
}

// Together carries out the writes of do in one transaction.
func (s *Store) Together(ctx context.Context, do func(shop.Books) error) error {
	return s.within(ctx, func(t *txn) error {
		inner := &Store{eng: s.eng, cfg: s.cfg, batch: t}
		return do(inner.Books())
	})
}

// Bell gets a value after a commit that changed what is due, so that whoever
// waits for the nearest looks again. Other processes' changes do not ring it.
func (s *Store) Bell() <-chan struct{} { return s.bell }

// CardBell is Bell for who keeps cards up to date.
func (s *Store) CardBell() <-chan struct{} { return s.cards }

func (s *Store) ring() {
	for _, bell := range []chan struct{}{s.bell, s.cards} {
		select {
		case bell <- struct{}{}:
		default: // it rings already
		}
	}
}

// Close ends the connections; a write under way is finished or undone.
func (s *Store) Close() error {
	if s.eng.Reader == s.eng.Writer {
		return s.eng.Writer.Close()
	}
	return errors.Join(s.eng.Reader.Close(), s.eng.Writer.Close())
}
