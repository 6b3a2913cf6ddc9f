package store

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// This file is what owners and managers do about who sees a record, once for
// every kind; adopting.go is the other side. Nothing here touches a profile.

// kindNamed finds the kind of that word, which is its table's name.
func kindNamed(word shop.Kind) (kind, error) {
	for _, k := range kinds {
		if k.table == string(word) {
			return k, nil
		}
	}
	return kind{}, fmt.Errorf("no kind of record is called %.40q", word)
}

// onOwn runs do on an own record and tells how far it is out after that.
func (s *Store) onOwn(ctx context.Context, st shop.Stamp, word shop.Kind, id int64, do func(t *txn, k kind, before shop.Out) error) (out shop.Out, err error) {
	k, err := kindNamed(word)
	if err != nil {
		return shop.Out{}, err
	}
	err = s.write(ctx, st, func(t *txn) error {
		if _, err := k.mine(ctx, t, st.By, id); err != nil {
			return err
		}
		before, err := k.out(ctx, &t.session, st.By, id)
		if err != nil {
			return err
		}
		if err := do(t, k, before); err != nil {
			return err
		}
		out, err = k.out(ctx, &t.session, st.By, id)
		return err
	})
	return kept(out, err)
}

// Share fills shop.Sharing, as do the methods below.
func (s *Store) Share(ctx context.Context, st shop.Stamp, word shop.Kind, id int64) (shop.Out, error) {
	return s.onOwn(ctx, st, word, id, func(t *txn, k kind, before shop.Out) error {
		switch {
		case before.ShopID == st.By.Shop.ID:
			return nil
		case before.ShopID != 0:
			return fault.New(fault.NotAllowed, "%s is shared with %s, and with one shop at a time", before.Name, before.Shop).
				In(k.noun).Hint("give members here a code with by:link, or take it back first with /%s unshare", k.noun)
		}
		if err := k.roomToShare(ctx, t, st.By, s.cfg.Limits); err != nil {
			return err
		}
		if err := k.distinct(ctx, t, st.By, before.Name, id); err != nil {
			return err
		}
		_, err := t.exec(ctx, k.change(st.By, "shared = 1, shop = ?", []any{int64(st.By.Shop.ID)}, "AND id = ?", id))
		if err != nil {
			return fmt.Errorf("share %s: %w", k.table, err)
		}
		return nil
	})
}

// Link gives the code that stands, or a new one.
func (s *Store) Link(ctx context.Context, st shop.Stamp, word shop.Kind, id int64) (shop.Out, error) {
	return s.onOwn(ctx, st, word, id, func(t *txn, k kind, before shop.Out) error {
		if before.Code != "" {
			return nil
		}
		return t.putCode(ctx, st, k, id, nil, s.cfg)
	})
}

// Unshare takes it back from the shop, or revokes the code, or both.
func (s *Store) Unshare(ctx context.Context, st shop.Stamp, word shop.Kind, id int64, what shop.Back) (shop.Out, error) {
	return s.onOwn(ctx, st, word, id, func(t *txn, k kind, _ shop.Out) error {
		if what != shop.BackShop {
			if err := t.revoke(ctx, k, st.By, id, "taker IS NULL"); err != nil {
				return err
			}
		}
		if what == shop.BackCode {
			return nil
		}
		_, err := t.exec(ctx, k.change(st.By, "shared = 0, pinned_in = NULL", nil, "AND id = ?", id))
		if err != nil {
			return fmt.Errorf("unshare %s: %w", k.table, err)
		}
		return nil
	})
}

// Offer lets one member take a record over; nobody withdraws the offer.
func (s *Store) Offer(ctx context.Context, st shop.Stamp, word shop.Kind, id int64, to shop.MemberID) (shop.Out, error) {
	return s.onOwn(ctx, st, word, id, func(t *txn, k kind, before shop.Out) error {
		if to == st.By.Member.ID {
			return fault.New(fault.NotAllowed, "%s is yours already", before.Name).In("to").Hint("name the member who is to have it")
		}
		if err := t.revoke(ctx, k, st.By, id, "taker IS NOT NULL"); err != nil || to == 0 {
			return err
		}
		return t.putCode(ctx, st, k, id, int64(to), s.cfg)
	})
}

// putCode makes a code that leads to a record, for one taker or for anyone.
func (t *txn) putCode(ctx context.Context, st shop.Stamp, k kind, id int64, taker any, cfg Config) error {
	me := int64(st.By.Member.ID)
	var n int
	if _, err := t.one(ctx, plain("SELECT count(*) FROM share WHERE owner = ?", me), &n); err != nil {
		return fmt.Errorf("count codes: %w", err)
	}
	if n >= cfg.Limits.Codes {
		return fault.New(fault.LimitReached, "you have %d codes and offers out, which is the most", n).
			In(k.noun).Hint("revoke one that is no longer needed, with /%s unshare", k.noun)
	}
	code, err := newCode(cfg.Rand)
	if err != nil {
		return err
	}
	_, err = t.exec(ctx, plain("INSERT INTO share (owner, kind, record, code, taker, created_at) VALUES (?, ?, ?, ?, ?, ?)",
		me, k.table, id, code, taker, millis(st.At)))
	if err != nil {
		return fmt.Errorf("keep a code: %w", err)
	}
	return nil
}

// revoke ends the codes of an own record that a condition picks.
func (t *txn) revoke(ctx context.Context, k kind, v shop.Viewer, id int64, which string) error {
	_, err := t.exec(ctx, plain("DELETE FROM share WHERE owner = ? AND kind = ? AND record = ? AND "+which, int64(v.Member.ID), k.table, id))
	if err != nil {
		return fmt.Errorf("revoke codes: %w", err)
	}
	return nil
}

// Mark is for managers.
func (s *Store) Mark(ctx context.Context, st shop.Stamp, word shop.Kind, id int64, m shop.Mark, why string) error {
	k, err := kindNamed(word)
	if err != nil {
		return err
	}
	why = strings.TrimSpace(why)
	if err := fits("why", "reason", why, maxReason); err != nil {
		return err
	}
	if err := oneLine("why", "reason", why); err != nil {
		return err
	}
	here := int64(st.By.Shop.ID)
	set, values := "", []any{}
	switch m {
	case shop.MarkHide:
		set, values = "hidden_in = ?, hidden_why = ?, pinned_in = NULL", []any{here, why}
	case shop.MarkUnhide:
		set = "hidden_in = NULL, hidden_why = ''"
	case shop.MarkPin:
		set, values = "pinned_in = ?", []any{here}
	case shop.MarkUnpin:
		set = "pinned_in = NULL"
	default:
		return fmt.Errorf("no mark is called %.40q", m)
	}
	return s.write(ctx, st, func(t *txn) error {
		if err := k.mustCurate(ctx, t, st.By, id); err != nil {
			return err
		}
		if _, err := t.exec(ctx, k.curate(st.By, set, values, id)); err != nil {
			return fmt.Errorf("%s %s: %w", m, k.table, err)
		}
		return nil
	})
}

// mustCurate refuses who does not manage the shop, and what is not on its
// shelf.
func (k kind) mustCurate(ctx context.Context, t *txn, v shop.Viewer, id int64) error {
	rec := shop.Record{}
	var name string
	mayList := t.mustManage(ctx, v)
	if fault.As(mayList) == nil && mayList != nil {
		return mayList
	}
	v.Manager = mayList == nil
	found, err := t.one(ctx, k.seen(v, "r.shared, r.shop, r.name", "AND r.id = ?", id), &rec.Shared, &rec.Shop, &name)
	switch {
	case err != nil:
		return fmt.Errorf("find %s: %w", k.table, err)
	case !found:
		return k.missing()
	case mayList != nil:
		return mayList
	case !v.MayCurate(rec):
		return fault.New(fault.NotAllowed, "%s is not shared with this shop, so it is not on its shelf", name).
			In(k.noun).Hint("/%s list shows what is", k.noun)
	}
	return nil
}

// Out tells how far an own record is out.
func (s *Store) Out(ctx context.Context, v shop.Viewer, word shop.Kind, id int64) (out shop.Out, err error) {
	k, err := kindNamed(word)
	if err != nil {
		return shop.Out{}, err
	}
	err = s.snapshot(ctx, func(q *session) error {
		out, err = k.out(ctx, q, v, id)
		return err
	})
	return kept(out, err)
}

// out is one of outs.
func (k kind) out(ctx context.Context, q *session, v shop.Viewer, id int64) (shop.Out, error) {
	all, err := k.outs(ctx, q, v, "AND r.id = ?", id)
	switch {
	case err != nil:
		return shop.Out{}, err
	case len(all) == 0:
		return shop.Out{}, k.missing()
	}
	return all[0], nil
}

// outs reads how far own records are out.
func (k kind) outs(ctx context.Context, q *session, v shop.Viewer, which string, args ...any) (all []shop.Out, err error) {
	const code = "coalesce((SELECT w.code FROM share w WHERE w.owner = r.owner AND w.record = r.id AND w.kind = '"
	columns := "r.id, r.name, r.version, r.shared, CASE WHEN r.shared = 1 THEN r.shop ELSE 0 END, CASE WHEN r.shared = 1 THEN (SELECT name FROM shop WHERE id = r.shop) ELSE '' END, " +
		"coalesce(r.hidden_in, 0) = r.shop, r.hidden_why, " +
		code + k.table + "' AND w.taker IS NULL), ''), " + code + k.table + "' AND w.taker IS NOT NULL), ''), " +
		"coalesce((SELECT m.name FROM share w JOIN member m ON m.id = w.taker WHERE w.owner = r.owner AND w.record = r.id AND w.kind = '" + k.table + "'), ''), " + k.copies()
	st := k.seen(v, columns, "AND r.owner = ? "+which, append([]any{int64(v.Member.ID)}, args...)...)
	err = q.each(ctx, st, func(scan func(...any) error) error {
		out := shop.Out{Kind: shop.Kind(k.table)}
		var shared bool
		err := scan(&out.ID, &out.Name, &out.Version, &shared, &out.ShopID, &out.Shop, &out.Hidden, &out.Why, &out.Code, &out.Offer, &out.Taker, &out.Copies)
		if out.Hidden = out.Hidden && shared; !out.Hidden {
			out.Why = ""
		}
		all = append(all, out)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("tell how far %s is out: %w", k.table, err)
	}
	return all, nil
}

// SharedOut lists all the viewer's own that others may see or have copies of.
func (s *Store) SharedOut(ctx context.Context, v shop.Viewer) (all []shop.Out, err error) {
	err = s.snapshot(ctx, func(q *session) error {
		for _, k := range kinds {
			some, err := k.outs(ctx, q, v, "ORDER BY r.name_key, r.id")
			if err != nil {
				return err
			}
			for _, out := range some {
				if out.ShopID != 0 || out.Code != "" || out.Copies > 0 {
					all = append(all, out)
				}
			}
		}
		return nil
	})
	return kept(all, err)
}

// alphabet is what codes are written in: without the letters and digits that
// look like another one in some hand or face, since codes are read aloud and
// copied by hand.
const alphabet = "234679acdefhjkmnpqrtvwxy"

// codeLength makes a code 82 bits: with a million codes out, one guess in
// 10^18 hits.
const (
	codeLength = 18
	codeGroup  = 3
)

// newCode draws a code: "4kd-w7m-…".
func newCode(random io.Reader) (string, error) {
	var b strings.Builder
	for n := 0; n < codeLength; {
		var draw [1]byte
		if _, err := io.ReadFull(random, draw[:]); err != nil {
			return "", fmt.Errorf("draw a code: %w", err)
		}
		at := int(draw[0])
		if at >= 256/len(alphabet)*len(alphabet) {
			continue // so that each letter is as likely as any other
		}
		if n > 0 && n%codeGroup == 0 {
			b.WriteByte('-')
		}
		b.WriteByte(alphabet[at%len(alphabet)])
		n++
	}
	return b.String(), nil
}

// tidyCode writes a code as it is kept, however it was typed: its letters and
// digits alone count. It is "" for what can be none.
func tidyCode(typed string) string {
	var b strings.Builder
	n := 0
	for _, r := range strings.ToLower(typed) {
		if r == '-' || r == ' ' || r == '.' {
			continue
		}
		if !strings.ContainsRune(alphabet, r) || n == codeLength {
			return ""
		}
		if n > 0 && n%codeGroup == 0 {
			b.WriteByte('-')
		}
		b.WriteRune(r)
		n++
	}
	if n != codeLength {
		return ""
	}
	return b.String()
}
