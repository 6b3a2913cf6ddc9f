package store

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// Manages reports whether the member manages the shop by our own list.
func (s *Store) Manages(ctx context.Context, m shop.MemberID, in shop.ID) (bool, error) {
	return s.reading().manages(ctx, m, in)
}

func (q *session) manages(ctx context.Context, m shop.MemberID, in shop.ID) (bool, error) {
	var n int
	found, err := q.one(ctx, plain("SELECT 1 FROM shop_manager WHERE shop = ? AND member = ?", int64(in), int64(m)), &n)
	if err != nil {
		return false, fmt.Errorf("look for manager: %w", err)
	}
	return found, nil
}

// mustManage refuses who may not set the viewer's shop up: neither the chat
// service's own permission nor our list says so.
func (t *txn) mustManage(ctx context.Context, v shop.Viewer) error {
	if v.Manager {
		return nil
	}
	ok, err := t.manages(ctx, v.Member.ID, v.Shop.ID)
	if err != nil || ok {
		return err
	}
	return fault.New(fault.NotAllowed, "only a manager of this shop can do that").
		Hint("see who manages it with /shop show, and ask one of them")
}

// SetShop keeps a shop's settings.
func (s *Store) SetShop(ctx context.Context, st shop.Stamp, set shop.Settings) error {
	if err := set.Check(); err != nil {
		return err
	}
	text, err := json.Marshal(set)
	if err != nil {
		return fmt.Errorf("encode settings: %w", err)
	}
	return s.write(ctx, st, func(t *txn) error {
		if err := t.mustManage(ctx, st.By); err != nil {
			return err
		}
		_, err := t.exec(ctx, plain(`INSERT INTO shop_setting (shop, settings, edited_by, edited_at) VALUES (?, ?, ?, ?)
			ON CONFLICT (shop) DO UPDATE SET settings = excluded.settings, edited_by = excluded.edited_by, edited_at = excluded.edited_at`,
			int64(st.By.Shop.ID), string(text), int64(st.By.Member.ID), millis(st.At)))
		if err != nil {
			return fmt.Errorf("set shop: %w", err)
		}
		return nil
	})
}

// SetManager puts a member on the list of the shop or takes one off it. The
// last one stays: a shop on no chat server would have nobody left to ask.
func (s *Store) SetManager(ctx context.Context, st shop.Stamp, member shop.MemberID, on bool) error {
	return s.write(ctx, st, func(t *txn) error {
		if err := t.mustManage(ctx, st.By); err != nil {
			return err
		}
		listed, err := t.manages(ctx, member, st.By.Shop.ID)
		if err != nil || listed == on {
			return err
		}
		var n int
		if _, err := t.one(ctx, plain("SELECT count(*) FROM shop_manager WHERE shop = ?", int64(st.By.Shop.ID)), &n); err != nil {
			return fmt.Errorf("count managers: %w", err)
		}
		if on && n >= s.cfg.Limits.Managers {
			return fault.New(fault.LimitReached, "this shop has %d managers, which is the most", n).
				In("managers").Hint("take one off the list first")
		}
		if on {
			if err := t.mustKnow(ctx, member); err != nil {
				return err
			}
			return t.addManager(ctx, st.By.Shop.ID, member, st.At)
		}
		if n == 1 {
			return fault.New(fault.NotAllowed, "the last manager can't be taken off the list").
				In("managers").Hint("put another member on it first")
		}
		_, err = t.exec(ctx, plain("DELETE FROM shop_manager WHERE shop = ? AND member = ?", int64(st.By.Shop.ID), int64(member)))
		if err != nil {
			return fmt.Errorf("remove manager: %w", err)
		}
		return nil
	})
}

// mustKnow refuses a member that is not kept.
func (t *txn) mustKnow(ctx context.Context, m shop.MemberID) error {
	var n int
	found, err := t.one(ctx, plain("SELECT 1 FROM member WHERE id = ?", int64(m)), &n)
	switch {
	case err != nil:
		return fmt.Errorf("look for member: %w", err)
	case !found:
		return fault.New(fault.NotFound, "that member is not known here").
			In("managers").Hint("a member is known once they have used any command")
	}
	return nil
}

func (t *txn) addManager(ctx context.Context, in shop.ID, m shop.MemberID, at time.Time) error {
	_, err := t.exec(ctx, plain("INSERT INTO shop_manager (shop, member, since) VALUES (?, ?, ?) ON CONFLICT DO NOTHING",
		int64(in), int64(m), millis(at)))
	if err != nil {
		return fmt.Errorf("add manager: %w", err)
	}
	return nil
}

// Managers lists our own list for the viewer's shop.
func (s *Store) Managers(ctx context.Context, v shop.Viewer) ([]shop.Member, error) {
	var all []shop.Member
	st := plain(`SELECT m.id, m.key, m.name FROM shop_manager g JOIN member m ON m.id = g.member
		WHERE g.shop = ? ORDER BY lower(m.name), m.id`, int64(v.Shop.ID))
	err := s.reading().each(ctx, st, func(scan func(...any) error) error {
		var m shop.Member
		err := scan(&m.ID, &m.Key, &m.Name)
		all = append(all, m)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("list managers: %w", err)
	}
	return all, nil
}
