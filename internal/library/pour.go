package library

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// poursLooked is how many pours a name is looked for among, newest first.
const poursLooked = 100

// Pour finds the pour that the option names: by its number, or by its mold or
// material where that is one. Left out, it is the one that is running. Errors:
// unknown_pour; missing_option where several could be meant, with each to
// choose from.
func Pour(ctx context.Context, c *chat.Call, from shop.Pours, option string) (shop.Pour, error) {
	typed := c.Text(option)
	if id, err := strconv.ParseInt(strings.TrimPrefix(typed, "#"), 10, 64); err == nil {
		return pinned(c, option)(from.Pour(ctx, c.By, id))
	}
	all, err := from.Pours(ctx, c.By, poursLooked)
	if err != nil {
		return shop.Pour{}, fmt.Errorf("list pours: %w", err)
	}
	running := slices.DeleteFunc(slices.Clone(all), func(p shop.Pour) bool { return p.State != shop.PourRunning })
	if typed == "" {
		return pinned(c, option)(onePour(running, option, "no pour of yours is running"))
	}
	meant := poursNamed(running, typed)
	if len(meant) == 0 {
		meant = poursNamed(all, typed)
	}
	return pinned(c, option)(onePour(meant, option, fmt.Sprintf("no pour of yours is called %q", typed)))
}

// pinned keeps the pour's number in the buttons of the reply.
func pinned(c *chat.Call, option string) func(shop.Pour, error) (shop.Pour, error) {
	return func(p shop.Pour, err error) (shop.Pour, error) {
		if err == nil {
			c.Pin(option, Ref(p.ID, 0))
		}
		return p, err
	}
}

func poursNamed(all []shop.Pour, typed string) (found []shop.Pour) {
	for _, p := range all {
		if name := chat.Fold(typed); chat.Fold(p.Mold) == name || chat.Fold(p.Material) == name {
			found = append(found, p)
		}
	}
	return found
}

// onePour asks which of several is meant.
func onePour(meant []shop.Pour, option, none string) (shop.Pour, error) {
	switch len(meant) {
	case 0:
		return shop.Pour{}, fault.New(fault.UnknownPour, "%s", none).In(option).Hint("/pour list shows yours, /pour start begins one")
	case 1:
		return meant[0], nil
	}
	const offered = 5 // as many as fit a row of buttons
	f := fault.New(fault.MissingOption, "%d pours could be meant", len(meant)).In(option)
	var numbers []string
	for i, p := range meant {
		numbers = append(numbers, Ref(p.ID, 0)+" "+PourName(p))
		if i < offered {
			f.Offer(fault.Choice{Value: Ref(p.ID, 0), Label: Ref(p.ID, 0) + " " + PourName(p)})
		}
	}
	return shop.Pour{}, f.Hint("say which by its number, such as %s:%s: %s", option, Ref(meant[0].ID, 0), strings.Join(numbers[:min(len(numbers), 2*offered)], "; "))
}

// PourName tells a pour from others, "demo rigid white, harbor pawn".
func PourName(p shop.Pour) string {
	if p.Mold != "" {
		return p.Material + ", " + p.Mold
	}
	return p.Material
}

// SuggestPour completes a pour's number with those that run, then the rest.
func SuggestPour(from shop.Pours) chat.Suggest {
	return func(ctx context.Context, c *chat.Call, typed string) ([]chat.Choice, error) {
		const most = 25
		all, err := from.Pours(ctx, c.By, most)
		if err != nil {
			return nil, fmt.Errorf("list pours: %w", err)
		}
		var out []chat.Choice
		for _, p := range all {
			label := fmt.Sprintf("%s %s, %s", Ref(p.ID, 0), PourName(p), p.Started.In(c.By.Zone()).Format("Mon 15:04"))
			if typed == "" || strings.Contains(chat.Fold(label), chat.Fold(typed)) {
				out = append(out, chat.Choice{Value: Ref(p.ID, 0), Label: label})
			}
		}
		return out, nil
	}
}
