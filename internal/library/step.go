package library

import (
	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
)

// stepLabels say each step of the work as it is spoken of.
var stepLabels = map[caution.Step]string{
	caution.Storing:   "storing and opening jugs",
	caution.MoldMake:  "making a mold",
	caution.Releasing: "putting on release",
	caution.Mixing:    "mixing and pouring",
	caution.Degassing: "degassing under vacuum",
	caution.Pressing:  "casting under pressure",
	caution.Rescuing:  "rescuing a cup",
	caution.Curing:    "the wait while it cures",
	caution.Demolding: "demolding",
	caution.PostCure:  "post cure",
	caution.Finishing: "sanding and drilling",
	caution.Cleaning:  "cleaning with solvent",
	caution.Disposing: "throwing away",
	caution.Teaching:  "a first pour or a class",
}

// StepLabel says a step in words.
func StepLabel(s caution.Step) string {
	if label, ok := stepLabels[s]; ok {
		return label
	}
	return string(s)
}

// StepChoices are the steps that can be named, in shop order.
func StepChoices() []chat.Choice {
	var out []chat.Choice
	for _, s := range caution.Steps() {
		out = append(out, chat.Choice{Value: string(s), Label: StepLabel(s)})
	}
	return append(out, chat.Choice{Value: vacuumStep, Label: "vacuum, which is degassing"})
}

// vacuumStep is another word for degassing, which people ask for as often.
const vacuumStep = "vacuum"

// Step is the step that a member named, of StepChoices.
func Step(word string) caution.Step {
	if word == vacuumStep {
		return caution.Degassing
	}
	return caution.Step(word)
}
