package store

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
)

// transact begins, runs do and commits, or rolls back on an error or a panic.
// enter is Engine.Enter where do writes, else nil. A connection that broke
// before do was called is taken anew; do is called once at most, since it may
// have told others what it found.
func (s *Store) transact(ctx context.Context, db *sql.DB, enter func(context.Context, *sql.Tx) (Outcome, error), do func(tx *sql.Tx) error) error {
	return untilFound(ctx, func() (called bool, err error) { return s.attempt(ctx, db, enter, do) })
}

// attempt is transact without a second try, and reports whether do was called.
//
// The transaction itself does not hang on ctx: database/sql would close its
// connection when ctx ends, and with it a database that lives in memory. ctx
// still ends the wait for a connection and each statement of do, and nothing
// is committed once it has ended.
func (s *Store) attempt(ctx context.Context, db *sql.DB, enter func(context.Context, *sql.Tx) (Outcome, error), do func(tx *sql.Tx) error) (called bool, err error) {
	began := time.Now()
	conn, err := db.Conn(ctx)
	if err != nil {
		return false, s.eng.explain(ctx, "connect", err)
	}
	defer conn.Close()
	within, cancel := s.eng.lasting(ctx)
	defer cancel()
	tx, err := conn.BeginTx(within, nil)
	var outcome Outcome
	if err == nil {
		defer tx.Rollback() //nolint:errcheck // after a commit it has nothing to do
		if enter != nil {
			outcome, err = enter(ctx, tx)
		}
	}
	if db == s.eng.Writer {
		s.eng.watch.StoreWaited(time.Since(began))
	}
	if err != nil {
		return false, s.eng.explain(ctx, "begin", err)
	}
	if err := do(tx); err != nil {
		return true, err
	}
	if err := ctx.Err(); err != nil {
		return true, err
	}
	if err := tx.Commit(); err != nil {
		return true, settled(ctx, outcome, s.eng.explain(ctx, "commit", err))
	}
	return true, nil
}

// lasting is what a transaction hangs on: nothing but the time it may take.
func (e *Engine) lasting(ctx context.Context) (context.Context, context.CancelFunc) {
	ctx = context.WithoutCancel(ctx)
	if e.Longest == 0 {
		return ctx, func() {}
	}
	return context.WithTimeout(ctx, e.Longest)
}

// settled is what to say of a commit that failed with err. Where its answer was
// lost it may have been carried out all the same, and is asked about: what is
// told as refused would be sent once more, and be there twice.
func settled(ctx context.Context, outcome Outcome, err error) error {
	if outcome == nil || !errors.Is(err, ErrLost) {
		return err
	}
	committed := false
	asked := untilFound(ctx, func() (answered bool, err error) {
		if committed, err = outcome(ctx); err != nil {
			return false, errors.Join(ErrLost, err)
		}
		return true, nil
	})
	switch {
	case asked == nil && committed:
		return nil
	case asked == nil:
		return err
	}
	return fault.New(fault.Unavailable, "the connection to the records broke while this was written, and nobody knows yet whether it was").
		Hint("look whether it is there before you send it again").Because(errors.Join(err, asked))
}

// tries are the waits between one try and the next after a connection broke: a
// server that is started anew is there again within them.
var tries = []time.Duration{20 * time.Millisecond, 100 * time.Millisecond, 300 * time.Millisecond, 600 * time.Millisecond, time.Second}

// untilFound tries until a connection holds: again after ErrLost, unless try
// has done what must not be done twice.
func untilFound(ctx context.Context, try func() (done bool, err error)) error {
	for _, wait := range tries {
		done, err := try()
		if done || !errors.Is(err, ErrLost) {
			return err
		}
		select {
		case <-ctx.Done():
			return errors.Join(ctx.Err(), err)
		case <-time.After(wait):
		}
	}
	_, err := try()
	return err
}
