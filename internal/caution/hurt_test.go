package caution_test

import (
	"testing"

	"github.com/pourwright/pourwright/internal/caution"
)

func TestHurt(t *testing.T) {
	for text, want := range map[string]bool{
		"my hands itch": true, "I got a rash from the resin": true, "resin in my eye": true, "I feel dizzy": true, "wheezing after pouring": true,
		"I can't breathe well": true, "hardener on my skin": true, "my chest feels tight": true, "burned my fingers on the cup": true, "he swallowed some": true,
		"fish eyes in the paint": false, "bubbles at the eye of the figure": false, "the skin is sticky": false, "my face mold tore": false,
		"the hand I cast is soft": false, "soft skin on my part": false, "cracked chest plate": false, "": false,
	} {
		if got := caution.Hurt(text); got != want {
			t.Errorf("%q: %v, want %v", text, got, want)
		}
	}
	if len(caution.FirstAid()) == 0 {
		t.Error("nothing to do")
	}
}
