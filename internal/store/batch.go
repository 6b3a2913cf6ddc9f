package store

import (
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/shop"
)

// batch writes new records of one kind, many by one statement: a statement for
// each row would take most of the time that thousands of them take. They are
// their owner's alone, so that of the rules of put only those of names are left.
type batch struct {
	kind
	t     *txn
	st    shop.Stamp
	rows  []fresh
	keys  map[string]bool   // of rows
	looks map[string][]look // names in sight by their shapes; nil until one is asked for
}

// fresh is a record that is not stored yet.
type fresh struct{ name, key, family, profile string }

// look is a name in sight.
type look struct{ name, key, owner string }

// batchRows are written at once. More saves no time that can be measured.
const batchRows = 128

// add takes one more. What is refused is the first that putting one by one
// would refuse, so what waits is written before anything else is found fault
// with.
func (b *batch) add(ctx context.Context, r fresh) error {
	if b.keys[r.key] || len(b.rows) == batchRows { // the second of a name is told by the first
		if err := b.flush(ctx); err != nil {
			return err
		}
	}
	if err := b.distinct(ctx, r); err != nil {
		return b.after(ctx, err)
	}
	if b.keys == nil {
		b.keys = make(map[string]bool, batchRows)
	}
	b.rows, b.keys[r.key] = append(b.rows, r), true
	return nil
}

// after gives the fault of what waits, or else err.
func (b *batch) after(ctx context.Context, err error) error {
	if first := b.flush(ctx); first != nil {
		return first
	}
	return err
}

// distinct is that of a kind. It reads the names in sight once for all of the
// batch, and only where one is not plain.
func (b *batch) distinct(ctx context.Context, r fresh) error {
	plain := shop.Plain(r.name)
	if plain && b.looks == nil {
		return nil
	}
	if b.looks == nil {
		if err := b.see(ctx); err != nil {
			return err
		}
	}
	shape := shop.Shape(r.name)
	for _, l := range b.looks[shape] {
		if !plain && l.key != r.key {
			return alike(l.owner, l.name)
		}
	}
	b.looks[shape] = append(b.looks[shape], look{r.name, r.key, b.st.By.Member.Name})
	return nil
}

// see reads the names in sight, those that wait too.
func (b *batch) see(ctx context.Context) error {
	if err := b.flush(ctx); err != nil {
		return err
	}
	b.looks = map[string][]look{}
	err := b.t.each(ctx, b.seen(b.st.By, "r.name, r.name_key, o.name", ""), func(scan func(...any) error) error {
		var l look
		if err := scan(&l.name, &l.key, &l.owner); err != nil {
			return fmt.Errorf("scan a name: %w", err)
		}
		shape := shop.Shape(l.name)
		b.looks[shape] = append(b.looks[shape], l)
		return nil
	})
	if err != nil {
		return fmt.Errorf("look for names like these: %w", err)
	}
	return nil
}

// flush writes what waits, each with its version 1.
func (b *batch) flush(ctx context.Context) error {
	if len(b.rows) == 0 {
		return nil
	}
	at := millis(b.st.At)
	names, profiles := make([]any, 0, 3*len(b.rows)), make([]any, 0, 2*len(b.rows))
	for _, r := range b.rows {
		names, profiles = append(names, r.name, r.key, r.family), append(profiles, r.key, r.profile)
	}
	n, err := b.t.exec(ctx, b.insertMany(b.st.By, at, names))
	if err != nil {
		return fmt.Errorf("add many of %s: %w", b.table, err)
	}
	if n < int64(len(b.rows)) {
		return b.refuse(ctx)
	}
	n, err = b.t.exec(ctx, b.insertVersions(b.st.By, at, profiles))
	if err == nil && n != int64(len(b.rows)) {
		err = fmt.Errorf("%d of %d were added", n, len(b.rows))
	}
	if err != nil {
		return fmt.Errorf("add versions of %s: %w", b.table, err)
	}
	b.rows = b.rows[:0]
	clear(b.keys)
	return nil
}

// refuse names the first whose name the owner has: those that were written
// just now have no version yet.
func (b *batch) refuse(ctx context.Context) error {
	args := []any{int64(b.st.By.Member.ID)}
	for _, r := range b.rows {
		args = append(args, r.key)
	}
	had := map[string]bool{}
	st := b.seenVersions(b.st.By, "r.name_key", "AND r.owner = ? AND n.number = 1 AND r.name_key IN ("+marks(len(b.rows))+")", args...)
	err := b.t.each(ctx, st, func(scan func(...any) error) error {
		var key string
		err := scan(&key)
		had[key] = true
		return err
	})
	if err != nil {
		return fmt.Errorf("look for names of %s that are taken: %w", b.table, err)
	}
	for _, r := range b.rows {
		if had[r.key] {
			return fmt.Errorf("add %s: %w", b.table, b.taken(r.name, ErrUnique))
		}
	}
	return fmt.Errorf("add many of %s: some were not added", b.table)
}
