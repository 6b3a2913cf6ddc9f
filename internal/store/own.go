package store

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// export is what Export writes: everything held about one member.
type export struct {
	Member       exportMember              `json:"member"`
	Manages      []exportShop              `json:"manages"`
	Records      map[string][]exportRecord `json:"records"` // by kind
	Codes        []exportCode              `json:"codes"`   // that lead others to records, or the member to theirs
	Pulls        []exportPull              `json:"pulls"`
	Pours        []exportPour              `json:"pours"`
	Dues         []exportDue               `json:"dues"`
	Containers   []exportContainer         `json:"containers"`
	Drawn        []exportDraw              `json:"drawn"` // from what others share
	Deliveries   []exportDelivery          `json:"deliveries"`
	Cards        []exportCard              `json:"cards"`
	Answers      []exportAnswer            `json:"answers"`
	Measures     []exportMeasure           `json:"measures"`
	Lines        []exportLine              `json:"lines"`
	Boards       []exportShop              `json:"boards"` // made for shops
	Interactions []exportInteraction       `json:"interactions"`
}

type exportMember struct {
	Key   string     `json:"key"`
	Name  string     `json:"name"`
	Prefs shop.Prefs `json:"prefs"`
	Since time.Time  `json:"since"`
}

type exportShop struct {
	Shop  string    `json:"shop"`
	Since time.Time `json:"since"`
}

type exportRecord struct {
	ID       int64           `json:"id"`
	Shared   bool            `json:"shared"`
	Created  time.Time       `json:"created"`
	Removed  time.Time       `json:"removed,omitzero"`
	Origin   exportOrigin    `json:"origin,omitzero"` // of a copy that was adopted
	Versions []exportVersion `json:"versions"`
}

type exportVersion struct {
	Number  int             `json:"number"`
	At      time.Time       `json:"at"`
	Profile json.RawMessage `json:"profile"`
}

type exportPour struct {
	ID       int64           `json:"id"`
	Material int64           `json:"material,omitempty"` // zero once it is gone
	Version  int             `json:"material_version"`
	Mold     int64           `json:"mold,omitempty"`
	State    string          `json:"state"`
	Started  time.Time       `json:"started"`
	Ended    time.Time       `json:"ended,omitzero"`
	Shared   bool            `json:"shared"`
	CoatsOn  int             `json:"coats_on,omitempty"`
	CoatAt   time.Time       `json:"coat_at,omitzero"`
	Good     int             `json:"good,omitempty"`
	Spoiled  int             `json:"spoiled,omitempty"`
	Plan     json.RawMessage `json:"plan"`
	Found    []exportFound   `json:"found"`
	Log      []exportEvent   `json:"log"`
}

// exportFound is what the member found at a pour, in s after it began.
type exportFound struct {
	ReadyBy   float64   `json:"ready_by,omitempty"`
	SoftAt    float64   `json:"soft_at,omitempty"`
	Shared    bool      `json:"shared"`
	At        time.Time `json:"at"`
	TakenBack time.Time `json:"taken_back,omitzero"`
}

type exportDue struct {
	ID    int64           `json:"id"`
	At    time.Time       `json:"at"`
	State string          `json:"state"`
	Pour  int64           `json:"pour,omitempty"`
	Shown int             `json:"shown"`
	Plan  json.RawMessage `json:"plan"`
}

type exportAnswer struct {
	Shop   string    `json:"shop"`
	Topic  string    `json:"topic"`
	Answer string    `json:"answer"`
	At     time.Time `json:"at"`
}

type exportMeasure struct {
	Hash   string    `json:"hash"`
	Result string    `json:"result"`
	At     time.Time `json:"at"`
}

type exportLine struct {
	ID   string    `json:"id"`
	Line string    `json:"line"`
	At   time.Time `json:"at"`
}

type exportInteraction struct {
	ID string    `json:"id"`
	At time.Time `json:"at"`
}

// Export gives everything held about the member as indented JSON.
func (s *Store) Export(ctx context.Context, v shop.Viewer) ([]byte, error) {
	out := export{Records: map[string][]exportRecord{}}
	err := s.snapshot(ctx, func(q *session) error {
		for _, gather := range []func(context.Context, *session, shop.Viewer) error{
			out.person, out.records, out.codes, out.pulls, out.pours, out.dues, out.stock, out.deliveries, out.cards, out.answers, out.kept,
		} {
			if err := gather(ctx, q, v); err != nil {
				return fmt.Errorf("export: %w", err)
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return json.MarshalIndent(out, "", "  ")
}

func (e *export) person(ctx context.Context, q *session, v shop.Viewer) error {
	var since int64
	var prefs string
	_, err := q.one(ctx, plain("SELECT key, name, prefs, created_at FROM member WHERE id = ?", int64(v.Member.ID)),
		&e.Member.Key, &e.Member.Name, &prefs, &since)
	if err != nil {
		return err
	}
	if prefs != "" {
		if err := json.Unmarshal([]byte(prefs), &e.Member.Prefs); err != nil {
			return fmt.Errorf("wishes of member %d: %w", v.Member.ID, err)
		}
		e.Member.Since = instant(since)
	}
	of := func(into *[]exportShop, text string) error {
		return q.each(ctx, plain(text, int64(v.Member.ID)), func(scan func(...any) error) error {
			var in exportShop
			err := scan(&in.Shop, &since)
			in.Since = instant(since)
			*into = append(*into, in)
			return err
		})
	}
	if err := of(&e.Manages, "SELECT s.name, g.since FROM shop_manager g JOIN shop s ON s.id = g.shop WHERE g.member = ? ORDER BY s.id"); err != nil {
		return err
	}
	return of(&e.Boards, "SELECT s.name, b.made_at FROM board b JOIN shop s ON s.id = b.shop WHERE b.made_by = ? ORDER BY s.id")
}

func (e *export) records(ctx context.Context, q *session, v shop.Viewer) error {
	for _, k := range kinds {
		st := k.held(v, "r.id, r.shared, r.created_at, coalesce(r.removed_at, 0), n.number, n.at, n.profile, coalesce(r.origin, 0), r.origin_version, r.origin_left, coalesce(r.first, 0)",
			"ORDER BY r.id, n.number")
		var all []exportRecord
		err := q.each(ctx, st, func(scan func(...any) error) error {
			var rec exportRecord
			var ver exportVersion
			var created, removed, at int64
			var profile string
			if err := scan(&rec.ID, &rec.Shared, &created, &removed, &ver.Number, &at, &profile,
				&rec.Origin.Record, &rec.Origin.Version, &rec.Origin.Left, &rec.Origin.First); err != nil {
				return err
			}
			ver.At, ver.Profile = instant(at), json.RawMessage(profile)
			if n := len(all); n > 0 && all[n-1].ID == rec.ID {
				all[n-1].Versions = append(all[n-1].Versions, ver)
				return nil
			}
			rec.Created, rec.Removed, rec.Versions = instant(created), sometime(removed), []exportVersion{ver}
			all = append(all, rec)
			return nil
		})
		if err != nil {
			return err
		}
		e.Records[k.table] = all
	}
	return nil
}

func (e *export) dues(ctx context.Context, q *session, v shop.Viewer) error {
	return q.each(ctx, dues.heldBare(v, "r.id, r.at, r.state, coalesce(r.of_pour, 0), r.calls, r.plan", "ORDER BY r.id"), func(scan func(...any) error) error {
		var d exportDue
		var at int64
		var plan string
		err := scan(&d.ID, &at, &d.State, &d.Pour, &d.Shown, &plan)
		d.At, d.Plan = instant(at), json.RawMessage(plan)
		e.Dues = append(e.Dues, d)
		return err
	})
}

func (e *export) answers(ctx context.Context, q *session, v shop.Viewer) error {
	return q.each(ctx, plain(`SELECT s.name, f.topic, f.answer, f.edited_at FROM faq f JOIN shop s ON s.id = f.shop
		WHERE f.edited_by = ? ORDER BY s.id, f.topic_key`, int64(v.Member.ID)), func(scan func(...any) error) error {
		var a exportAnswer
		var at int64
		err := scan(&a.Shop, &a.Topic, &a.Answer, &at)
		a.At = instant(at)
		e.Answers = append(e.Answers, a)
		return err
	})
}

// kept gathers what the store keeps for its own ends under the member's name.
func (e *export) kept(ctx context.Context, q *session, v shop.Viewer) error {
	var at int64
	me := int64(v.Member.ID)
	err := q.each(ctx, plain("SELECT hash, result, saved_at FROM measure WHERE owner = ? ORDER BY saved_at, hash", me), func(scan func(...any) error) error {
		var m exportMeasure
		err := scan(&m.Hash, &m.Result, &at)
		m.At = instant(at)
		e.Measures = append(e.Measures, m)
		return err
	})
	if err != nil {
		return err
	}
	err = q.each(ctx, plain("SELECT id, line, saved_at FROM line WHERE owner = ? ORDER BY saved_at, id", me), func(scan func(...any) error) error {
		var l exportLine
		err := scan(&l.ID, &l.Line, &at)
		l.At = instant(at)
		e.Lines = append(e.Lines, l)
		return err
	})
	if err != nil {
		return err
	}
	return q.each(ctx, plain("SELECT id, at FROM seen_interaction WHERE member = ? ORDER BY at, id", me), func(scan func(...any) error) error {
		var i exportInteraction
		err := scan(&i.ID, &at)
		i.At = instant(at)
		e.Interactions = append(e.Interactions, i)
		return err
	})
}

// Erase removes all that is held about the member: records with their
// versions, shared ones too unless they were handed over before, the codes that
// led to them, pours with what was found at them, reminders, wishes, measures,
// lines and marks. What the member answered or set for a shop stays with the
// shop, and copies that others adopted with them, without a name. A shop that
// is the member's alone goes too. Afterwards no file of the database holds any
// of it.
func (s *Store) Erase(ctx context.Context, st shop.Stamp) error {
	err := s.write(ctx, st, func(t *txn) error {
		for _, k := range kinds {
			if _, err := t.exec(ctx, k.forget(st.By, "")); err != nil {
				return fmt.Errorf("erase %s: %w", k.table, err)
			}
		}
		var key string
		if _, err := t.one(ctx, plain("SELECT key FROM member WHERE id = ?", int64(st.By.Member.ID)), &key); err != nil {
			return fmt.Errorf("find member: %w", err)
		}
		// The rest goes, or loses the name, by the foreign keys.
		if _, err := t.exec(ctx, plain("DELETE FROM member WHERE id = ?", int64(st.By.Member.ID))); err != nil {
			return fmt.Errorf("erase member: %w", err)
		}
		if _, err := t.exec(ctx, dropBench(key)); err != nil {
			return fmt.Errorf("erase the member's own shop: %w", err)
		}
		return nil
	})
	if err != nil || s.batch != nil || s.eng.Scrub == nil {
		return err
	}
	if err := s.eng.Scrub(ctx); err != nil {
		return fault.New(fault.Busy, "all that was held about you is erased, but older pages of it may still lie in the database's files").
			Hint("send it once more in a minute, and they go too").Because(err)
	}
	return nil
}
