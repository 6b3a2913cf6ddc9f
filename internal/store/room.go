package store

import (
	"context"
	"errors"
	"fmt"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// ours is a record whose viewer may change it.
type ours struct {
	id      int64
	name    string
	version int
}

// mine finds a record for a change: out of sight is fault.NotFound, another
// member's is fault.NotAllowed.
func (k kind) mine(ctx context.Context, t *txn, v shop.Viewer, id int64) (ours, error) {
	rec := ours{id: id}
	var owner shop.MemberID
	var ownerName string
	found, err := t.one(ctx, k.seen(v, "r.owner, o.name, r.name, r.version", "AND r.id = ?", id),
		&owner, &ownerName, &rec.name, &rec.version)
	switch {
	case err != nil:
		return ours{}, fmt.Errorf("find %s: %w", k.table, err)
	case !found:
		return ours{}, k.missing()
	case !v.MayChange(shop.Record{Owner: owner}):
		return ours{}, fault.New(fault.NotAllowed, "%s belongs to %s, and only its owner can change it", rec.name, ownerName).
			In(k.noun).Hint("ask %s, or add one of your own", ownerName)
	}
	return rec, nil
}

// taken turns a broken constraint into a refusal of the name: the database
// alone knows, whoever else is writing, whether the owner has it already.
func (k kind) taken(name string, err error) error {
	if !errors.Is(err, ErrUnique) {
		return err
	}
	return fault.New(fault.NameTaken, "you already have a %s called %s", k.noun, name).
		In("name").Hint("choose another name, or change the one you have").Because(err)
}

// room refuses a new record past the limits of its owner and shop.
func (k kind) room(ctx context.Context, t *txn, v shop.Viewer, most Limits, shared bool) error {
	if err := k.roomFor(ctx, t, v, most, 1); err != nil {
		return err
	}
	if !shared {
		return nil
	}
	return k.roomToShare(ctx, t, v, most)
}

// roomToShare refuses one more shared record past the limit of the shop.
func (k kind) roomToShare(ctx context.Context, t *txn, v shop.Viewer, most Limits) error {
	var sharing int
	if _, err := t.one(ctx, k.sharedIn(v), &sharing); err != nil {
		return fmt.Errorf("count shared %s: %w", k.table, err)
	}
	if sharing >= most.Shared {
		return fault.New(fault.LimitReached, "this shop shares %d %ss, which is the most", sharing, k.noun).
			In(k.noun).Hint("keep this one to yourself, or ask for old ones to be removed")
	}
	return nil
}

// roomForVersion refuses a further version past the limits.
func (k kind) roomForVersion(ctx context.Context, t *txn, v shop.Viewer, most Limits, rec ours) error {
	if rec.version >= most.Versions {
		return fault.New(fault.LimitReached, "%s has %d versions, which is the most", rec.name, rec.version).
			In(k.noun).Hint("remove it and add it anew with today's numbers")
	}
	var records, versions int
	if _, err := t.one(ctx, k.counts(v), &records, &versions); err != nil {
		return fmt.Errorf("count versions of %s: %w", k.table, err)
	}
	if versions >= most.Total {
		return k.tooManyVersions(versions)
	}
	return nil
}

// roomFor refuses so many new records of the viewer's own past the limits.
func (k kind) roomFor(ctx context.Context, t *txn, v shop.Viewer, most Limits, more int) error {
	var records, versions int
	if _, err := t.one(ctx, k.counts(v), &records, &versions); err != nil {
		return fmt.Errorf("count %s: %w", k.table, err)
	}
	limit := k.most(most)
	switch {
	case records >= limit:
		return fault.New(fault.LimitReached, "you keep %d %ss, which is the most", records, k.noun).
			In(k.noun).Hint("remove one you no longer use, then add this one")
	case records+more > limit:
		return fault.New(fault.LimitReached, "you keep %d %ss, and %d more are over the %d that you may keep", records, k.noun, more, limit).
			In(k.noun).Hint("remove some you no longer use, or bring fewer: there is room for %d", limit-records)
	case versions >= most.Total || versions+more > most.Total:
		return k.tooManyVersions(versions)
	}
	return nil
}

// roomToTake refuses a record with so many versions past the limits of who
// takes it over.
func (k kind) roomToTake(ctx context.Context, t *txn, v shop.Viewer, most Limits, more int) error {
	if err := k.roomFor(ctx, t, v, most, 1); err != nil {
		return err
	}
	var records, versions int
	if _, err := t.one(ctx, k.counts(v), &records, &versions); err != nil {
		return fmt.Errorf("count versions of %s: %w", k.table, err)
	}
	if versions+more > most.Total {
		return k.tooManyVersions(versions)
	}
	return nil
}

func (k kind) tooManyVersions(n int) error {
	return fault.New(fault.LimitReached, "your %ss have %d versions in all, which is the most", k.noun, n).
		In(k.noun).Hint("take a copy with /me export, then clear what is kept with /me erase")
}
