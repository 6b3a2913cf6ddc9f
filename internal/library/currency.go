package library

import (
	"context"
	"slices"
	"strings"
	"sync"

	"golang.org/x/text/currency"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

// currencies lists the codes that are money somewhere today.
var currencies = sync.OnceValue(func() []string {
	var codes []string
	for it := currency.Query(); it.Next(); {
		codes = append(codes, it.Unit().String())
	}
	slices.Sort(codes)
	return slices.Compact(codes)
})

// Currency gives the ISO 4217 code that a member typed, whatever its case.
// Errors: not_found.
func Currency(typed string) (string, error) {
	typed = strings.TrimSpace(typed)
	if unit, err := currency.ParseISO(typed); err == nil {
		return unit.String(), nil
	}
	f := fault.New(fault.NotFound, "%q is no currency code", fault.Echo(typed)).
		Hint("give the three letters of ISO 4217, such as GBP, EUR or USD")
	if near := chat.Nearest(typed, currencies()); len(near) > 0 {
		f.Hint("did you mean %s? The codes are those of ISO 4217, such as GBP, EUR or USD", near[0]).Choose(near...)
	}
	return "", f
}

// SuggestCurrency completes a currency's code.
func SuggestCurrency(_ context.Context, _ *chat.Call, typed string) ([]chat.Choice, error) {
	if strings.TrimSpace(typed) == "" {
		return chat.Narrow("", []string{"EUR", "GBP", "USD", "CAD", "AUD"}), nil
	}
	return chat.Narrow(typed, currencies()), nil
}
