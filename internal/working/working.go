// Package working is one step of a worked answer: what was computed, by which
// formula, with which numbers, and on whose word. A reply carries its steps so
// that a member can check any figure by hand.
package working

import "fmt"

// CommonPractice marks a step that rests on what casters do and on no text.
const CommonPractice = "common practice, no source"

// Definition marks a step that is true by definition or plain arithmetic.
const Definition = "definition"

// Step is one line of working.
type Step struct {
	What    string `json:"what"`    // what is computed, "mass of A"
	Formula string `json:"formula"` // in symbols, "M·wA/(wA+wB)"
	Value   string `json:"value"`   // with the numbers in, "250 g × 100/145 = 172.4 g"
	Source  string `json:"source"`  // a published source, Definition or CommonPractice
}

// Add appends a step whose value is formatted.
func Add(steps []Step, what, formula, source, format string, args ...any) []Step {
	return append(steps, Step{What: what, Formula: formula, Source: source, Value: fmt.Sprintf(format, args...)})
}
