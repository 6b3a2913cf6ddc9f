package library

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// poursLooked is how many pours a name is looked for among, newest first.
const poursLooked = 100

// OpenTo says which pours a name, or none, may mean first.
type OpenTo func(p shop.Pour, now time.Time) bool

// stillIn is how long a pour that was found ready is taken to be in its mold
// where nobody said that it is out (judgement).
const stillIn = 24 * time.Hour

// RunningPour is a pour that runs.
func RunningPour(p shop.Pour, _ time.Time) bool { return p.State == shop.PourRunning }

// OpenPour is a pour that is in a mold: it runs, or was found ready of late.
func OpenPour(p shop.Pour, now time.Time) bool {
	return p.State == shop.PourRunning || p.State == shop.PourReady && now.Sub(p.Ended) < stillIn
}

// AnyPour is any.
func AnyPour(shop.Pour, time.Time) bool { return true }

// Pour finds the pour that the option names: by its number, or by its mold or
// material where that is one. Left out, it is the one that is open to what is
// asked. Errors: unknown_pour; missing_option where several could be meant,
// with each to choose from.
func Pour(ctx context.Context, c *chat.Call, from shop.Pours, option string, open OpenTo) (shop.Pour, error) {
	typed := c.Text(option)
	if id, err := strconv.ParseInt(strings.TrimPrefix(typed, "#"), 10, 64); err == nil {
		return pinned(c, option)(from.Pour(ctx, c.By, id))
	}
	all, err := from.Pours(ctx, c.By, poursLooked)
	if err != nil {
		return shop.Pour{}, fmt.Errorf("list pours: %w", err)
	}
	meant := slices.DeleteFunc(slices.Clone(all), func(p shop.Pour) bool { return !open(p, c.At) })
	none := "no pour of yours is running"
	if typed != "" {
		if meant = poursNamed(meant, typed); len(meant) == 0 {
			meant = poursNamed(all, typed)
		}
		none = fmt.Sprintf("no pour of yours is called %q", typed)
	}
	if typed == "" && len(meant) == 0 {
		if err := foundReady(all, option, c.At); err != nil {
			return shop.Pour{}, err
		}
	}
	p, err := onePour(meant, option, none)
	if err != nil {
		return p, err
	}
	return pinned(c, option)(from.Pour(ctx, c.By, p.ID)) // with its log
}

// pinned keeps the pour's number in the buttons of the reply.
func pinned(c *chat.Call, option string) func(shop.Pour, error) (shop.Pour, error) {
	return func(p shop.Pour, err error) (shop.Pour, error) {
		if err == nil {
			c.Pin(option, chat.Ref(p.ID, 0))
		}
		return p, err
	}
}

func poursNamed(all []shop.Pour, typed string) (found []shop.Pour) {
	for _, p := range all {
		name := chat.Fold(typed)
		if chat.Fold(p.Material) == name || slices.ContainsFunc(p.InMolds(), func(f shop.Fill) bool { return chat.Fold(f.Name) == name }) {
			found = append(found, p)
		}
	}
	return found
}

// foundReady refuses in the words of a pour that still is in its mold, but was
// found ready: that none is running would be no answer to a second thought.
func foundReady(all []shop.Pour, option string, now time.Time) error {
	i := slices.IndexFunc(all, func(p shop.Pour) bool { return OpenPour(p, now) })
	if i < 0 { // one of long ago is not taken for the one that is meant, but told
		i = slices.IndexFunc(all, func(p shop.Pour) bool { return p.State == shop.PourReady })
	}
	if i < 0 {
		return nil
	}
	if !OpenPour(all[i], now) {
		return fault.New(fault.UnknownPour, "no pour of yours is running; %s %s was found ready more than a day ago", chat.Ref(all[i].ID, 0), PourName(all[i])).In(option).
			Hint("name it if you mean that one: %s:%s", option, chat.Ref(all[i].ID, 0))
	}
	return fault.New(fault.UnknownPour, "no pour of yours is running; %s %s was found ready", chat.Ref(all[i].ID, 0), PourName(all[i])).In(option).
		Hint("/pour undo takes that back within ten minutes; /pour done says that it is out")
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
		numbers = append(numbers, chat.Ref(p.ID, 0)+" "+PourName(p))
		if i < offered {
			f.Offer(fault.Choice{Value: chat.Ref(p.ID, 0), Label: chat.Ref(p.ID, 0) + " " + PourName(p)})
		}
	}
	return shop.Pour{}, f.Hint("say which by its number, such as %s:%s: %s", option, chat.Ref(meant[0].ID, 0), strings.Join(numbers[:min(len(numbers), 2*offered)], "; "))
}

// PourName tells a pour from others, "demo rigid white, harbor pawn", "demo
// rigid white, harbor pawn and 2 more".
func PourName(p shop.Pour) string {
	switch {
	case len(p.Fills) == 2:
		return fmt.Sprintf("%s, %s and %s", p.Material, p.Fills[0].Name, p.Fills[1].Name)
	case len(p.Fills) > 2:
		return fmt.Sprintf("%s, %s and %d more", p.Material, p.Mold, len(p.Fills)-1)
	case p.Mold != "":
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
			label := fmt.Sprintf("%s %s, %s", chat.Ref(p.ID, 0), PourName(p), p.Started.In(c.By.Zone()).Format("Mon 15:04"))
			if typed == "" || strings.Contains(chat.Fold(label), chat.Fold(typed)) {
				out = append(out, chat.Choice{Value: chat.Ref(p.ID, 0), Label: label})
			}
		}
		return out, nil
	}
}
