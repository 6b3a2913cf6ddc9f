package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// session runs statements on a transaction or on the readers.
type session struct {
	eng *Engine
	db  interface {
		QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
		ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error)
	}
	alone bool // each statement is a transaction of its own
}

// txn is a session inside the one write transaction.
type txn struct {
	session
	marked map[mark]bool // interactions that this transaction has stored
	failed error         // the first refused write: nothing may be kept then
	rings  bool          // changes what is due
}

// mark is an interaction that wrote.
type mark struct {
	member shop.MemberID
	id     string
}

// reading is the session for a read: the open transaction if there is one, so
// that it sees its own writes and asks for no second connection.
func (s *Store) reading() *session {
	if s.batch != nil {
		return &s.batch.session
	}
	return &session{eng: &s.eng, db: s.eng.Reader, alone: true}
}

// snapshot runs a read of several statements that must agree.
func (s *Store) snapshot(ctx context.Context, do func(q *session) error) error {
	if s.batch != nil {
		return do(&s.batch.session)
	}
	return s.transact(ctx, s.eng.Reader, nil, func(tx *sql.Tx) error {
		return do(&session{eng: &s.eng, db: tx})
	})
}

// write runs do in a transaction under a stamp. The interaction, if any, is
// stored with what it writes; a second time it is shop.ErrRepeat.
func (s *Store) write(ctx context.Context, st shop.Stamp, do func(t *txn) error) error {
	if st.At.IsZero() {
		return errors.New("a write without its time")
	}
	if len(st.Interaction) > maxInteraction || keepable("", "interaction", st.Interaction) != nil {
		return fmt.Errorf("interaction %.80q is not text of at most %d bytes", st.Interaction, maxInteraction)
	}
	return s.within(ctx, func(t *txn) error {
		if err := t.remember(ctx, st); err != nil {
			return err
		}
		return do(t)
	})
}

// within runs do in a write transaction: the open one, or one of its own.
func (s *Store) within(ctx context.Context, do func(t *txn) error) error {
	if s.batch != nil {
		err := do(s.batch)
		if err != nil && s.batch.failed == nil {
			s.batch.failed = err
		}
		return err
	}
	t := &txn{marked: map[mark]bool{}}
	err := s.transact(ctx, s.eng.Writer, s.eng.Enter, func(tx *sql.Tx) error {
		t.session = session{eng: &s.eng, db: tx}
		if err := do(t); err != nil {
			return err
		}
		return t.failed
	})
	if err != nil {
		return err
	}
	if t.rings {
		s.ring()
	}
	s.commits.beat()
	return nil
}

// keepMarks is how long an interaction is remembered, by our own clock. The
// chat service takes answers for 15 minutes and gives up long before a week.
const keepMarks = 7 * 24 * time.Hour

// remember stores the interaction of a stamp, or reports a repeat. Within one
// transaction the same interaction may write more than once.
func (t *txn) remember(ctx context.Context, st shop.Stamp) error {
	m := mark{st.By.Member.ID, st.Interaction}
	if m.id == "" || t.marked[m] {
		return nil
	}
	n, err := t.exec(ctx, plain("INSERT INTO seen_interaction (member, id, at) VALUES (?, ?, ?) ON CONFLICT DO NOTHING",
		int64(m.member), m.id, millis(st.At)))
	if err != nil {
		return fmt.Errorf("store interaction: %w", err)
	}
	if n == 0 {
		return shop.ErrRepeat
	}
	t.marked[m] = true
	_, err = t.exec(ctx, plain("DELETE FROM seen_interaction WHERE member = ? AND at < ?",
		int64(m.member), millis(st.At.Add(-keepMarks))))
	if err != nil {
		return fmt.Errorf("forget old interactions: %w", err)
	}
	return nil
}

// text is a statement as this database reads it.
func (e *Engine) text(st statement) string {
	if e.Mark == nil {
		return st.text
	}
	return marked(st.text, e.Mark)
}

// explain is the one way for a driver's error out of this package.
func (e *Engine) explain(ctx context.Context, act string, err error) error {
	if ended := ctx.Err(); ended != nil {
		e.watch.StoreFailed("stopped")
		return fmt.Errorf("%s: %w", act, ended)
	}
	if e.Kind != nil {
		e.watch.StoreFailed(e.Kind(err))
	}
	err = e.Translate(err)
	if errors.Is(err, ErrForeign) {
		return fault.New(fault.NotFound, "you, or this shop, are not kept any more").
			Hint("send the command again to begin anew").Because(fmt.Errorf("%s: %w", act, err))
	}
	return fmt.Errorf("%s: %w", act, err)
}

// exec runs a statement and gives the number of rows it touched.
func (q *session) exec(ctx context.Context, st statement) (int64, error) {
	res, err := q.db.ExecContext(ctx, q.eng.text(st), st.args...)
	if err != nil {
		return 0, q.eng.explain(ctx, "execute", err)
	}
	n, err := res.RowsAffected()
	if err != nil {
		return 0, q.eng.explain(ctx, "execute", err)
	}
	return n, nil
}

// each calls row for every row of the result. Where the connection broke before
// the first, and no transaction hangs on it, it asks again.
func (q *session) each(ctx context.Context, st statement, row func(scan func(...any) error) error) error {
	return untilFound(ctx, func() (given bool, err error) {
		given, err = q.ask(ctx, st, row)
		return given || !q.alone, err
	})
}

// ask is each without a second try, and reports whether row was called.
func (q *session) ask(ctx context.Context, st statement, row func(scan func(...any) error) error) (given bool, err error) {
	rows, err := q.db.QueryContext(ctx, q.eng.text(st), st.args...)
	if err != nil {
		return false, q.eng.explain(ctx, "query", err)
	}
	defer rows.Close()
	for rows.Next() {
		given = true
		if err := row(rows.Scan); err != nil {
			return true, err
		}
	}
	if err := rows.Err(); err != nil {
		return given, q.eng.explain(ctx, "read rows", err)
	}
	return given, nil
}

// one reads the first row into dest and reports whether there was one.
func (q *session) one(ctx context.Context, st statement, dest ...any) (found bool, err error) {
	err = q.each(ctx, st, func(scan func(...any) error) error {
		if found {
			return nil
		}
		found = true
		return scan(dest...)
	})
	return found, err
}

// millis and instant are how a time is stored and read back: UTC, to the
// millisecond.
func millis(t time.Time) int64   { return t.UnixMilli() }
func instant(ms int64) time.Time { return time.UnixMilli(ms).UTC() }

// sometime is an instant that may be missing, orNull how it is stored then.
func sometime(ms int64) time.Time {
	if ms == 0 {
		return time.Time{}
	}
	return instant(ms)
}

func orNull(at time.Time) any {
	if at.IsZero() {
		return nil
	}
	return millis(at)
}

// known is how an id, or another number, that may be missing is stored.
func known(n int64) any {
	if n == 0 {
		return nil
	}
	return n
}
