package store

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

// skewLeases is by how many leases a claim may end after now before it counts
// as one from before the clock was set back.
const skewLeases = 4

// keepDeliveries is how long the record of a message stands after it was sent.
const keepDeliveries = 30 * 24 * time.Hour

// ClaimDues fills shop.Calls, as do the methods below.
func (s *Store) ClaimDues(ctx context.Context, space string, now time.Time, lease time.Duration, most int) (claims []shop.Claim, err error) {
	token, err := shortID(s.cfg.Rand)
	if err != nil {
		return nil, err
	}
	err = s.within(ctx, func(t *txn) error {
		_, err := t.exec(ctx, clockwork("UPDATE due SET next_at = ? WHERE space = ? AND state = 'claimed' AND next_at > ?",
			millis(now), space, millis(now.Add(skewLeases*lease))))
		if err != nil {
			return fmt.Errorf("take up claims from before the clock was set back: %w", err)
		}
		owners, err := t.owners(ctx, space, now, most)
		if err != nil {
			return err
		}
		for _, owner := range owners {
			_, err := t.exec(ctx, clockwork("UPDATE due SET state = 'claimed', token = ?, next_at = ? WHERE owner = ? AND next_at <= ?",
				token, millis(now.Add(lease)), owner, millis(now)))
			if err != nil {
				return fmt.Errorf("claim dues: %w", err)
			}
			if claims, err = t.claims(ctx, owner, token, claims); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(claims, func(a, b shop.Claim) int { return a.At.Compare(b.At) })
	return claims, nil
}

// owners are those of the first rows that are due, about most of them.
func (q *session) owners(ctx context.Context, space string, now time.Time, most int) (owners []int64, err error) {
	st := clockwork("SELECT DISTINCT owner FROM (SELECT owner FROM due WHERE space = ? AND next_at <= ? ORDER BY next_at LIMIT ?) AS first",
		space, millis(now), most)
	err = q.each(ctx, st, func(scan func(...any) error) error {
		var owner int64
		err := scan(&owner)
		owners = append(owners, owner)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("look for what is due: %w", err)
	}
	return owners, nil
}

// claims reads what an owner's rows with that token need to be carried out.
func (q *session) claims(ctx context.Context, owner int64, token string, claims []shop.Claim) ([]shop.Claim, error) {
	st := clockwork("SELECT "+dueColumns+`, o.key, o.prefs, s.key, s.name, coalesce(t.settings, '{}'),
		coalesce(d.id, 0), coalesce(d.key, ''), coalesce(d.place, ''), coalesce(d.began_at, 0)
		FROM due r JOIN member o ON o.id = r.owner JOIN shop s ON s.id = r.shop LEFT JOIN shop_setting t ON t.shop = s.id
		LEFT JOIN delivery d ON d.id = r.delivery AND d.state = 'sending'
		WHERE r.owner = ? AND r.token = ? ORDER BY r.at, r.id`, owner, token)
	err := q.each(ctx, st, func(scan func(...any) error) error {
		c := shop.Claim{Token: token}
		var prefs, settings string
		var begun shop.Delivery
		var began int64
		var err error
		c.Due, err = readDue(scan, &c.Member.Key, &prefs, &c.Shop.Key, &c.Shop.Name, &settings, &begun.ID, &begun.Key, &begun.Place, &began)
		if err != nil {
			return err
		}
		c.Member.ID, c.Member.Name, c.Shop.ID = c.Owner, c.OwnerOf, c.Due.Shop
		c.Shop.Set = shop.NewSettings()
		if err := json.Unmarshal([]byte(prefs), &c.Member.Pref); err != nil {
			return fmt.Errorf("wishes of member %d: %w", c.Owner, err)
		}
		if err := json.Unmarshal([]byte(settings), &c.Shop.Set); err != nil {
			return fmt.Errorf("settings of shop %d: %w", c.Shop.ID, err)
		}
		if begun.ID != 0 {
			begun.Began = instant(began)
			c.Pending = &begun
		}
		claims = append(claims, c)
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("read claimed dues: %w", err)
	}
	return claims, nil
}

// NextDue tells when something is due or a lease ends.
func (s *Store) NextDue(ctx context.Context, space string) (at time.Time, any bool, err error) {
	var next int64
	any, err = s.reading().one(ctx, clockwork("SELECT next_at FROM due WHERE space = ? AND next_at IS NOT NULL ORDER BY next_at LIMIT 1", space), &next)
	if err != nil || !any {
		return time.Time{}, false, err
	}
	return instant(next), true, nil
}

// BeginDelivery records that the claims go to that place.
func (s *Store) BeginDelivery(ctx context.Context, claims []shop.Claim, place string, now time.Time, lease time.Duration) (d shop.Delivery, still []shop.Claim, err error) {
	d = shop.Delivery{Place: place, Began: now}
	if d.Key, err = shortID(s.cfg.Rand); err != nil {
		return shop.Delivery{}, nil, err
	}
	err = s.within(ctx, func(t *txn) error {
		for _, c := range claims {
			n, err := t.exec(ctx, clockwork("UPDATE due SET next_at = ? WHERE id = ? AND token = ?", millis(now.Add(lease)), c.ID, c.Token))
			if err != nil {
				return fmt.Errorf("renew a claim: %w", err)
			}
			if n == 1 {
				still = append(still, c)
			}
		}
		if len(still) == 0 {
			return nil
		}
		return t.begin(ctx, &d, still)
	})
	if err != nil || len(still) == 0 {
		return shop.Delivery{}, nil, err
	}
	return d, still, nil
}

// begin writes the record and puts its number on the claims; one that was
// begun before is over.
func (t *txn) begin(ctx context.Context, d *shop.Delivery, claims []shop.Claim) error {
	_, err := t.one(ctx, clockwork("INSERT INTO delivery (owner, key, place, state, began_at) VALUES (?, ?, ?, 'sending', ?) RETURNING id",
		int64(claims[0].Owner), d.Key, d.Place, millis(d.Began)), &d.ID)
	if err != nil {
		return fmt.Errorf("record a delivery: %w", err)
	}
	for _, c := range claims {
		if c.Pending != nil {
			_, err := t.exec(ctx, clockwork("UPDATE delivery SET state = 'failed', ended_at = ? WHERE id = ? AND state = 'sending'", millis(d.Began), c.Pending.ID))
			if err != nil {
				return fmt.Errorf("end an earlier delivery: %w", err)
			}
		}
		if _, err := t.exec(ctx, clockwork("UPDATE due SET delivery = ? WHERE id = ?", d.ID, c.ID)); err != nil {
			return fmt.Errorf("record a delivery: %w", err)
		}
	}
	return nil
}

// EndDelivery records what came of it.
func (s *Store) EndDelivery(ctx context.Context, d shop.Delivery, claims []shop.Claim, as shop.DueState, now time.Time) error {
	return s.within(ctx, func(t *txn) error {
		for _, c := range claims {
			if err := t.end(ctx, c, as, now); err != nil {
				return err
			}
		}
		_, err := t.exec(ctx, clockwork("UPDATE delivery SET state = ?, ended_at = ? WHERE id = ?", string(as), millis(now), d.ID))
		if err == nil && len(claims) > 0 {
			_, err = t.exec(ctx, clockwork("DELETE FROM delivery WHERE owner = ? AND began_at < ? AND state <> 'sending'",
				int64(claims[0].Owner), millis(now.Add(-keepDeliveries))))
		}
		if err != nil {
			return fmt.Errorf("end a delivery: %w", err)
		}
		return nil
	})
}

// end ends a call, or lets its series go on. A claim that was lost meanwhile is
// left as it is.
func (t *txn) end(ctx context.Context, c shop.Claim, as shop.DueState, now time.Time) error {
	state, at := as, c.At
	var next, missed any
	if c.Every != (shop.Every{}) {
		state, at = shop.DuePending, c.Every.Next(c.First, now, shop.ZoneNamed(c.Zone))
		next = millis(at)
	}
	shown := 1
	if as == shop.DueFailed {
		shown, missed = 0, millis(c.At)
	}
	_, err := t.exec(ctx, clockwork(`UPDATE due SET state = ?, at = ?, next_at = ?, missed_at = ?, told_at = NULL, calls = calls + ?, token = NULL, delivery = NULL
		WHERE id = ? AND token = ?`, string(state), millis(at), next, missed, shown, c.ID, c.Token))
	if err != nil {
		return fmt.Errorf("end a call: %w", err)
	}
	return nil
}

// PutOff gives claims back.
func (s *Store) PutOff(ctx context.Context, claims []shop.Claim, until time.Time) error {
	return s.within(ctx, func(t *txn) error {
		for _, c := range claims {
			_, err := t.exec(ctx, clockwork("UPDATE due SET state = 'pending', next_at = ?, token = NULL WHERE id = ? AND token = ?",
				millis(until), c.ID, c.Token))
			if err != nil {
				return fmt.Errorf("put calls off: %w", err)
			}
		}
		return nil
	})
}
