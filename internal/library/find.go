// Package library finds, lists and names what members keep, once for every
// kind of thing: materials, molds and tints now, more later. It decides what a
// typed name means; who may see what is the store's matter. What several
// commands do alike with a kept thing, such as stirring a tint in, is here too.
package library

import (
	"context"
	"fmt"
	"strconv"
	"sync"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/color"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/formula"
	"github.com/pourwright/pourwright/internal/shop"
)

// Library is the shelf of one installation.
type Library struct {
	materials shop.Materials
	molds     shop.Molds
	tints     shop.Tints
	formulas  shop.Formulas
	programs  *formula.Cache
	curves    *color.Cache
	photo     sync.Mutex
}

// New makes a library over the stores.
func New(materials shop.Materials, molds shop.Molds, tints shop.Tints, formulas shop.Formulas) *Library {
	return &Library{materials: materials, molds: molds, tints: tints, formulas: formulas, curves: color.NewCache(0), programs: formula.NewCache()}
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
	names   func(context.Context, shop.Viewer) ([]shop.Entry, error)
	byID    func(ctx context.Context, v shop.Viewer, id int64, version int) (T, error)
}

// maker is the sub that makes a new one.
func (k kind[T]) maker() string {
	if k.unknown == fault.UnknownFormula {
		return "save"
	}
	return "add"
}

func (l *Library) materialKind() kind[shop.Material] {
	return kind[shop.Material]{"material", fault.UnknownMaterial, l.materials.MaterialNames, l.materials.Material}
}

func (l *Library) moldKind() kind[shop.Mold] {
	return kind[shop.Mold]{"mold", fault.UnknownMold, l.molds.MoldNames, l.molds.Mold}
}

// Material finds the material that the option names, and pins its version in
// the buttons of the reply.
func (l *Library) Material(ctx context.Context, c *chat.Call, option string, use Use) (shop.Material, error) {
	m, err := find(ctx, c, l.materialKind(), option, use)
	if err == nil {
		c.Pin(option, chat.Ref(m.ID, m.Version))
	}
	return m, err
}

// Mold finds the mold that the option names. Its buttons keep the mold, not
// the version: how many pulls it has had is never a matter of the past.
func (l *Library) Mold(ctx context.Context, c *chat.Call, option string, use Use) (shop.Mold, error) {
	m, err := find(ctx, c, l.moldKind(), option, use)
	if err == nil {
		c.Pin(option, chat.Ref(m.ID, 0))
	}
	return m, err
}

// SuggestMaterial completes a material's name.
func (l *Library) SuggestMaterial(ctx context.Context, c *chat.Call, typed string) ([]chat.Choice, error) {
	return suggest(ctx, c, l.materialKind(), typed)
}

// SuggestMold completes a mold's name.
func (l *Library) SuggestMold(ctx context.Context, c *chat.Call, typed string) ([]chat.Choice, error) {
	return suggest(ctx, c, l.moldKind(), typed)
}

func find[T any](ctx context.Context, c *chat.Call, k kind[T], option string, use Use) (T, error) {
	return meant(ctx, c, k, option, c.Text(option), use)
}

// meant finds what a text of an option means.
func meant[T any](ctx context.Context, c *chat.Call, k kind[T], option, typed string, use Use) (T, error) {
	var none T
	id, version, ok := chat.ReadRef(typed)
	if !ok {
		entries, err := k.names(ctx, c.By)
		if err != nil {
			return none, fmt.Errorf("list %ss: %w", k.word, err)
		}
		entry, refusal := choose(c, k, entries, typed, use)
		if refusal != nil {
			return none, refusal.In(option)
		}
		id = entry.ID
	}
	thing, err := k.byID(ctx, c.By, id, version)
	if fault.Is(err, fault.NotFound) {
		return none, fault.New(k.unknown, "that %s is gone, or not shared with you", k.word).In(option).
			Hint("/%s list shows what you can use", k.word)
	}
	if err != nil {
		return none, fmt.Errorf("fetch a %s: %w", k.word, err)
	}
	return thing, nil
}

// choose finds the one thing that typed means: exactly, then without case,
// then nearly; the viewer's own before the shop's.
func choose[T any](c *chat.Call, k kind[T], entries []shop.Entry, typed string, use Use) (shop.Entry, *fault.Error) {
	same := matching(entries, func(name string) bool { return name == typed })
	if len(same) == 0 {
		same = matching(entries, func(name string) bool { return chat.Fold(name) == chat.Fold(typed) })
	}
	if len(same) > 0 {
		return oneOf(c, k, same)
	}
	near, tied := chat.NearestTied(typed, names(entries))
	f := fault.New(k.unknown, "no %s here is called %q", k.word, typed)
	switch {
	case len(near) == 0:
		return shop.Entry{}, f.Hint("/%s list shows what you can use, /%s %s makes a new one", k.word, k.word, k.maker())
	case use == Offer:
		return shop.Entry{}, f.Hint("did you mean %s?", quotedOr(near[:tied])).Choose(near...)
	case tied > 1:
		return shop.Entry{}, fault.New(fault.AmbiguousName, "%q may be more than one %s here", typed, k.word).
			Hint("did you mean %s?", quotedOr(near[:tied])).Choose(near...)
	}
	c.Note(fmt.Sprintf("%q was read as %q.", typed, near[0]))
	return choose(c, k, entries, near[0], use)
}

func matching(entries []shop.Entry, same func(name string) bool) []shop.Entry {
	var found []shop.Entry
	for _, e := range entries {
		if same(e.Name) {
			found = append(found, e)
		}
	}
	return found
}

// quotedOr lists names to choose from, as they are typed.
func quotedOr(names []string) string {
	quoted := make([]string, len(names))
	for i, n := range names {
		quoted[i] = strconv.Quote(n)
	}
	return enumerated(quoted, "or")
}

func names(entries []shop.Entry) []string {
	out := make([]string, len(entries))
	for i, e := range entries {
		out[i] = e.Name
	}
	return out
}

// oneOf takes the viewer's own of several with one name; between those of
// other members it asks.
func oneOf[T any](c *chat.Call, k kind[T], same []shop.Entry) (shop.Entry, *fault.Error) {
	for _, e := range same {
		if e.Owner == c.By.Member.ID {
			return e, nil
		}
	}
	if len(same) == 1 {
		return same[0], nil
	}
	f := fault.New(fault.AmbiguousName, "%d members share a %s called %q", len(same), k.word, same[0].Name)
	for _, e := range same {
		f.Offer(fault.Choice{Value: chat.Ref(e.ID, 0), Label: e.Name + " (" + e.OwnerOf + ")"})
	}
	return shop.Entry{}, f.Hint("choose by its number, such as %s for %s's", chat.Ref(same[0].ID, 0), same[0].OwnerOf)
}

func suggest[T any](ctx context.Context, c *chat.Call, k kind[T], typed string) ([]chat.Choice, error) {
	entries, err := k.names(ctx, c.By)
	if err != nil {
		return nil, fmt.Errorf("list %ss: %w", k.word, err)
	}
	return chat.Narrow(typed, names(entries)), nil
}
