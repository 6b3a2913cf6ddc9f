package commands

import (
	"context"
	"fmt"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/color"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/plot"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// This file holds what /tint does with the shelf; tint.go declares the command
// and answers with colors and amounts.

// addSub declares /tint add.
func (t tintCommand) addSub(base chat.Option) chat.Sub {
	base.Help = "the material that the swatch was cast in"
	return chat.Sub{
		Name: "add", Help: "save a tint from a cured swatch", Writes: true, Run: t.add,
		Forms: []chat.Form{{Title: "A tint from its swatch", Options: []string{"name", "base", "dose", "swatch", "quality"}}},
		Options: []chat.Option{
			{Name: "name", Help: "what you call it, and its family after a comma", Like: "brick red, colored", Required: true, Length: 80, Spread: []string{"family"}},
			{Name: "family", Help: "what it does with light; colored for most", Like: "colored", Required: true, Suggest: suggestTintFamily},
			base,
			{Name: "dose", Help: "tint in the swatch, share of the whole mix", Like: "0.5%", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Number}, Percent: true},
			{Name: "swatch", Help: "color code of the cured swatch, read in daylight", Like: "#C9837F"},
			{Name: "quality", Help: "how the color was read", Kind: chat.OneWord, Choices: []chat.Choice{
				{Value: "instrument", Label: "instrument: measured"}, {Value: "careful", Label: "careful: in daylight beside a gray card"},
				{Value: "phone", Label: "phone: a photo"}, {Value: "poor", Label: "poor: poor or colored light"}}},
			{Name: "wall", Help: "thickness of the swatch on white, if light passes it", Like: "6 mm", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Length}, Min: 0.05, Max: 500},
			{Name: "photo", Help: "a photo of the swatch beside a gray or white card, in place of a code", Kind: chat.Attachment},
			{Name: "swatch_at", Help: "where the swatch is in the photo, from the left and the top", Like: "40 %, 60 %"},
			{Name: "card_at", Help: "where the card is, and which: gray or white", Like: "gray 70 %, 60 %"},
		},
	}
}

func suggestTintFamily(_ context.Context, _ *chat.Call, typed string) ([]chat.Choice, error) {
	var names []string
	for _, f := range color.Families() {
		names = append(names, string(f))
	}
	return chat.Narrow(typed, names), nil
}

// add keeps a tint.
func (t tintCommand) add(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := t.library.Material(ctx, c, "base", library.Offer)
	if err != nil {
		return nil, err
	}
	family, err := color.ParseFamily(c.Text("family"))
	if err != nil {
		return nil, err
	}
	p := shop.TintProfile{
		Name: c.Text("name"), Family: string(family), Base: m.ID, BaseVersion: m.Version, BaseName: m.Name, BaseColor: m.CuredColor,
		Dose: c.Value("dose", 0), Quality: c.Text("quality"), Wall: c.Value("wall", 0),
	}
	if err := library.Miscible(shop.Tint{TintProfile: p}, m, "name"); err != nil {
		return nil, err
	}
	notes, err := t.read(c, &p, family)
	if err != nil {
		return nil, err
	}
	if family.Refuse() == nil && needsBase(family) {
		if _, _, err := t.library.Base(m, "base"); err != nil {
			return nil, err
		}
	}
	if err := t.library.CheckTint(p); err != nil {
		return nil, err
	}
	kept, err := t.Tints.AddTint(ctx, c.Stamp(), p, false)
	if err != nil {
		return nil, fmt.Errorf("add a tint: %w", err)
	}
	r, err := t.card(ctx, c, kept)
	if err != nil {
		return nil, err
	}
	r.Title = fmt.Sprintf("Saved %q", kept.Name)
	for i, n := range notes {
		notes[i] = library.Sentence(n)
	}
	r.Notes = append(notes, r.Notes...)
	r.Actions = append(r.Actions, t.sharing.Offer(kept.Record)...)
	return r, nil
}

// needsBase is true where a color is worked out against the base's own.
func needsBase(f color.Family) bool { return f == color.Colored || f == color.NeatOnly }

// read takes the swatch from a code or a photo. What a family can't be known
// without is asked for.
func (t tintCommand) read(c *chat.Call, p *shop.TintProfile, family color.Family) (notes []string, err error) {
	switch {
	case c.Has("swatch") && c.Has("photo"):
		return nil, fault.New(fault.TooManyOptions, "swatch and photo are given together, only one can count").In("photo").Hint("keep the code, or the photo with swatch_at and card_at")
	case c.Has("photo"):
		photo, err := t.library.SwatchPhoto(c, "photo", "swatch_at", "card_at")
		if err != nil {
			return nil, err
		}
		p.Swatch = photo.Code.String()
		if p.Quality != string(color.Poor) {
			p.Quality = string(photo.Quality)
		}
		notes = append([]string{fmt.Sprintf("%s was read off the photo and is kept as a reading of quality %q, not as a measurement", p.Swatch, p.Quality)}, photo.Notes...)
	case c.Has("swatch_at") || c.Has("card_at"):
		return nil, fault.New(fault.MissingOption, "there is no photo for that place to be in").In("photo").Hint("attach the photo, or give swatch:#C9837F")
	case c.Has("swatch"):
		code, err := color.ParseHex(c.Text("swatch"))
		if f := fault.As(err); f != nil {
			return nil, f.In("swatch")
		}
		p.Swatch = code.String()
		if p.Quality == "" {
			_, err := color.ParseQuality("")
			return nil, err
		}
	}
	computed := family.Refuse() == nil && family != color.White
	if computed && p.Swatch == "" {
		return nil, fault.New(fault.MissingOption, "swatch is missing: the color of the cured swatch").In("swatch").Hint("read it off the cured swatch, such as swatch:#C9837F, or attach a photo")
	}
	if p.Dose == 0 && (computed && family != color.NeatOnly || family == color.White && p.Swatch != "") {
		return nil, fault.New(fault.MissingOption, "dose is missing: the tint in the swatch").In("dose").Hint("give its share of the whole mix, such as dose:0.5%%")
	}
	if p.Dose != 0 {
		return notes, color.CheckDose("dose", p.Dose)
	}
	return notes, nil
}

// drops keeps what twenty drops weigh, as a new version.
func (t tintCommand) drops(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	kept, err := t.library.Tint(ctx, c, "tint", library.Offer)
	if err != nil {
		return nil, err
	}
	weight := c.Value("weight_of_20", 0)
	drop, err := color.DropMass(weight)
	if err != nil {
		return nil, err
	}
	p := kept.TintProfile
	p.WeightOf20 = weight
	now, err := t.Tints.EditTint(ctx, c.Stamp(), kept.ID, kept.Version, p)
	if err != nil {
		return nil, fmt.Errorf("keep the weight of a drop: %w", err)
	}
	return &chat.Reply{
		Title: fmt.Sprintf("A drop of %s weighs %s", now.Name, dropMass(drop)),
		Facts: []chat.Fact{{Key: "drop", Label: "One drop", Value: drop, Unit: "g", Text: dropMass(drop)},
			chat.Num("weight_of_20", "Twenty drops", weight, quantity.Mass, c.By.System())},
		Notes: []string{
			"It holds for this tint and this dropper. Drops vary by 10 to 20 % with the tip, the angle and the warmth (common practice): hold it upright, and weigh twenty again with each new bottle.",
			fmt.Sprintf("Kept as version %d.", now.Version),
		},
	}, nil
}

func dropMass(g float64) string { return fmt.Sprintf("%.3g g", g) }

// baseHere reports whether the member sees the material that a swatch was cast
// in: who adopted the tint elsewhere may not.
func (t tintCommand) baseHere(ctx context.Context, c *chat.Call, kept shop.Tint) bool {
	if kept.Base == 0 {
		return false
	}
	_, err := t.Materials.Material(ctx, c.By, kept.Base, 0)
	return err == nil
}

// card shows what is known of a tint, with its swatch beside its base.
func (t tintCommand) card(ctx context.Context, c *chat.Call, kept shop.Tint) (*chat.Reply, error) {
	r := &chat.Reply{Title: kept.Name + ", " + kept.Family}
	word := func(key, label, text string) {
		if text != "" {
			r.Facts = append(r.Facts, chat.Fact{Key: key, Label: label, Value: text, Text: text})
		}
	}
	word("family", "Family", kept.Family)
	word("swatch", "Cured swatch", kept.Swatch)
	word("base", "Cast in", kept.BaseName)
	if kept.Dose > 0 {
		r.Facts = append(r.Facts, chat.Share("dose", "Tint in the swatch", kept.Dose))
	}
	if kept.Wall > 0 {
		r.Facts = append(r.Facts, chat.Num("wall", "Swatch thickness, on white", kept.Wall, quantity.Length, c.By.System()))
	}
	word("quality", "Read", kept.Quality)
	// What is worked out may be less sure than the reading: a masstone's
	// strength is a guess however well its color was read.
	if known, err := t.library.Color(kept, "tint"); err == nil {
		f := color.Floor(known.Quality)
		r.Facts = append(r.Facts, chat.Fact{Key: "floor", Label: "How sure", Value: f, Unit: "1", Text: fmt.Sprintf("ΔE ±%.2g: about two in three parts come that near", f)})
		for _, n := range known.Notes {
			r.Notes = append(r.Notes, library.Sentence(n))
		}
	}
	if drop := library.Drop(kept); drop > 0 {
		r.Facts = append(r.Facts, chat.Fact{Key: "drop", Label: "One drop", Value: drop, Unit: "g", Text: dropMass(drop)})
	} else {
		r.Notes = append(r.Notes, "A drop was not weighed yet: /tint drops takes the weight of twenty.")
	}
	if err := color.Family(kept.Family).Refuse(); err != nil {
		f := fault.As(err)
		r.Notes = append(r.Notes, library.Sentence(f.Message)+" It can be weighed with /tint dose; "+f.HintText()+".")
	}
	r.Notes = append(r.Notes, fmt.Sprintf("Version %d, %s.", kept.Version, library.Standing(c, kept.Record)))
	if err := swatchPicture(r, kept); err != nil {
		return nil, err
	}
	if color.Family(kept.Family).Refuse() == nil && t.baseHere(ctx, c, kept) {
		options := map[string]string{"base": chat.Ref(kept.Base, 0), "tints": chat.Ref(kept.ID, 0) + " 0.5%"}
		if kept.Wall > 0 {
			options["wall"] = fmt.Sprintf("%g mm", kept.Wall)
		}
		r.Actions = append(r.Actions, chat.Action{Label: "Look at 0.5 %", Line: chat.FormatLine("tint look", options, []string{"base"})})
	}
	return r, nil
}

// swatchPicture shows the swatch beside the base it was cast in.
func swatchPicture(r *chat.Reply, kept shop.Tint) error {
	code, err := color.ParseHex(kept.Swatch)
	if err != nil {
		return nil // none was read: there is nothing to show
	}
	var w plot.Swatches
	if base, err := color.ParseHex(kept.BaseColor); err == nil {
		w.List = append(w.List, swatch("base", base))
	}
	label := "swatch"
	if kept.Dose > 0 {
		label += ", " + quantity.Percent(kept.Dose)
	}
	w.List = append(w.List, swatch(label, code))
	return picture(r, "swatch.png", w)
}

func (t tintCommand) show(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	kept, err := t.library.Tint(ctx, c, "tint", library.Offer)
	if err != nil {
		return nil, err
	}
	r, err := t.card(ctx, c, kept)
	if err != nil {
		return nil, err
	}
	return r, t.sharing.Tell(ctx, c, r, kept.Record)
}

func (t tintCommand) list(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	all, err := t.Tints.Tints(ctx, c.By)
	if err != nil {
		return nil, fmt.Errorf("list tints: %w", err)
	}
	r := &chat.Reply{Title: fmt.Sprintf("%d tints on your shelf", len(all))}
	switch len(all) {
	case 0:
		r.Title = "No tints on your shelf"
		r.Notes = append(r.Notes, "/tint add saves one from a cured swatch.")
	case 1:
		r.Title = "1 tint on your shelf"
	}
	for _, kept := range all {
		r.Facts = append(r.Facts, chat.Fact{Key: "tint", Label: kept.Name, Value: kept.Name, Text: listed(c, kept)})
		if len(r.Actions) < 5 {
			r.Actions = append(r.Actions, chat.Action{Label: kept.Name, Line: chat.FormatLine("tint show",
				map[string]string{"tint": chat.Ref(kept.ID, 0)}, nil)})
		}
	}
	return r, t.sharing.TellList(ctx, c, r)
}

// listed is a tint on one line.
func listed(c *chat.Call, kept shop.Tint) string {
	parts := []string{kept.Family}
	if kept.Swatch != "" {
		parts = append(parts, kept.Swatch)
	}
	if kept.Dose > 0 {
		parts = append(parts, fmt.Sprintf("at %s in %s", quantity.Percent(kept.Dose), kept.BaseName))
	}
	if kept.Quality != "" {
		parts = append(parts, kept.Quality)
	}
	return strings.Join(append(parts, library.Badges(c, kept.Record)...), ", ")
}

func (t tintCommand) history(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	kept, err := t.library.Tint(ctx, c, "tint", library.Offer)
	if err != nil {
		return nil, err
	}
	versions, err := t.Tints.TintHistory(ctx, c.By, kept.ID)
	if err != nil {
		return nil, fmt.Errorf("list a tint's versions: %w", err)
	}
	return library.History(c, "tint", kept.Name, kept.ID, versions), nil
}

func (t tintCommand) remove(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	kept, err := t.library.Tint(ctx, c, "tint", library.Offer)
	if err != nil {
		return nil, err
	}
	if !c.Yes("sure", false) {
		return library.AskRemove(c, "tint", "tint", kept.Name, kept.Record, library.LeavesShelf)
	}
	if err := t.Tints.RemoveTint(ctx, c.Stamp(), kept.ID); err != nil {
		return nil, fmt.Errorf("remove a tint: %w", err)
	}
	return &chat.Reply{Title: fmt.Sprintf("Removed %q", kept.Name), Notes: []string{library.VersionsStay}}, nil
}
