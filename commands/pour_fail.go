package commands

import (
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

// fail ends a pour that never set.
func (p pourCommand) fail(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	pour, err := library.Pour(ctx, c, p.Pours, "pour", library.OpenPour)
	if err != nil {
		return nil, err
	}
	if pour, err = p.PourLog.EndPour(ctx, c.Stamp(), pour.ID, shop.PourEnd{State: shop.PourFailed, Why: c.Text("why")}); err != nil {
		return nil, fmt.Errorf("give a pour up: %w", err)
	}
	family, err := p.familyOf(ctx, c, pour)
	if err != nil {
		return nil, err
	}
	r := &chat.Reply{
		Title: fmt.Sprintf("Failed: %s, poured at %s, never set", library.PourName(pour), clock(c, pour.Started)),
		Facts: cardFacts(c, pour, library.PhaseOf(pour, c.At)),
		Steps: failedSteps(family),
		Notes: append(failedNotes(c, pour, family), "No pull is counted, no call comes for it any more, and nothing found at it narrows a forecast."),
		Live:  p.card(c, pour).Live,
	}
	// The liquid is still there to be touched, scraped and thrown away.
	r.Cautions = chat.Cautions(caution.For(caution.Situation{Family: family, Leftovers: true}))
	r.Actions = append(r.Actions, wentWrong(pour, neverSet(family)))
	r.Actions = append(r.Actions, chat.Action{Label: "Undo", Line: pourLine("undo", pour, nil)})
	return r, nil
}

// neverSet is the symptom of a pour that never set.
func neverSet(family material.Family) string {
	if family.Silicone() {
		return "silicone wet everywhere"
	}
	return "soft all over"
}

// familyOf is the family of a pour's material, "" once that is gone.
func (p pourCommand) familyOf(ctx context.Context, c *chat.Call, pour shop.Pour) (material.Family, error) {
	if pour.MaterialID == 0 {
		return "", nil
	}
	m, err := p.Materials.Material(ctx, c.By, pour.MaterialID, pour.MaterialVersion)
	if fault.As(err) != nil {
		return "", nil
	}
	if err != nil {
		return "", fmt.Errorf("fetch the material of a pour: %w", err)
	}
	return m.Family, nil
}

// failedNotes are the usual reasons, the likeliest first: common practice, no
// source.
func failedNotes(c *chat.Call, pour shop.Pour, family material.Family) []string {
	notes := []string{"Soft all over: A and B off their ratio, if what set in the cup is soft as well. Weigh what is left in the jugs against what you meant to take; /ratio check says how far off."}
	if pour.Room < coolRoom {
		notes = append(notes, fmt.Sprintf("The room was %s: below 18 °C many mixes hardly set, and harden when they are warmed.", quantity.Text(pour.Room, quantity.Temp, c.By.System())))
	} else {
		notes = append(notes, "A cold room, mold or jug: it then hardens when it is warmed. Or a jug past its date: a trial cup of it stays soft too.")
	}
	switch {
	case family == material.SiliconeAddition:
		notes = append(notes, "Wet only where it touched something: inhibition, by a fresh print, sulfur clay, latex or condensation rubber. The same mix hard in the cup proves it.")
	case family.Silicone():
		notes = append(notes, "Wet everywhere: the catalyst was forgotten, old or short.")
	default:
		notes = append(notes, "Wet in streaks or spots: unmixed liquid scraped in last, or too short a stir.")
	}
	return notes
}

// coolRoom is °C below which many mixes hardly set: common practice, no source.
const coolRoom = 18

// failedSteps are what to do now.
func failedSteps(family material.Family) []string {
	wait := "Keep it at 25 to 30 °C for a day, moved as little as can be: what was cold or slow hardens then."
	if family.Silicone() {
		wait = "Leave it for a day in a warm room: what was slow sets then."
	}
	return []string{
		wait,
		"Still soft: gloves on, scrape it out, wipe the mold clean and dry; see the data sheets of material and mold before you use a solvent.",
		"What is liquid is no household waste, and nothing of it goes down the drain.",
	}
}

func (p pourCommand) cancel(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	pour, err := library.Pour(ctx, c, p.Pours, "pour", library.RunningPour)
	if err != nil {
		return nil, err
	}
	had, before := len(pour.Answers), pour.State
	was, err := p.Stock.Containers(ctx, c.By)
	if err != nil {
		return nil, fmt.Errorf("list containers: %w", err)
	}
	if pour, err = p.PourLog.EndPour(ctx, c.Stamp(), pour.ID, shop.PourEnd{State: shop.PourCanceled}); err != nil {
		return nil, fmt.Errorf("cancel a pour: %w", err)
	}
	r := &chat.Reply{
		Title:   "Canceled: " + library.PourName(pour) + ", poured at " + clock(c, pour.Started),
		Actions: []chat.Action{{Label: "Undo", Line: pourLine("undo", pour, nil)}},
		Live:    p.card(c, pour).Live,
	}
	if had > 0 {
		r.Notes = append(r.Notes, "What was found at it does not count any more.")
	}
	notes, err := p.givenBack(ctx, c, was, before)
	if err != nil {
		return nil, err
	}
	r.Notes = append(r.Notes, notes...)
	if before == shop.PourDone && pour.Mold != "" {
		r.Notes = append(r.Notes, "The pulls that were counted stay: /mold edit with pulls sets a count right.")
	}
	return r, nil
}
