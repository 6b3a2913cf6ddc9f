package store

import (
	"context"
	"errors"
	"fmt"

	"github.com/pourwright/pourwright/internal/shop"
)

// Measure gives what was measured in a file in the viewer's shop.
func (s *Store) Measure(ctx context.Context, v shop.Viewer, hash string) (json []byte, ok bool, err error) {
	ok, err = s.reading().one(ctx, plain("SELECT result FROM measure WHERE shop = ? AND hash = ?", int64(v.Shop.ID), hash), &json)
	if err != nil {
		return nil, false, fmt.Errorf("find measure: %w", err)
	}
	return json, ok, nil
}

// SaveMeasure keeps what was measured; the oldest give way.
func (s *Store) SaveMeasure(ctx context.Context, st shop.Stamp, hash string, json []byte) error {
	if hash == "" || len(hash) > maxKey || keepable("", "hash", hash) != nil {
		return fmt.Errorf("hash %.120q is not 1 to %d bytes of text", hash, maxKey)
	}
	if len(json) > maxMeasure || keepable("", "measure", string(json)) != nil {
		return fmt.Errorf("a measure of %d bytes is not text of at most %d", len(json), maxMeasure)
	}
	if st.At.IsZero() {
		return errors.New("a measure without its time")
	}
	in, by := int64(st.By.Shop.ID), int64(st.By.Member.ID)
	return s.within(ctx, func(t *txn) error {
		_, err := t.exec(ctx, plain(`INSERT INTO measure (shop, hash, owner, result, saved_at) VALUES (?, ?, ?, ?, ?)
			ON CONFLICT (shop, hash) DO UPDATE SET owner = excluded.owner, result = excluded.result, saved_at = excluded.saved_at`,
			in, hash, by, string(json), millis(st.At)))
		if err != nil {
			return fmt.Errorf("save measure: %w", err)
		}
		return t.thin(ctx, "measure", "hash", hash, st.By, s.cfg.Limits.Measures, s.cfg.Limits.ShopMeasures)
	})
}

// thin lets the oldest rows of a table go that are past the limit of their
// owner or of the shop. id is the column that, with shop, is the row's key;
// the row just saved, saved, stays even where the clock was set back.
func (t *txn) thin(ctx context.Context, table, id, saved string, v shop.Viewer, perOwner, perShop int) error {
	for _, led := range []struct {
		column string
		value  int64
		most   int
	}{
		{"owner", int64(v.Member.ID), perOwner},
		{"shop", int64(v.Shop.ID), perShop},
	} {
		var n int
		if _, err := t.one(ctx, plain("SELECT count(*) FROM "+table+" WHERE "+led.column+" = ?", led.value), &n); err != nil {
			return fmt.Errorf("count %ss: %w", table, err)
		}
		if n <= led.most {
			continue
		}
		_, err := t.exec(ctx, plain("DELETE FROM "+table+" WHERE (shop, "+id+") IN (SELECT shop, "+id+" FROM "+table+
			" WHERE "+led.column+" = ? AND "+id+" <> ? ORDER BY saved_at, "+id+" LIMIT ?)", led.value, saved, n-led.most))
		if err != nil {
			return fmt.Errorf("thin %ss: %w", table, err)
		}
	}
	return nil
}
