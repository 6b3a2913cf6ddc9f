// Package library finds, lists and names what members keep, once for every
// kind of thing: materials and molds now, more later. It decides what a typed
// name means; who may see what is the store's matter.
package library

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// Library is the shelf of one installation.
type Library struct {
	materials shop.Materials
	molds     shop.Molds
}

// New makes a library over the stores.
func New(materials shop.Materials, molds shop.Molds) *Library {
	return &Library{materials: materials, molds: molds}
}

// Use says what becomes of a name that only nearly matches.
type Use bool

// A near match is offered where a wrong guess costs material, elsewhere it is
// used and said.
const (
	Offer Use = false
	Take  Use = true
)

// kind is what differs between the things on the shelf.
type kind[T any] struct {
	word    string // "material"
	unknown fault.Code
	list    func(context.Context, shop.Viewer) ([]T, error)
	byID    func(ctx context.Context, v shop.Viewer, id int64, version int) (T, error)
	label   func(T) (shop.Record, string)
}

func (l *Library) materialKind() kind[shop.Material] {
	return kind[shop.Material]{
		word: "material", unknown: fault.UnknownMaterial,
		list: l.materials.Materials, byID: l.materials.Material,
		label: func(m shop.Material) (shop.Record, string) { return m.Record, m.Name },
	}
}

func (l *Library) moldKind() kind[shop.Mold] {
	return kind[shop.Mold]{
		word: "mold", unknown: fault.UnknownMold,
		list: l.molds.Molds, byID: l.molds.Mold,
		label: func(m shop.Mold) (shop.Record, string) { return m.Record, m.Name },
	}
}

// Material finds the material that the option names and pins its version.
func (l *Library) Material(ctx context.Context, c *chat.Call, option string, use Use) (shop.Material, error) {
	return find(ctx, c, l.materialKind(), option, use)
}

// Mold finds the mold that the option names and pins its version.
func (l *Library) Mold(ctx context.Context, c *chat.Call, option string, use Use) (shop.Mold, error) {
	return find(ctx, c, l.moldKind(), option, use)
}

// SuggestMaterial completes a material's name.
func (l *Library) SuggestMaterial(ctx context.Context, c *chat.Call, typed string) ([]chat.Choice, error) {
	return suggest(ctx, c, l.materialKind(), typed)
}

// SuggestMold completes a mold's name.
func (l *Library) SuggestMold(ctx context.Context, c *chat.Call, typed string) ([]chat.Choice, error) {
	return suggest(ctx, c, l.moldKind(), typed)
}

// Ref writes a record's id and version as an option's text that means the same
// for ever.
func Ref(r shop.Record) string { return fmt.Sprintf("#%d@%d", r.ID, r.Version) }

// readRef reads what Ref wrote.
func readRef(text string) (id int64, version int, ok bool) {
	rest, isRef := strings.CutPrefix(text, "#")
	if !isRef {
		return 0, 0, false
	}
	num, ver, _ := strings.Cut(rest, "@")
	id, err := strconv.ParseInt(num, 10, 64)
	if err != nil {
		return 0, 0, false
	}
	version, err = strconv.Atoi(ver)
	return id, version, err == nil || ver == ""
}

func find[T any](ctx context.Context, c *chat.Call, k kind[T], option string, use Use) (T, error) {
	var none T
	typed := c.Text(option)
	if id, version, ok := readRef(typed); ok {
		t, err := k.byID(ctx, c.By, id, version)
		if f := fault.As(err); f != nil && f.Code == fault.NotFound {
			return none, fault.New(k.unknown, "that %s is gone, or not shared with you", k.word).In(option).Hint("/%s list shows what you can use", k.word)
		}
		if err != nil {
			return none, fmt.Errorf("fetch a %s: %w", k.word, err)
		}
		c.Pin(option, typed)
		return t, nil
	}
	things, err := k.list(ctx, c.By)
	if err != nil {
		return none, fmt.Errorf("list %ss: %w", k.word, err)
	}
	t, err := choose(c, k, things, typed, use)
	if err != nil {
		return none, err.(*fault.Error).In(option)
	}
	record, _ := k.label(t)
	c.Pin(option, Ref(record))
	return t, nil
}

// choose finds the one thing that typed means: exactly, then without case,
// then nearly; the viewer's own before the shop's.
func choose[T any](c *chat.Call, k kind[T], things []T, typed string, use Use) (T, error) {
	var none T
	for _, same := range []func(a, b string) bool{
		func(a, b string) bool { return a == b },
		func(a, b string) bool { return chat.Fold(a) == chat.Fold(b) },
	} {
		var found []T
		for _, t := range things {
			if _, name := k.label(t); same(name, typed) {
				found = append(found, t)
			}
		}
		if len(found) > 0 {
			return oneOf(c, k, found)
		}
	}
	names := make([]string, len(things))
	for i, t := range things {
		_, names[i] = k.label(t)
	}
	near := chat.Nearest(typed, names)
	if len(near) == 0 {
		return none, fault.New(k.unknown, "no %s here is called %q", k.word, typed).Hint("/%s list shows what you can use, /%s add makes a new one", k.word, k.word)
	}
	if use == Take {
		c.Note(fmt.Sprintf("%q was read as %q.", typed, near[0]))
		return choose(c, k, things, near[0], use)
	}
	return none, fault.New(k.unknown, "no %s here is called %q", k.word, typed).Hint("did you mean %q?", near[0]).Choose(near...)
}

// oneOf takes the viewer's own of several with one name; between two of other
// members it asks.
func oneOf[T any](c *chat.Call, k kind[T], found []T) (T, error) {
	for _, t := range found {
		if r, _ := k.label(t); r.Owner == c.By.Member.ID {
			return t, nil
		}
	}
	if len(found) == 1 {
		return found[0], nil
	}
	var none T
	_, name := k.label(found[0])
	f := fault.New(fault.AmbiguousName, "%d members share a %s called %q", len(found), k.word, name)
	for _, t := range found {
		r, n := k.label(t)
		f.Offer(fault.Choice{Value: Ref(r), Label: n + " (" + r.OwnerOf + ")"})
	}
	first, _ := k.label(found[0])
	return none, f.Hint("choose by its number, such as %q for %s's", Ref(first), first.OwnerOf)
}

func suggest[T any](ctx context.Context, c *chat.Call, k kind[T], typed string) ([]chat.Choice, error) {
	things, err := k.list(ctx, c.By)
	if err != nil {
		return nil, err
	}
	names := make([]string, len(things))
	for i, t := range things {
		_, names[i] = k.label(t)
	}
	return chat.Narrow(typed, names), nil
}
