package transfer

import (
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/shop"
)

// outlook is what rows are held against: what the viewer sees, by folded
// names, own things before those of others, and what this very file brings.
type outlook struct {
	d         *Desk
	v         shop.Viewer
	materials map[string]shop.Material
	molds     map[string]shop.Mold
	tints     map[string]shop.Tint
	coming    map[Kind]map[string]bool // names that a look would add
	renamed   map[string]string        // names that came in under another, by their folded ones
}

// see looks at the shelves, also at what the rows before have added.
func (o *outlook) see(ctx context.Context) error {
	b := o.d.books
	materials, err := b.Materials.Materials(ctx, o.v)
	if err != nil {
		return fmt.Errorf("list materials: %w", err)
	}
	molds, err := b.Molds.Molds(ctx, o.v)
	if err != nil {
		return fmt.Errorf("list molds: %w", err)
	}
	tints, err := b.Tints.Tints(ctx, o.v)
	if err != nil {
		return fmt.Errorf("list tints: %w", err)
	}
	o.materials = byName(materials, func(m shop.Material) string { return m.Name })
	o.molds = byName(molds, func(m shop.Mold) string { return m.Name })
	o.tints = byName(tints, func(t shop.Tint) string { return t.Name })
	return nil
}

// byName keeps the first of each name: lists have the viewer's own first.
func byName[T any](all []T, name func(T) string) map[string]T {
	out := make(map[string]T, len(all))
	for _, one := range all {
		key := shop.NameKey(name(one))
		if _, ok := out[key]; !ok {
			out[key] = one
		}
	}
	return out
}

// nowCalled is the folded name that a thing of the file has here.
func (o *outlook) nowCalled(name string) string {
	if now, ok := o.renamed[shop.NameKey(name)]; ok {
		return shop.NameKey(now)
	}
	return shop.NameKey(name)
}

// asPour is a pour with its material's name, where it still is what it was.
func (o *outlook) asPour(p shop.Pour) pour {
	out := pour{Pour: p}
	for _, m := range o.materials {
		if m.ID == p.MaterialID && m.Version == p.MaterialVersion {
			out.Profile = m.Name
		}
	}
	return out
}

// note keeps the names that a look would add.
func (o *outlook) note(p Part) {
	for _, e := range p.Entries {
		if e.Verdict != Fresh {
			continue
		}
		if o.coming[p.Kind] == nil {
			o.coming[p.Kind] = map[string]bool{}
		}
		o.coming[p.Kind][shop.NameKey(e.Name)] = true
	}
}
