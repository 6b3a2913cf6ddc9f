package library

import (
	"context"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// moldsMost is how many molds one batch fills: as many as fit a reply.
const moldsMost = 8

// Molds finds the molds of a list, "harbor pawn, harbor pawn 2", each named
// once, and keeps them in the buttons of the reply. Errors: unknown_mold with
// the near names, ambiguous_name, too_many_options, missing_option.
func (l *Library) Molds(ctx context.Context, c *chat.Call, option string) ([]shop.Mold, error) {
	return l.moldsOf(ctx, c, option, moldsMost, "one batch into more than %d molds can't be kept together", "give up to %d molds, and the rest a pour of their own")
}

// MostOfRun is how many molds a run is planned for.
const MostOfRun = 20

// RunMolds is Molds for a run of many fillings, which may have more of them.
func (l *Library) RunMolds(ctx context.Context, c *chat.Call, option string) ([]shop.Mold, error) {
	return l.moldsOf(ctx, c, option, MostOfRun, "more than %d molds are not planned at once", "give up to %d molds, and the rest a run of their own")
}

// moldsOf reads a list of at most so many; tooMany and hint say what of more.
func (l *Library) moldsOf(ctx context.Context, c *chat.Call, option string, most int, tooMany, hint string) ([]shop.Mold, error) {
	typed := c.Text(option)
	var molds []shop.Mold
	var pinned []string
	for _, name := range quantity.SplitList(typed) {
		if name == "" {
			continue
		}
		if len(molds) == most {
			return nil, fault.New(fault.TooManyOptions, tooMany, most).In(option).Hint(hint, most)
		}
		m, err := ofList(ctx, c, l.moldKind(), option, typed, name)
		if err != nil {
			return nil, err
		}
		for _, other := range molds {
			if other.ID == m.ID {
				return nil, fault.New(fault.TooManyOptions, "%s is named twice, and it is filled once at a time", m.Name).In(option).
					Hint("name each mold once; two alike are kept as two, such as harbor pawn and harbor pawn 2")
			}
		}
		molds = append(molds, m)
		pinned = append(pinned, chat.Ref(m.ID, 0))
	}
	if len(molds) == 0 {
		return nil, fault.New(fault.MissingOption, "no mold is named").In(option).Hint(`such as %s:"harbor pawn, harbor pawn 2"`, option)
	}
	c.Pin(option, strings.Join(pinned, ", "))
	return molds, nil
}

// SuggestMolds completes the last name of a list of molds.
func (l *Library) SuggestMolds(ctx context.Context, c *chat.Call, typed string) ([]chat.Choice, error) {
	return suggestLast(ctx, c, l.moldKind(), typed, "")
}
