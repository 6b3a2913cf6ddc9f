package commands_test

import (
	"slices"
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
)

func TestTerm(t *testing.T) {
	d := desk(t)
	ans := ask(t, d, "bram", `/term word:"pot life"`)
	golden(t, "term_pot_life", ans)
	if ans.Private {
		t.Error("a word is explained in private, want it for the channel to read")
	}
}

func TestTermLeadsToItsNeighbors(t *testing.T) {
	d := desk(t)
	ans := ask(t, d, "bram", "/term word:durometer")
	next := press(t, d, "cleo", ans, "hardness")
	if next.Reply == nil || !slices.Contains(labels(next.Reply.Actions), "durometer") {
		t.Errorf("hardness does not lead back to durometer: %+v", next.Reply)
	}
}

func TestTermTakesANearWordAndSaysSo(t *testing.T) {
	d := desk(t)
	r := told(t, d, "bram", "/term word:exothrem")
	if !said(r, `"exothrem"`, `"exotherm"`) {
		t.Errorf("notes %q, want one that says how exothrem was read", r.Notes)
	}
}

func TestTermRefusals(t *testing.T) {
	d := desk(t)
	refused(t, d, "bram", "/term word:blockchain", fault.NotFound, "word")
	refused(t, d, "bram", "/term", fault.MissingOption, "word")
	refused(t, d, "bram", `/term word:" "`, fault.MissingOption, "word")
}
