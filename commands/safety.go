package commands

import (
	"context"
	"fmt"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/material"
)

func init() { register("safety", newSafety) }

type safetyCommand struct{ deps }

func newSafety(d deps) chat.Command {
	s := safetyCommand{d}
	return chat.Command{
		Name:  "safety",
		Help:  "what can hurt you here, and what to do about it",
		About: "The usual cautions of the trade in full: all of them, those of a material's family, or those of a step. They replace neither the SDS and the bulletin nor local rules and licensed practice.",
		Asks: []chat.Ask{
			{Question: "What must I watch out for with this material?", Line: `/safety material:"demo rigid white"`},
			{Question: "Is sanding a cast dangerous?", Line: `/safety material:"demo rigid white" step:sand`},
		},
		Subs: []chat.Sub{{Public: true, Run: s.run, Options: []chat.Option{
			{Name: "material", Help: "a material, for what its family calls for", Like: "demo rigid white", Suggest: d.library.SuggestMaterial},
			{Name: "step", Help: "what you are about to do", Like: "mix", Kind: chat.OneWord, Choices: library.StepChoices()},
		}}},
	}
}

func (s safetyCommand) run(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	step := library.Step(c.Text("step"))
	about := caution.Situation{Step: step, OldJug: step == caution.Storing || step == caution.Disposing}
	if !c.Has("material") {
		r := s.ofStep(about)
		return r, library.AirHere(c, step, r)
	}
	m, err := s.library.Material(ctx, c, "material", library.Take)
	if err != nil {
		return nil, err
	}
	about.Family, about.Text = m.Family, m.Notes
	with := fmt.Sprintf("with %s (%s)", m.Name, m.Family)
	if m.Family == material.Other {
		r := s.everything()
		r.Notes = append(r.Notes, "The family of "+m.Name+" is other, so nothing can be left out. Its SDS says what is in it.")
		return r, nil
	}
	r := inFull(caution.For(about), during(step)+with)
	if step == caution.NoStep {
		r.Actions = stepActions(m.Name)
	}
	return r, library.AirHere(c, step, r)
}

// ofStep answers without a material.
func (s safetyCommand) ofStep(about caution.Situation) *chat.Reply {
	if about.Step == caution.NoStep {
		return s.everything()
	}
	r := inFull(caution.For(about), during(about.Step)+"whatever the material")
	r.Notes = append(r.Notes, "Name the material too for what its family calls for.")
	return r
}

// everything is each caution in short: in full they are many pages.
func (s safetyCommand) everything() *chat.Reply {
	r := &chat.Reply{
		Title:    "The usual cautions of the trade, the gravest first",
		Cautions: chat.Cautions(caution.All()),
		Notes:    []string{"Name a material or a step for those that it calls for, in full.", caution.Deferral},
	}
	r.Actions = append(stepActions(""), chat.Action{Label: "A first pour", Line: "/safety step:first"})
	return r
}

// inFull shows cautions with all of their text.
func inFull(found []caution.Caution, of string) *chat.Reply {
	r := &chat.Reply{Title: fmt.Sprintf("%d things to watch %s", len(found), of)}
	switch len(found) {
	case 0:
		r.Title = "No caution of its own " + of + "; gloves, goggles and moving air all the same"
		r.Notes = []string{caution.Deferral}
	case 1:
		r.Title = "One thing to watch " + of
	}
	for _, f := range found {
		r.Cautions = append(r.Cautions, chat.Caution{ID: string(f.ID), Text: f.Title + ": " + f.Full})
	}
	return r
}

func during(step caution.Step) string {
	if step == caution.NoStep {
		return ""
	}
	return "for " + library.StepLabel(step) + ", "
}

// stepActions lead on to the steps that differ most from pouring.
func stepActions(name string) []chat.Action {
	var out []chat.Action
	for _, step := range []caution.Step{caution.Demolding, caution.Finishing, caution.Disposing} {
		raw := map[string]string{"step": string(step)}
		if name != "" {
			raw["material"] = name
		}
		out = append(out, chat.Action{Label: "For " + library.StepLabel(step), Line: chat.FormatLine("safety", raw, []string{"material"})})
	}
	return out
}
