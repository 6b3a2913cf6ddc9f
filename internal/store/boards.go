package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// boardBytes are 160 random bits: an address is not guessed.
const boardBytes = 20

// MakeBoard fills shop.Boards, as do the methods below.
func (s *Store) MakeBoard(ctx context.Context, st shop.Stamp) (token string, err error) {
	if token, err = shop.Draw(s.cfg.Rand, boardBytes); err != nil {
		return "", err
	}
	err = s.write(ctx, st, func(t *txn) error {
		if err := t.mustManage(ctx, st.By); err != nil {
			return err
		}
		_, err := t.exec(ctx, plain(`INSERT INTO board (shop, hash, made_by, made_at) VALUES (?, ?, ?, ?)
			ON CONFLICT (shop) DO UPDATE SET hash = excluded.hash, made_by = excluded.made_by, made_at = excluded.made_at`,
			int64(st.By.Shop.ID), hashed(token), int64(st.By.Member.ID), millis(st.At)))
		if err != nil {
			return fmt.Errorf("make board: %w", err)
		}
		return nil
	})
	return kept(token, err)
}

// hashed is what is kept of an address. The address is random through and
// through, so that a plain hash of it can't be searched.
func hashed(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

// RevokeBoard takes an address back.
func (s *Store) RevokeBoard(ctx context.Context, st shop.Stamp) error {
	return s.write(ctx, st, func(t *txn) error {
		if err := t.mustManage(ctx, st.By); err != nil {
			return err
		}
		n, err := t.exec(ctx, plain("DELETE FROM board WHERE shop = ?", int64(st.By.Shop.ID)))
		switch {
		case err != nil:
			return fmt.Errorf("revoke board: %w", err)
		case n == 0:
			return fault.New(fault.NotFound, "this shop has no board to take back").In("do").Hint("/shop board do:make makes one")
		}
		return nil
	})
}

// Board tells about the address of a shop.
func (s *Store) Board(ctx context.Context, v shop.Viewer) (b shop.Board, ok bool, err error) {
	var at int64
	ok, err = s.reading().one(ctx, plain(`SELECT coalesce(m.name, ''), b.made_at FROM board b LEFT JOIN member m ON m.id = b.made_by
		WHERE b.shop = ?`, int64(v.Shop.ID)), &b.By, &at)
	if err != nil || !ok {
		return shop.Board{}, false, wrapped("look for board", err)
	}
	b.Made = instant(at)
	return b, true, nil
}

// BoardShop gives the shop with that address. It is found by the hash, so that
// the time this takes tells nothing of how much of a guess was right.
func (s *Store) BoardShop(ctx context.Context, token string) (sh shop.Shop, ok bool, err error) {
	err = s.snapshot(ctx, func(q *session) error {
		var key string
		ok, err = q.one(ctx, plain("SELECT s.key FROM board b JOIN shop s ON s.id = b.shop WHERE b.hash = ?", hashed(token)), &key)
		if err != nil || !ok {
			return wrapped("look for the shop of a board", err)
		}
		sh, ok, err = q.shop(ctx, key)
		return err
	})
	if err != nil {
		return shop.Shop{}, false, err
	}
	return sh, ok, nil
}

// wrapped is an error with what was done, and no error without one.
func wrapped(act string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s: %w", act, err)
}
