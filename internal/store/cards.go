package store

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

// PostCard fills shop.Cards, as do the methods below.
func (s *Store) PostCard(ctx context.Context, st shop.Stamp, c shop.Card, next time.Time) error {
	space, _, ok := strings.Cut(st.By.Member.Key, ":")
	if !ok || !isAddress(c.Place) || !isAddress(c.Message) {
		return fmt.Errorf("member %d posts a card as message %.80q in %.80q, which can't be kept", st.By.Member.ID, c.Message, c.Place)
	}
	return s.within(ctx, func(t *txn) error {
		if _, err := t.pour(ctx, st.By, c.Pour); err != nil {
			return err
		}
		_, err := t.exec(ctx, clockwork(`INSERT INTO card (owner, shop, space, of_pour, place, message, state, next_at, changes, tries, posted_at)
			VALUES (?, ?, ?, ?, ?, ?, 'live', ?, 0, 0, ?)
			ON CONFLICT (space, place, message) DO UPDATE SET owner = excluded.owner, shop = excluded.shop, of_pour = excluded.of_pour,
			state = 'live', next_at = excluded.next_at, token = NULL, changes = card.changes + 1, tries = 0, posted_at = excluded.posted_at`,
			int64(st.By.Member.ID), int64(st.By.Shop.ID), space, c.Pour, c.Place, c.Message, orNull(next), millis(st.At)))
		if err == nil {
			_, err = t.exec(ctx, clockwork(`DELETE FROM card WHERE owner = ? AND id NOT IN
				(SELECT id FROM card WHERE owner = ? ORDER BY posted_at DESC, id DESC LIMIT ?)`,
				int64(st.By.Member.ID), int64(st.By.Member.ID), s.cfg.Limits.Cards))
		}
		if err != nil {
			return fmt.Errorf("keep a card: %w", err)
		}
		t.rings = true
		return nil
	})
}

// isAddress tells what a transport calls its places and messages.
func isAddress(s string) bool {
	return s != "" && len(s) <= maxKey && keepable("", "address", s) == nil
}

// ClaimCards takes on what is due.
func (s *Store) ClaimCards(ctx context.Context, space string, now time.Time, lease time.Duration, most int) (claims []shop.CardClaim, err error) {
	token, err := shortID(s.cfg.Rand)
	if err != nil {
		return nil, err
	}
	err = s.within(ctx, func(t *txn) error {
		_, err := t.exec(ctx, clockwork("UPDATE card SET next_at = ? WHERE space = ? AND state = 'claimed' AND next_at > ?",
			millis(now), space, millis(now.Add(skewLeases*lease))))
		if err != nil {
			return fmt.Errorf("take up cards from before the clock was set back: %w", err)
		}
		n, err := t.exec(ctx, clockwork(`UPDATE card SET state = 'claimed', token = ?, next_at = ? WHERE id IN
			(SELECT id FROM card WHERE space = ? AND next_at <= ? ORDER BY next_at LIMIT ?)`,
			token, millis(now.Add(lease)), space, millis(now), most))
		if err != nil || n == 0 {
			return wrapped("take cards on", err)
		}
		claims, err = t.cardClaims(ctx, space, token)
		return err
	})
	return kept(claims, err)
}

// cardClaims reads what is needed to show the cards with that token.
func (q *session) cardClaims(ctx context.Context, space, token string) (claims []shop.CardClaim, err error) {
	st := clockwork(`SELECT c.id, c.owner, c.of_pour, c.place, c.message, c.posted_at, c.changes, c.tries, o.key, o.name, o.prefs, s.id, s.key, s.name
		FROM card c JOIN member o ON o.id = c.owner JOIN shop s ON s.id = c.shop 
		WHERE c.space = ? AND c.state = 'claimed' AND c.token = ? ORDER BY c.id`, space, token)
	err = q.each(ctx, st, func(scan func(...any) error) error {
		c := shop.CardClaim{Token: token}
		var prefs string
		var posted int64
		err := scan(&c.ID, &c.Owner, &c.Pour, &c.Place, &c.Message, &posted, &c.Changes, &c.Tries,
			&c.Member.Key, &c.Member.Name, &prefs, &c.Shop.ID, &c.Shop.Key, &c.Shop.Name)
		if err != nil {
			return err
		}
		if err := json.Unmarshal([]byte(prefs), &c.Member.Pref); err != nil {
			return fmt.Errorf("wishes of member %d: %w", c.Owner, err)
		}
		c.Member.ID, c.Posted = c.Owner, instant(posted)
		claims = append(claims, c)
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("read claimed cards: %w", err)
	}
	return claims, nil
}

// NextCard tells when something is due or a lease ends.
func (s *Store) NextCard(ctx context.Context, space string) (at time.Time, any bool, err error) {
	var next int64
	any, err = s.reading().one(ctx, clockwork("SELECT next_at FROM card WHERE space = ? AND next_at IS NOT NULL ORDER BY next_at LIMIT 1", space), &next)
	if err != nil || !any {
		return time.Time{}, false, wrapped("find the next card", err)
	}
	return instant(next), true, nil
}

// EndShowing records that a card was shown. A pour that was changed meanwhile
// makes it due at once, also where what was shown was its end.
func (s *Store) EndShowing(ctx context.Context, c shop.CardClaim, next time.Time, over bool, now time.Time) error {
	state, at := "live", orNull(next)
	if over {
		state, at = "over", nil
	}
	return s.ofCard(ctx, "end a showing", clockwork(`UPDATE card SET token = NULL, tries = 0,
		state = CASE WHEN changes = ? THEN ? ELSE 'live' END, next_at = CASE WHEN changes = ? THEN CAST(? AS BIGINT) ELSE ? END WHERE id = ? AND token = ?`,
		c.Changes, state, c.Changes, at, millis(now), c.ID, c.Token))
}

// PutOffCard gives a card back.
func (s *Store) PutOffCard(ctx context.Context, c shop.CardClaim, until time.Time) error {
	return s.ofCard(ctx, "put a card off", clockwork("UPDATE card SET token = NULL, state = 'live', tries = tries + 1, next_at = ? WHERE id = ? AND token = ?",
		millis(until), c.ID, c.Token))
}

// DropCard ends a card for good.
func (s *Store) DropCard(ctx context.Context, c shop.CardClaim) error {
	return s.ofCard(ctx, "drop a card", clockwork("UPDATE card SET token = NULL, state = 'gone', next_at = NULL WHERE id = ? AND token = ?", c.ID, c.Token))
}

func (s *Store) ofCard(ctx context.Context, act string, st statement) error {
	return s.within(ctx, func(t *txn) error {
		if _, err := t.exec(ctx, st); err != nil {
			return fmt.Errorf("%s: %w", act, err)
		}
		return nil
	})
}

// pourChanged makes the cards of a pour due: each shows it as it is now. One
// that is being shown keeps its lease, so that an older edit can't overtake a
// newer one; its end finds that there is more to show.
func (t *txn) pourChanged(ctx context.Context, pour int64, at time.Time) error {
	t.rings = true
	_, err := t.exec(ctx, clockwork(`UPDATE card SET changes = changes + 1, state = CASE WHEN state = 'over' THEN 'live' ELSE state END,
		next_at = CASE WHEN state = 'claimed' THEN next_at ELSE ? END WHERE of_pour = ? AND state <> 'gone'`, millis(at), pour))
	if err != nil {
		return fmt.Errorf("wake the cards of a pour: %w", err)
	}
	return nil
}
