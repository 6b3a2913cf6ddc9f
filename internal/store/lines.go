package store

import (
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// Line gives a line kept in the viewer's shop.
func (s *Store) Line(ctx context.Context, v shop.Viewer, id string) (line string, ok bool, err error) {
	ok, err = s.reading().one(ctx, plain("SELECT line FROM line WHERE shop = ? AND id = ?", int64(v.Shop.ID), id), &line)
	if err != nil {
		return "", false, fmt.Errorf("find line: %w", err)
	}
	return line, ok, nil
}

// freshLine is how long a line counts as new. Within it the same line is found
// again by a read alone, so that a member who tries amounts one after another
// does not wait for the disk each time.
const freshLine = 24 * time.Hour

// SaveLine keeps a line. The member's same line keeps its id, and counts as new
// again once a day has passed.
func (s *Store) SaveLine(ctx context.Context, st shop.Stamp, line string) (id string, err error) {
	if len(line) > maxLine {
		return "", fault.New(fault.OutOfRange, "the command is %d bytes long and the most is %d", len(line), maxLine).
			Hint("shorten its longest text")
	}
	if err := keepable("", "command", line); err != nil {
		return "", err
	}
	if st.At.IsZero() {
		return "", errors.New("a line without its time")
	}
	id, saved, err := s.reading().findLine(ctx, st.By, line)
	if err != nil || id != "" && st.At.Sub(saved).Abs() < freshLine {
		return id, err
	}
	err = s.within(ctx, func(t *txn) error {
		id, err = t.putLine(ctx, st, s.cfg.Rand, line)
		if err != nil {
			return err
		}
		return t.thin(ctx, "line", "id", id, st.By, s.cfg.Limits.Lines, s.cfg.Limits.ShopLines)
	})
	return kept(id, err)
}

// findLine gives the id of a line that the member has in the shop, or "".
func (q *session) findLine(ctx context.Context, v shop.Viewer, line string) (id string, saved time.Time, err error) {
	var at int64
	_, err = q.one(ctx, plain("SELECT id, saved_at FROM line WHERE owner = ? AND shop = ? AND line = ?",
		int64(v.Member.ID), int64(v.Shop.ID), line), &id, &at)
	if err != nil {
		return "", time.Time{}, fmt.Errorf("look for line: %w", err)
	}
	return id, instant(at), nil
}

// putLine renews the line or keeps it under a new id.
func (t *txn) putLine(ctx context.Context, st shop.Stamp, random io.Reader, line string) (string, error) {
	in, by, at := int64(st.By.Shop.ID), int64(st.By.Member.ID), millis(st.At)
	id, _, err := t.findLine(ctx, st.By, line)
	if err != nil {
		return "", err
	}
	if id != "" {
		if _, err := t.exec(ctx, plain("UPDATE line SET saved_at = ? WHERE shop = ? AND id = ?", at, in, id)); err != nil {
			return "", fmt.Errorf("renew line: %w", err)
		}
		return id, nil
	}
	if id, err = shortID(random); err != nil {
		return "", err
	}
	_, err = t.exec(ctx, plain("INSERT INTO line (shop, id, owner, line, saved_at) VALUES (?, ?, ?, ?, ?)", in, id, by, line, at))
	if err != nil {
		return "", fmt.Errorf("save line: %w", err)
	}
	return id, nil
}

// shortID is 72 random bits in 12 characters that a button's id may hold: with
// 5000 lines in a shop one guess in 10^18 hits.
func shortID(random io.Reader) (string, error) {
	var b [9]byte
	if _, err := io.ReadFull(random, b[:]); err != nil {
		return "", fmt.Errorf("draw an id: %w", err)
	}
	return base64.RawURLEncoding.EncodeToString(b[:]), nil
}
