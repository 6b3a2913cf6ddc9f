package commands

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/color"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/working"
)

// This file answers /tint match.

// match searches the doses for a color.
func (t tintCommand) match(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := t.library.Material(ctx, c, "base", library.Offer)
	if err != nil {
		return nil, err
	}
	want := color.Want{Wall: wallOf(c), MaxLoad: c.Value("max_load", m.MaxTint)}
	if c.Has("max_load") {
		if err := color.CheckDose("max_load", want.MaxLoad); err != nil {
			return nil, err
		}
	}
	var notes []string
	if want.Base, notes, err = t.library.Base(m, "base"); err != nil {
		return nil, err
	}
	if want.Target, want.TargetQuality, err = t.target(ctx, c); err != nil {
		return nil, err
	}
	if err := needMass(c, false); err != nil {
		return nil, err
	}
	palette, err := t.library.Palette(ctx, c, "palette", m)
	if err != nil {
		return nil, err
	}
	for _, p := range palette {
		tint, err := t.library.Color(p, "palette")
		if err != nil {
			return nil, err
		}
		want.Palette = append(want.Palette, tint)
	}
	found, err := color.Find(want, c.Done)
	if err != nil {
		return nil, stopped(err)
	}
	r, err := t.matched(c, m, palette, want, found, notes)
	return r, stopped(err)
}

// stopped tells a search that was given up from one that failed.
func stopped(err error) error {
	if errors.Is(err, color.ErrStopped) {
		return context.DeadlineExceeded
	}
	return err
}

// target reads a color code, or takes the swatch of a tint.
func (t tintCommand) target(ctx context.Context, c *chat.Call) (color.Reading, color.Quality, error) {
	code, err := color.ParseHex(c.Text("target"))
	if err == nil {
		// A code that is typed is what is wanted: it has no error of its own.
		return color.Hex(code), color.Instrument, nil
	}
	kept, unknown := t.library.Tint(ctx, c, "target", library.Offer)
	if unknown != nil {
		f := fault.As(unknown)
		if f == nil || len(f.Choices()) > 0 || f.Code != fault.UnknownTint {
			return color.Reading{}, "", unknown
		}
		return color.Reading{}, "", fault.New(fault.BadColor, "%q is neither a color code nor a tint on your shelf", c.Text("target")).In("target").
			Hint("give six digits 0-9 and A-F for red, green and blue, such as #C9837F, or the name of a tint")
	}
	if code, err = color.ParseHex(kept.Swatch); err != nil {
		return color.Reading{}, "", fault.New(fault.BadColor, "%s has no swatch color to aim at", kept.Name).In("target").Hint("give a color code such as #C9837F")
	}
	return color.Hex(code), color.Quality(kept.Quality), nil
}

// matched turns what was found into amounts, and looks at what the scale makes
// of them.
func (t tintCommand) matched(c *chat.Call, m shop.Material, palette []shop.Tint, want color.Want, found color.Match, notes []string) (*chat.Reply, error) {
	asks, doses := library.Asks(palette, want.Palette, found.Best)
	stir, more, err := stirred(c, m, asks, doses)
	if err != nil {
		return nil, err
	}
	notes = append(notes, more...)
	recipe, more, err := t.library.Mix(m, asks, got(stir, doses), want.Wall, "base", "palette")
	if err != nil {
		return nil, err
	}
	recipe.MaxLoad = want.MaxLoad
	p, err := color.Predict(recipe)
	if err != nil {
		return nil, err
	}
	off := color.Difference(want.Target.Lab(), p.Lab)
	reachable := found.Verdict != color.Unreachable
	r := &chat.Reply{Title: matchTitle(asks, doses, p, found, off)}
	looks := library.LookFacts(p, found.Floor)
	r.Facts = append(looks[:1:1],
		chat.Fact{Key: "delta_e", Label: "Off the wanted color", Value: off, Unit: "1",
			Text: fmt.Sprintf("ΔE %.1f: %s", off, matchText(found, off))}.Between(max(off-found.Floor, 0), off+found.Floor),
		chat.Fact{Key: "reachable", Label: "Reachable", Value: reachable, Text: map[bool]string{true: "yes", false: "no"}[reachable]})
	r.Facts = append(append(r.Facts, doseFacts(c, m, asks, doses, stir)...), looks[1])
	r.Notes = append(append(notes, more...), library.LookNotes(p, found.Floor, recipe, c.By.System())...)
	also, err := others(c, palette, want, found)
	if err != nil {
		return nil, err
	}
	r.Notes = append(r.Notes, also...)
	if want.MaxLoad > library.Limit(m) {
		r.Notes = append([]string{fmt.Sprintf("%s of tint is more than the %s that %s takes: it can stay soft.", quantity.Percent(want.MaxLoad), quantity.Percent(library.Limit(m)), m.Name)}, r.Notes...)
	}
	r.Working = append(library.LookSteps(recipe, p), working.Step{What: "difference", Formula: "ΔE00", Source: "ISO/CIE 11664-6; Sharma, Wu and Dalal 2005, DOI 10.1002/col.20070",
		Value: fmt.Sprintf("%s against %s: %.2f", p.Code, want.Target.Code(), off)})
	target := want.Target.Code()
	if err := pictures(r, recipe, doses, p, &target); err != nil {
		return nil, err
	}
	return t.finish(c, m, asks, doses, stir, r), nil
}

func matchTitle(asks []library.TintAsk, doses []float64, p color.Prediction, found color.Match, off float64) string {
	with := library.Recipe(asks, doses)
	if len(asks) == 0 {
		with = "no tint at all"
	}
	switch {
	case found.Why != nil:
		return fmt.Sprintf("Not reachable: the closest is %s, because %s", p.Code, found.Why.Text())
	case off <= 2:
		return fmt.Sprintf("Use %s: about %s, a match", with, p.Code)
	}
	return fmt.Sprintf("Use %s: about %s, close but a visible difference", with, p.Code)
}

func matchText(found color.Match, off float64) string {
	switch {
	case found.Why != nil:
		return "not reachable, " + found.Why.Left()
	case color.Judge(off) == color.Matches && found.OnPaper:
		return "a match on paper"
	case color.Judge(off) == color.Matches:
		return "a match"
	}
	return "close, seen side by side"
}

// others lists the next best sets of tints that come close, and the best one
// with fewer tints where that still does: less to weigh. A set that only adds
// to the best one is none: nobody sees what it is better by.
func others(c *chat.Call, palette []shop.Tint, want color.Want, found color.Match) ([]string, error) {
	write := func(b color.Blend) (text string, tints int) {
		asks, doses := library.Asks(palette, want.Palette, b)
		return fmt.Sprintf("%s (%s, ΔE %.1f)", library.Recipe(asks, doses), b.Code, b.Difference), len(asks)
	}
	best, most := write(found.Best)
	var notes, also []string
	for _, b := range found.Ranked {
		if b.Verdict() == color.Unreachable || adds(b, found.Best) {
			continue
		}
		if text, n := write(b); n > 0 && len(also) < 2 && text != best {
			also = append(also, text)
		}
	}
	if len(also) > 0 {
		notes = append(notes, "Also near: "+strings.Join(also, "; ")+".")
	}
	if most < 2 {
		return notes, nil
	}
	few := want
	few.Palette = nil
	for _, d := range found.Best.Doses {
		few.Palette = append(few.Palette, d.Tint)
	}
	smaller, err := color.Find(few, c.Done)
	if err != nil {
		return nil, err
	}
	for _, b := range smaller.Ranked {
		text, n := write(b)
		if n > 0 && n < most && b.Verdict() != color.Unreachable && !slices.Contains(also, text) {
			return append(notes, "With less to weigh: "+text+"."), nil
		}
	}
	return notes, nil
}

// adds reports whether a blend holds every tint of another, and more.
func adds(b, to color.Blend) bool {
	holds := func(t *color.Tint) bool {
		return slices.ContainsFunc(b.Doses, func(d color.Dose) bool { return d.Tint == t })
	}
	for _, d := range to.Doses {
		if !holds(d.Tint) {
			return false
		}
	}
	return len(b.Doses) > len(to.Doses)
}
