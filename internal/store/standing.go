package store

import (
	"context"
	"fmt"
	"time"
)

// Standing asks the database for a row and says what is wrong if there is no
// answer. Whether it can be written shows in the loop that calls members back,
// which writes every few seconds.
func (s *Store) Standing(ctx context.Context) error {
	if _, err := s.reading().one(ctx, plain("SELECT id FROM shop LIMIT 1"), new(int64)); err != nil {
		return fmt.Errorf("ask the database: %w", err)
	}
	return nil
}

// DueBacklog tells how many calls of members of that name space are to come or
// on their way, and when the first of them is to be looked at.
func (s *Store) DueBacklog(ctx context.Context, space string) (pending int, first time.Time, err error) {
	var at int64
	_, err = s.reading().one(ctx, clockwork("SELECT count(*), coalesce(min(next_at), 0) FROM due WHERE space = ? AND next_at IS NOT NULL", space), &pending, &at)
	if err != nil {
		return 0, time.Time{}, fmt.Errorf("count what is due: %w", err)
	}
	return pending, sometime(at), nil
}
