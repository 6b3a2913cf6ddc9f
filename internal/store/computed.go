package store

import (
	"context"
	"fmt"
)

// Computed fills shop.Computed, as does the method below.
func (s *Store) Computed(ctx context.Context, key string) (value []byte, ok bool, err error) {
	ok, err = s.reading().one(ctx, plain("SELECT value FROM computed WHERE key = ?", key), &value)
	if err != nil {
		return nil, false, fmt.Errorf("find a computed answer: %w", err)
	}
	return value, ok, nil
}

// SaveComputed keeps the first answer to a key.
func (s *Store) SaveComputed(ctx context.Context, key string, value []byte) error {
	if key == "" || len(key) > maxKey || keepable("", "key", key) != nil {
		return fmt.Errorf("key %.120q is not 1 to %d bytes of text", key, maxKey)
	}
	if len(value) > maxMeasure || keepable("", "answer", string(value)) != nil {
		return fmt.Errorf("an answer of %d bytes is not text of at most %d", len(value), maxMeasure)
	}
	return s.within(ctx, func(t *txn) error {
		n, err := t.exec(ctx, plain("INSERT INTO computed (key, value) VALUES (?, ?) ON CONFLICT (key) DO NOTHING", key, string(value)))
		if err == nil && n > 0 {
			_, err = t.exec(ctx, plain("DELETE FROM computed WHERE id <= (SELECT max(id) FROM computed) - ?", s.cfg.Limits.Computed))
		}
		if err != nil {
			return fmt.Errorf("save a computed answer: %w", err)
		}
		return nil
	})
}
