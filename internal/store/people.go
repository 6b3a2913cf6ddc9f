package store

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// Member finds or makes the member with that key and keeps its last name. It
// writes only for a new member or name.
func (s *Store) Member(ctx context.Context, key, name string, at time.Time) (shop.Member, error) {
	if err := checkKey(key); err != nil {
		return shop.Member{}, err
	}
	name = person(name)
	m, found, err := s.reading().member(ctx, key)
	if err != nil {
		return shop.Member{}, err
	}
	if found && (name == "" || name == m.Name) {
		return m, nil
	}
	err = s.within(ctx, func(t *txn) error {
		_, err := t.exec(ctx, plain(`INSERT INTO member (key, name, prefs, created_at) VALUES (?, ?, '{}', ?)
			ON CONFLICT (key) DO UPDATE SET name = CASE WHEN excluded.name = '' THEN member.name ELSE excluded.name END`,
			key, name, millis(at)))
		if err != nil {
			return fmt.Errorf("make member: %w", err)
		}
		m, _, err = t.member(ctx, key)
		return err
	})
	return kept(m, err)
}

// member reads a member by key.
func (q *session) member(ctx context.Context, key string) (m shop.Member, found bool, err error) {
	var prefs string
	found, err = q.one(ctx, plain("SELECT id, key, name, prefs FROM member WHERE key = ?", key),
		&m.ID, &m.Key, &m.Name, &prefs)
	if err != nil {
		return m, false, fmt.Errorf("find member: %w", err)
	}
	if !found {
		return m, false, nil
	}
	if err := json.Unmarshal([]byte(prefs), &m.Pref); err != nil {
		return m, false, fmt.Errorf("wishes of member %d: %w", m.ID, err)
	}
	return m, true, nil
}

// Shop finds or makes the shop with that key. It writes only for a new shop or
// name.
func (s *Store) Shop(ctx context.Context, key, name string, by shop.MemberID, at time.Time) (shop.Shop, error) {
	if err := checkKey(key); err != nil {
		return shop.Shop{}, err
	}
	name = person(name)
	sh, found, err := s.reading().shop(ctx, key)
	if err != nil {
		return shop.Shop{}, err
	}
	if found && (name == "" || name == sh.Name) {
		return sh, nil
	}
	err = s.within(ctx, func(t *txn) error {
		_, known, err := t.shop(ctx, key)
		if err != nil {
			return err
		}
		_, err = t.exec(ctx, plain(`INSERT INTO shop (key, name, created_at) VALUES (?, ?, ?)
			ON CONFLICT (key) DO UPDATE SET name = CASE WHEN excluded.name = '' THEN shop.name ELSE excluded.name END`,
			key, name, millis(at)))
		if err != nil {
			return fmt.Errorf("make shop: %w", err)
		}
		sh, _, err = t.shop(ctx, key)
		if err != nil || known || by == 0 {
			return err
		}
		return t.addManager(ctx, sh.ID, by, at)
	})
	return kept(sh, err)
}

// shop reads a shop by key; one that nobody has set up has the defaults, and
// so has every setting that is newer than its row.
func (q *session) shop(ctx context.Context, key string) (sh shop.Shop, found bool, err error) {
	var settings string
	found, err = q.one(ctx, plain(`SELECT s.id, s.key, s.name, coalesce(t.settings, '{}')
		FROM shop s LEFT JOIN shop_setting t ON t.shop = s.id WHERE s.key = ?`, key),
		&sh.ID, &sh.Key, &sh.Name, &settings)
	if err != nil {
		return sh, false, fmt.Errorf("find shop: %w", err)
	}
	if !found {
		return sh, false, nil
	}
	sh.Set = shop.NewSettings()
	if err := json.Unmarshal([]byte(settings), &sh.Set); err != nil {
		return sh, false, fmt.Errorf("settings of shop %d: %w", sh.ID, err)
	}
	return sh, true, nil
}

// checkKey is about keys that a transport makes, never a member: one that does
// not hold is a mistake of ours.
func checkKey(key string) error {
	space, id, ok := strings.Cut(key, ":")
	if !ok || space == "" || id == "" || len(key) > maxKey || keepable("", "key", key) != nil {
		return fmt.Errorf("key %.120q is not a name space, a colon and an id within %d bytes", key, maxKey)
	}
	return nil
}

// SetPrefs keeps the wishes of the member who asks.
func (s *Store) SetPrefs(ctx context.Context, st shop.Stamp, p shop.Prefs) error {
	if err := p.Check(); err != nil {
		return err
	}
	text, err := json.Marshal(p)
	if err != nil {
		return fmt.Errorf("encode wishes: %w", err)
	}
	return s.write(ctx, st, func(t *txn) error {
		n, err := t.exec(ctx, plain("UPDATE member SET prefs = ? WHERE id = ?", string(text), int64(st.By.Member.ID)))
		if err != nil {
			return fmt.Errorf("set wishes: %w", err)
		}
		if n == 0 {
			return fault.New(fault.NotFound, "you are not kept any more").Hint("send the command again to begin anew")
		}
		return nil
	})
}
