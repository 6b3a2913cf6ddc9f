package library

import (
	"context"
	"fmt"
	"regexp"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/color"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

func (l *Library) tintKind() kind[shop.Tint] {
	return kind[shop.Tint]{"tint", fault.UnknownTint, l.tints.TintNames, l.tints.Tint}
}

// Tint finds the tint that the option names, and pins its version in the
// buttons of the reply.
func (l *Library) Tint(ctx context.Context, c *chat.Call, option string, use Use) (shop.Tint, error) {
	t, err := find(ctx, c, l.tintKind(), option, use)
	if err == nil {
		c.Pin(option, chat.Ref(t.ID, t.Version))
	}
	return t, err
}

// TintAsk is a tint and how much of it is wanted: one of a share of the whole
// mix, grams or drops, the last two in the whole batch.
type TintAsk struct {
	shop.Tint
	Share, Grams, Drops float64
}

// A tint's name with what is wanted of it, "brick red 0.5 %", "red 7: 2 drops",
// or the other way round, "0.5 % brick red". The name takes all it can.
var (
	amountAtEnd = regexp.MustCompile(`^(.*\S)[\s:=]+([0-9][0-9.,/]*\s*[\p{L}%]*)$`)
	amountFirst = regexp.MustCompile(`^([0-9][0-9.,/]*\s*(?:%|drops?|g|mg))\s+(?:of\s+)?(\S.*)$`)
)

// nameAndAmount takes an item of a list apart.
func nameAndAmount(item string) (name, amount string, ok bool) {
	if m := amountAtEnd.FindStringSubmatch(item); m != nil {
		name = strings.TrimRight(m[1], " :=")
		return name, m[2], name != ""
	}
	if m := amountFirst.FindStringSubmatch(item); m != nil {
		return m[2], m[1], true
	}
	return "", "", false
}

// Tints reads a list of tints with their amounts, "brick red 0.5%, soot black 2
// drops". Errors: unknown_tint with the near names, bad_quantity for an amount
// that is none, too_many_options for a tint named twice or more than a mix
// holds.
func (l *Library) Tints(ctx context.Context, c *chat.Call, option string) ([]TintAsk, error) {
	typed := c.Text(option)
	items := quantity.SplitList(typed)
	if len(items) > color.Most {
		return nil, fault.New(fault.TooManyOptions, "%d tints in one mix are more than %d", len(items), color.Most).In(option).
			Hint("give up to %d tints", color.Most)
	}
	var asks []TintAsk
	var pinned []string
	for _, item := range items {
		name, amount, ok := nameAndAmount(item)
		if !ok {
			return nil, fault.New(fault.BadQuantity, "%q does not say how much of the tint", fault.Echo(item)).In(option).
				Hint(`write each tint with its amount, such as %s:"brick red 0.5%%, soot black 2 drops"`, option)
		}
		ask := TintAsk{}
		if err := ask.amount(c, option, amount); err != nil {
			return nil, err
		}
		var err error
		if ask.Tint, err = ofList(ctx, c, l.tintKind(), option, typed, name); err != nil {
			return nil, err
		}
		for _, other := range asks {
			if other.ID == ask.ID {
				return nil, fault.New(fault.TooManyOptions, "%s is named twice", ask.Name).In(option).Hint("give all of it in one place")
			}
		}
		asks = append(asks, ask)
		pinned = append(pinned, chat.Ref(ask.ID, ask.Version)+" "+amount)
	}
	if len(asks) == 0 {
		return nil, fault.New(fault.MissingOption, "no tint is named").In(option).Hint(`such as %s:"brick red 0.5%%"`, option)
	}
	c.Pin(option, strings.Join(pinned, ", "))
	return asks, nil
}

// ofList finds one thing of a list. Where it is not there the near names are
// offered within the whole list, so that a press changes that one alone.
func ofList[T any](ctx context.Context, c *chat.Call, k kind[T], option, list, name string) (T, error) {
	t, err := meant(ctx, c, k, option, name, Offer)
	f := fault.As(err)
	if f == nil || len(f.Choices()) == 0 {
		return t, err
	}
	in := fault.New(f.Code, "%s", f.Message).In(option).Hint("%s", f.HintText())
	for _, ch := range f.Choices() {
		label := ch.Label
		if label == "" {
			label = ch.Value
		}
		in.Offer(fault.Choice{Value: strings.Replace(list, name, ch.Value, 1), Label: label})
	}
	return t, in
}

// amount reads "0.5 %", "0.6 g" or "2 drops".
func (a *TintAsk) amount(c *chat.Call, option, typed string) error {
	q, notes, err := quantity.Parse(typed, quantity.Want{Option: option, System: c.By.System(), Percent: true, Max: 1,
		Dims: []quantity.Dim{quantity.Number, quantity.Drops, quantity.Mass}})
	if err != nil {
		if f := fault.As(err); f != nil {
			return f.In(option)
		}
		return err
	}
	for _, n := range notes {
		c.Note(n)
	}
	switch q.Dim {
	case quantity.Drops:
		a.Drops = q.Value
	case quantity.Mass:
		a.Grams = q.Value
	default:
		a.Share = q.Value
		return color.CheckDose(option, q.Value)
	}
	return nil
}

// Palette finds the tints that a match may choose from: those named, or all on
// the shelf that the base takes and that can be computed with. Errors:
// unknown_tint; unsupported_colorant for one that is named.
func (l *Library) Palette(ctx context.Context, c *chat.Call, option string, base shop.Material) ([]shop.Tint, error) {
	if !c.Has(option) {
		return l.shelfPalette(ctx, c, base)
	}
	typed := c.Text(option)
	var palette []shop.Tint
	var pinned []string
	for _, name := range quantity.SplitList(typed) {
		t, err := ofList(ctx, c, l.tintKind(), option, typed, name)
		if err != nil {
			return nil, err
		}
		if err := Usable(t, base, option); err != nil {
			return nil, err
		}
		palette = append(palette, t)
		pinned = append(pinned, chat.Ref(t.ID, t.Version))
	}
	c.Pin(option, strings.Join(pinned, ", "))
	return palette, nil
}

func (l *Library) shelfPalette(ctx context.Context, c *chat.Call, base shop.Material) ([]shop.Tint, error) {
	all, err := l.tints.Tints(ctx, c.By)
	if err != nil {
		return nil, fmt.Errorf("list tints: %w", err)
	}
	var palette []shop.Tint
	var left []string
	for _, t := range all {
		if Usable(t, base, "") != nil || len(palette) == color.PaletteMost {
			left = append(left, t.Name)
			continue
		}
		palette = append(palette, t)
	}
	if len(palette) == 0 {
		return nil, fault.New(fault.MissingOption, "there is no tint on your shelf to match with").In("palette").
			Hint("save one from a cured swatch first with /tint add")
	}
	if len(left) > 0 {
		c.Note("Not tried: " + strings.Join(left[:min(len(left), 8)], ", ") + ". Name the tints to choose from with palette.")
	}
	return palette, nil
}

// Usable tells why a tint can't be computed with in a base, in that option, or
// nil. Error: unsupported_colorant.
func Usable(t shop.Tint, base shop.Material, option string) error {
	err := Miscible(t, base, option)
	if err == nil {
		err = color.Family(t.Family).Refuse()
	}
	return inOption(err, option)
}

// Miscible tells why a tint must not go into a base, or nil: water and alcohol
// foam a urethane. Error: unsupported_colorant.
func Miscible(t shop.Tint, base shop.Material, option string) error {
	if !base.Family.Isocyanate() {
		return nil
	}
	return inOption(color.RefuseWatery(t.Name), option)
}

// inOption puts a refusal into the option that the member gave, whatever the
// inner package calls it.
func inOption(err error, option string) error {
	if f := fault.As(err); f != nil && option != "" {
		f.Option = option
	}
	return err
}

// SuggestTint completes a tint's name.
func (l *Library) SuggestTint(ctx context.Context, c *chat.Call, typed string) ([]chat.Choice, error) {
	return suggest(ctx, c, l.tintKind(), typed)
}

// SuggestPalette completes the last name of a list of tints.
func (l *Library) SuggestPalette(ctx context.Context, c *chat.Call, typed string) ([]chat.Choice, error) {
	return suggestLast(ctx, c, l.tintKind(), typed, "")
}

// SuggestTints completes the last name of a list of tints with amounts.
func (l *Library) SuggestTints(ctx context.Context, c *chat.Call, typed string) ([]chat.Choice, error) {
	return suggestLast(ctx, c, l.tintKind(), typed, " 0.5%")
}

// suggestLast completes the last name of a list, each with an amount where one
// goes with it.
func suggestLast[T any](ctx context.Context, c *chat.Call, k kind[T], typed, amount string) ([]chat.Choice, error) {
	before, last := "", typed
	if i := strings.LastIndexByte(typed, ','); i >= 0 {
		before, last = strings.TrimSpace(typed[:i])+", ", strings.TrimSpace(typed[i+1:])
	}
	if name, said, ok := nameAndAmount(last); amount != "" && ok {
		last, amount = name, " "+said
	}
	choices, err := suggest(ctx, c, k, last)
	for i := range choices {
		choices[i].Label = ""
		choices[i].Value = before + choices[i].Value + amount
	}
	return choices, err
}
