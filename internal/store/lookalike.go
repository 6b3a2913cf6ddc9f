package store

import (
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// distinct refuses a name that looks the same as another one in sight but is
// spelled with other letters: who picks it from a list would mix by the wrong
// profile. The same name twice is no such thing, since lists tell whose each
// is; and a name in plain ASCII is never refused for one that came before and
// imitates it. id is the record that gets the name, 0 for a new one.
func (k kind) distinct(ctx context.Context, t *txn, v shop.Viewer, name string, id int64) error {
	if shop.Plain(name) {
		return nil
	}
	shape, key := shop.Shape(name), shop.NameKey(name)
	var like, owner string
	err := t.each(ctx, k.seen(v, "r.name, r.name_key, o.name", "AND r.id <> ?", id), func(scan func(...any) error) error {
		var other, otherKey, by string
		if err := scan(&other, &otherKey, &by); err != nil {
			return fmt.Errorf("scan a name: %w", err)
		}
		if like == "" && otherKey != key && shop.Shape(other) == shape {
			like, owner = other, by
		}
		return nil
	})
	switch {
	case err != nil:
		return fmt.Errorf("look for names like it: %w", err)
	case like == "":
		return nil
	}
	return alike(owner, like)
}

// alike refuses a name that looks the same as a member's.
func alike(owner, name string) error {
	return fault.New(fault.NameTaken, "that name looks the same as %s's %s, but is spelled with letters of another alphabet", owner, name).
		In("name").Hint("choose a name that can be told apart, such as one with your own name in it")
}
