package commands

import (
	"context"
	"fmt"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

func (m materialCommand) find(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	found, err := library.Find(ctx, c, m.Search)
	if err != nil {
		return nil, err
	}
	r := &chat.Reply{Title: howMany(found.All) + ": " + found.For}
	for _, kept := range found.Materials {
		r.Facts = append(r.Facts, hit(c, kept, foundLine(c, kept, found.Asked)))
		if len(r.Actions) < 5 {
			r.Actions = append(r.Actions, showAction(kept))
		}
	}
	r.Facts = append(r.Facts, chat.Whole("found", "Found", found.All, fmt.Sprintf("%d", found.All)))
	r.Notes = append(r.Notes, m.searched(c, found)...)
	if len(found.Materials) > 1 {
		first := found.Materials[:min(len(found.Materials), library.ComparedMost)]
		r.Actions = append(r.Actions, compareAction(first, fmt.Sprintf("Compare the first %d", len(first))))
	}
	return r, nil
}

// foundLine is a material in one line, with the figures that were asked for and
// are not in every line.
func foundLine(c *chat.Call, kept shop.Material, asked []string) string {
	line := shelfLine(c, kept)
	for _, figure := range asked {
		switch perGram, priced := kept.PricePerGram(); {
		case figure == "demold":
			line += ", demold " + library.Typed(kept.Profile, c.By.System())["demold"]
		case strings.HasPrefix(figure, "cost") && priced:
			line += fmt.Sprintf(", %s a kilogram", strings.TrimSpace(fmt.Sprintf("%.2f %s", 1000*perGram, c.By.Shop.Set.Currency)))
		}
	}
	return line
}

// searched tells where was looked, in what order it is shown, and what is not.
func (m materialCommand) searched(c *chat.Call, found library.Found) []string {
	sorted := "the best fit first"
	if found.Sorted != shop.SortName {
		sorted = "sorted by " + string(found.Sorted)
	}
	notes := []string{fmt.Sprintf("Looked through your own materials and what this shop shares; %s.", sorted)}
	if more := found.All - len(found.Materials); more > 0 {
		notes = append(notes, fmt.Sprintf("%d more fit. Narrow it down: family, hardness, pot_life, demold and cost can be given together.", more))
	}
	if found.Silent > 0 {
		notes = append(notes, fmt.Sprintf("Left out, for not saying their %s: %s that may fit.", strings.Join(found.Asked, " and "), strings.ToLower(howMany(found.Silent))))
	}
	if found.All == 0 {
		notes = append(notes, "/material list shows what there is, /material add saves one from its bulletin.")
	}
	return notes
}

func (m materialCommand) compareOptions(one chat.Option) []chat.Option {
	return append(library.CompareOptions(one),
		chat.Option{Name: "mold", Help: "a mold to fill, for what each would cost", Like: "harbor pawn", Suggest: m.library.SuggestMold},
		chat.Option{Name: "volume", Help: "or a volume to fill; 100 mL otherwise", Like: "250 ml", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Volume}})
}

func (m materialCommand) compare(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	fill, err := m.fillFor(ctx, c)
	if err != nil {
		return nil, err
	}
	all, err := m.library.Compared(ctx, c)
	if err != nil {
		return nil, err
	}
	table, facts := library.Compare(c, all, fill)
	r := &chat.Reply{Title: strings.Join(table.Things[:len(all)-1], ", ") + " and " + table.Things[len(all)-1] + " side by side", Table: table, Facts: facts}
	var same []string
	for _, row := range table.Rows {
		if !row.Differs {
			same = append(same, row.Label)
		}
	}
	if len(same) > 0 {
		r.Notes = append(r.Notes, "The same for all: "+strings.Join(same, ", ")+".")
	}
	r.Notes = append(r.Notes, library.Unlike(all)...)
	r.Notes = append(r.Notes, "Costs are without waste; /batch adds it. Each bulletin and SDS wins over its profile.")
	for _, kept := range all {
		r.Actions = append(r.Actions, chat.Action{Label: kept.Name, Line: chat.FormatLine("material show",
			map[string]string{"material": chat.Ref(kept.ID, kept.Version)}, nil)})
	}
	return r, nil
}

// fillFor is what the cost of a fill is worked out for.
func (m materialCommand) fillFor(ctx context.Context, c *chat.Call) (library.Fill, error) {
	volume := c.Value("volume", 100)
	fill := library.Fill{Volume: volume, Text: quantity.Text(volume, quantity.Volume, c.By.System())}
	if !c.Has("mold") {
		return fill, nil
	}
	if c.Has("volume") {
		return fill, fault.New(fault.TooManyOptions, "mold and volume are given together, only one can count").In("volume").
			Hint("give the mold, or the volume to fill")
	}
	mold, err := m.library.Mold(ctx, c, "mold", library.Take)
	if err != nil {
		return fill, err
	}
	fill.Volume = mold.Volume * float64(mold.Cavities)
	fill.Text = fmt.Sprintf("one fill of %s, %s", mold.Name, quantity.Text(fill.Volume, quantity.Volume, c.By.System()))
	return fill, nil
}

// compareAction sets materials side by side, as they are now.
func compareAction(all []shop.Material, label string) chat.Action {
	refs := make([]string, len(all))
	for i, kept := range all {
		refs[i] = chat.Ref(kept.ID, 0)
	}
	return chat.Action{Label: label, Line: chat.FormatLine("material compare", map[string]string{"material": strings.Join(refs, ", ")}, nil)}
}
