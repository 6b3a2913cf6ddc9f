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

// DuesLooked is more than a member has: those to come, and the missed ones,
// which stand before them.
const DuesLooked = 500

// Due finds the reminder that the option names: by its number, or by what it is
// about. Errors: not_found; ambiguous_name with each to choose from.
func Due(ctx context.Context, c *chat.Call, from shop.Dues, option string) (shop.Due, error) {
	typed := c.Text(option)
	if id, _, ok := chat.ReadRef(typed); ok {
		return from.Due(ctx, c.By, id)
	}
	if id, err := strconv.ParseInt(typed, 10, 64); err == nil {
		return from.Due(ctx, c.By, id)
	}
	all, err := from.Dues(ctx, c.By, DuesLooked)
	if err != nil {
		return shop.Due{}, fmt.Errorf("list dues: %w", err)
	}
	var meant []shop.Due
	for _, d := range all {
		switch about := chat.Fold(d.About); {
		case about == chat.Fold(typed):
			return d, nil
		case strings.Contains(about, chat.Fold(typed)):
			meant = append(meant, d)
		}
	}
	switch len(meant) {
	case 0:
		return shop.Due{}, fault.New(fault.NotFound, "no reminder of yours is about %q", fault.Echo(typed)).In(option).Hint("/due list shows yours, with their numbers")
	case 1:
		return meant[0], nil
	}
	f := fault.New(fault.AmbiguousName, "%d of your reminders are about %q", len(meant), fault.Echo(typed)).In(option).
		Hint("say which by its number, such as %s:%s", option, chat.Ref(meant[0].ID, 0))
	for _, d := range meant[:min(len(meant), 5)] {
		f.Offer(fault.Choice{Value: chat.Ref(d.ID, 0), Label: chat.Ref(d.ID, 0) + " " + fault.Echo(d.About)})
	}
	return shop.Due{}, f
}

// SuggestDue completes a reminder's number.
func SuggestDue(from shop.Dues) chat.Suggest {
	return func(ctx context.Context, c *chat.Call, typed string) ([]chat.Choice, error) {
		const most = 25
		all, err := from.Dues(ctx, c.By, DuesLooked)
		if err != nil {
			return nil, fmt.Errorf("list dues: %w", err)
		}
		var out []chat.Choice
		for _, d := range all {
			label := fmt.Sprintf("%s %s, %s", chat.Ref(d.ID, 0), d.About, d.At.In(c.By.Zone()).Format("Mon 2 Jan 15:04"))
			if len(out) < most && (typed == "" || strings.Contains(chat.Fold(label), chat.Fold(typed))) {
				out = append(out, chat.Choice{Value: chat.Ref(d.ID, 0), Label: label})
			}
		}
		return out, nil
	}
}
