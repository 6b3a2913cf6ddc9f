package commands

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/diagnose"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/material"
)

// This file says what a symptom comes from.

// How much an answer shows: judgement.
const (
	causesShown  = 5
	reasonsShown = 6
	askedMost    = 3 // questions
)

func (t troubleCommand) tell(ctx context.Context, c *chat.Call, a asked) (*chat.Reply, error) {
	rule := a.rules[0]
	v := diagnose.Rank(rule, a.found)
	r := &chat.Reply{
		Title: verdictTitle(v), Facts: causeFacts(v), Steps: rule.Now, Working: v.Steps,
		Cautions: chat.Cautions(caution.For(situationOf(c, rule, a.book.Material.Family))),
	}
	r.Notes = append(r.Notes, reasonNotes(v)...)
	if err := t.compare(ctx, c, a, r); err != nil {
		return nil, err
	}
	for _, cause := range v.Causes {
		r.Notes = append(r.Notes, library.Capital(cause.Name)+": "+lowerFirst(cause.Tell))
	}
	for _, p := range rule.Prevent {
		r.Notes = append(r.Notes, "Next time: "+lowerFirst(p))
	}
	questions := diagnose.Ask(rule, a.found, askedMost)
	r.Notes = append(r.Notes, askNotes(questions)...)
	r.Notes = append(r.Notes, howSure(v))
	r.Actions = append(r.Actions, askActions(c, questions)...)
	return r, t.next(ctx, c, a, v, r)
}

// verdictTitle is the likeliest cause in a sentence.
func verdictTitle(v diagnose.Verdict) string {
	first, symptom := v.Causes[0], v.Rule.Name
	switch {
	case !v.Told && len(v.Causes) == 1:
		return fmt.Sprintf("%s: %s", library.Capital(symptom), first.Name)
	case !v.Told:
		return fmt.Sprintf("%s: most often %s", library.Capital(symptom), first.Name)
	case v.Clear():
		return fmt.Sprintf("Most likely: %s (%s)", first.Name, symptom)
	case first.Share <= v.Other.Share:
		return fmt.Sprintf("None of the usual causes fits well (%s)", symptom)
	}
	return fmt.Sprintf("Either %s or %s (%s)", first.Name, v.Causes[1].Name, symptom)
}

// causeFacts are the causes by rank, with their shares where something tells
// them apart.
func causeFacts(v diagnose.Verdict) (facts []chat.Fact) {
	for i, cause := range v.Causes[:min(len(v.Causes), causesShown)] {
		label := "Then"
		switch {
		case i == 0 && v.Told:
			label = "Most likely"
		case i == 0:
			label = "Most common"
		}
		facts = append(facts, chat.Fact{Key: fmt.Sprintf("cause_%d", i+1), Label: label, Value: cause.Name, Text: cause.Name})
		if v.Told {
			facts = append(facts, shareFact(fmt.Sprintf("share_%d", i+1), "with a share of", cause))
		}
	}
	if v.Told {
		facts = append(facts, shareFact("share_other", "Something else", v.Other))
	}
	return append(facts, chat.Fact{Key: "symptom", Label: "Symptom", Value: v.Rule.Name, Text: v.Rule.Name})
}

func shareFact(key, label string, r diagnose.Ranked) chat.Fact {
	return chat.Share(key, label, r.Share).Between(r.Low, r.High).
		Says(fmt.Sprintf("about %s (%s to %s)", wholePercent(r.Share), wholePercent(r.Low), wholePercent(r.High)))
}

// wholePercent is as fine as a judgement is.
func wholePercent(p float64) string {
	if p < 0.01 {
		return "under 1 %"
	}
	return fmt.Sprintf("%.0f %%", math.Round(100*p))
}

// situationOf is what may hurt while it is put right. Parts that have set call
// for nothing of their family, but for polyester's fumes. A cup in the member's
// words is the one of the shop.
func situationOf(c *chat.Call, rule diagnose.Rule, family material.Family) caution.Situation {
	s := caution.Situation{Text: strings.NewReplacer("cups", "", "cup", "").Replace(strings.ToLower(c.Text("symptom")))}
	if rule.Wet || family == material.Polyester {
		s.Family = family
	}
	s.Leftovers = rule.Wet && family != ""
	for _, id := range rule.Cautions {
		s.Trouble = append(s.Trouble, caution.ID(id))
	}
	return s
}

// reasonNotes say what moved the causes: what speaks for one before what speaks
// against, the most telling first.
func reasonNotes(v diagnose.Verdict) (notes []string) {
	var pro, con []diagnose.Found
	for _, cause := range v.Causes {
		pro, con = append(pro, cause.For...), append(con, cause.Against...)
	}
	told := map[diagnose.Sign]bool{}
	for _, group := range [][]diagnose.Found{pro, con} {
		slices.SortStableFunc(group, func(a, b diagnose.Found) int { return cmp.Compare(b.Weight, a.Weight) })
		for _, f := range group {
			if !told[f.Sign] && len(notes) < reasonsShown {
				told[f.Sign] = true
				notes = append(notes, f.Because+" "+speaks(v, f))
			}
		}
	}
	return notes
}

// speaks says for and against which causes a finding speaks.
func speaks(v diagnose.Verdict, f diagnose.Found) string {
	var pro, con []string
	for _, cause := range v.Causes {
		switch {
		case slices.Contains(cause.Cause.For, f.Sign):
			pro = append(pro, cause.Name)
		case slices.Contains(cause.Cause.Against, f.Sign):
			con = append(con, cause.Name)
		}
	}
	switch {
	case len(con) == 0:
		return "That speaks for " + library.List(pro) + "."
	case len(pro) == 0:
		return "That speaks against " + library.List(con) + "."
	}
	return "That speaks for " + library.List(pro) + ", and against " + library.List(con) + "."
}

// askNotes are the questions that would tell causes apart, as they are typed.
func askNotes(questions []diagnose.Question) (notes []string) {
	for _, q := range questions {
		words := make([]string, len(q.Answers))
		for i, ans := range q.Answers {
			words[i] = fmt.Sprintf("saw:%q", string(ans.Sign))
		}
		notes = append(notes, q.Text+" "+strings.Join(words, " or ")+".")
	}
	return notes
}

// askActions answer them.
func askActions(c *chat.Call, questions []diagnose.Question) (actions []chat.Action) {
	for _, q := range questions {
		for _, ans := range q.Answers {
			saw := string(ans.Sign)
			if had := c.Text("saw"); had != "" {
				saw = strings.TrimRight(had, ",; ") + ", " + saw
			}
			actions = append(actions, chat.Action{Label: ans.Label, Do: chat.DoReplace, Line: troubleLine(c, map[string]string{"saw": saw})})
		}
	}
	return actions
}

func howSure(v diagnose.Verdict) string {
	sure := "The causes are common practice, no source; the bulletin and the SDS of your material win."
	switch {
	case v.Told:
		return "How much a sign tells is judgement, and so are the shares. " + sure
	case len(v.Causes) == 1:
		return sure
	}
	return "In order of how common they are: nothing is known yet that tells them apart. " + sure
}

// next adds what usually comes next.
func (t troubleCommand) next(ctx context.Context, c *chat.Call, a asked, v diagnose.Verdict, r *chat.Reply) error {
	if a.pour == nil {
		p, any, err := t.recentTrouble(ctx, c)
		if err != nil {
			return err
		}
		if any {
			r.Actions = append(r.Actions, chat.Action{Label: fault.Clip("It was "+chat.Ref(p.ID, 0)+" "+library.PourName(p), 40), Do: chat.DoReplace,
				Line: troubleLine(c, map[string]string{"pour": chat.Ref(p.ID, 0)})})
		}
	}
	minds := v.Rule.Minds()
	weighed := slices.Contains(minds, string(diagnose.OffRatio)) && !c.Has("a") || slices.Contains(minds, string(diagnose.OldJug)) && !c.Has("opened")
	if a.pour != nil && weighed {
		r.Actions = append(r.Actions, chat.Action{Label: "I know what was weighed", Do: chat.DoForm, Form: "weighed", Line: troubleLine(c, nil)})
	}
	for _, cause := range v.Causes {
		act, ok := t.lead(c, a, cause.Lead)
		if ok && len(r.Actions) < 12 && !slices.ContainsFunc(r.Actions, func(o chat.Action) bool { return o.Label == act.Label }) {
			r.Actions = append(r.Actions, act)
		}
	}
	if a.pour != nil {
		r.Actions = append(r.Actions, chat.Action{Label: "Show the pour", Line: pourLine("show", *a.pour, nil)})
	}
	return nil
}

// lead is the button of what a cause is looked into with: with the pour's own
// names where they are known, else the page that tells how.
func (t troubleCommand) lead(c *chat.Call, a asked, to diagnose.Lead) (chat.Action, bool) {
	page := func(label, topic string) (chat.Action, bool) {
		return chat.Action{Label: label, Line: chat.FormatLine("help", map[string]string{"topic": topic}, nil)}, true
	}
	line := func(label, path string, options map[string]string, order ...string) (chat.Action, bool) {
		return chat.Action{Label: label, Line: chat.FormatLine(path, options, order)}, true
	}
	of := map[string]string{}
	known := a.pour != nil && a.book.Material.Name != ""
	if known {
		of["material"] = chat.Ref(a.pour.MaterialID, a.pour.MaterialVersion)
	}
	mold, hasMold := a.book.mold, a.book.mold.ID != 0
	switch to {
	case diagnose.ToRatio:
		if known && c.Has("a") && c.Has("b") {
			of["a"], of["b"] = c.Text("a"), c.Text("b")
			return line("Check the ratio", "ratio check", of, "material", "a", "b")
		}
		return page("How to check a ratio", "ratio check")
	case diagnose.ToCure:
		if known && a.pour.Thickest > 0 {
			of["thickness"] = fmt.Sprintf("%g mm", a.pour.Thickest)
			of["temp"] = fmt.Sprintf("%g C", a.pour.Room)
			return line("Times and heat", "cure", of, "material", "thickness", "temp")
		}
		return page("Times and heat of a pour", "cure")
	case diagnose.ToRelease:
		if hasMold && c.By.MayChange(mold.Record) && mold.Retired == "" {
			return line("Release coat is on", "mold release", map[string]string{"mold": chat.Ref(mold.ID, 0)})
		}
		return page("About release coats", "mold release")
	case diagnose.ToLife:
		if hasMold {
			return line("How long will it last?", "mold life", map[string]string{"mold": chat.Ref(mold.ID, 0)})
		}
		return page("How long a mold lasts", "mold life")
	case diagnose.ToStock:
		if t.has("stock") {
			if known {
				return line("Check the jug", "stock check", of)
			}
			return page("How to check a jug", "stock check")
		}
		return line("What is shelf life?", "term", map[string]string{"word": "shelf life"})
	case diagnose.ToBatch:
		if known && hasMold {
			of["mold"] = chat.Ref(mold.ID, 0)
			return line("Split it into cups", "batch", of, "material", "mold")
		}
		return page("Split a batch into cups", "batch")
	case diagnose.ToTint:
		return page("Dose a tint by weight", "tint dose")
	case diagnose.ToMoldBuild:
		return page("How to build a mold", "mold build")
	case diagnose.ToSafety:
		return line("What can hurt you here?", "safety", map[string]string{"step": string(caution.Storing)})
	case diagnose.ToFirstPour:
		if known {
			return line("A trial pour", "first", of)
		}
		return page("A trial pour", "first")
	case diagnose.ToCoat:
		return page("Coats by weight", "volume coat")
	case diagnose.ToDryAir:
		return line("What is the dew point?", "term", map[string]string{"word": "dew point"})
	}
	return chat.Action{}, false
}

// has reports that a command is there.
func (t troubleCommand) has(name string) bool {
	return slices.ContainsFunc(t.all(), func(cmd chat.Command) bool { return cmd.Name == name })
}
