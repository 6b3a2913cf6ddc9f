package commands

import (
	"context"
	"fmt"
	"time"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/diagnose"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/mix"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
)

func init() { register("trouble", newTrouble) }

type troubleCommand struct{ deps }

func newTrouble(d deps) chat.Command {
	t := troubleCommand{d}
	weighed := func(name, help, like string) chat.Option {
		return chat.Option{Name: name, Help: help, Like: like, Kind: chat.Measure, Dims: []quantity.Dim{quantity.Mass, quantity.Volume}, Zero: true}
	}
	return chat.Command{
		Name:  "trouble",
		Help:  "what went wrong, why, and what to do now",
		About: "Say what you see in your own words. With a pour, what was recorded of it is held against its bulletin, and each figure moves a cause up or down; what you saw does the same. The causes are common practice, the weights are judgement, and the bulletin and the SDS win.",
		Asks: []chat.Ask{
			{Question: "It is still sticky after a day. Why?", Line: `/trouble symptom:"still sticky after a day"`},
			{Question: "It foamed up in the mold. What now?", Line: `/trouble symptom:"foamed up"`},
			{Question: "The cast is stuck. How do I save the mold?", Line: `/trouble symptom:"stuck in the mold"`},
			{Question: "It is soft all over, and so is the rest in the cup. Why?", Line: `/trouble symptom:"soft all over" saw:"cup soft"`},
		},
		Subs: []chat.Sub{{Computes: true, Run: t.run,
			Forms: []chat.Form{
				{Name: "symptom", Title: "What went wrong?", Pressed: true, Options: []string{"symptom"}},
				{Name: "weighed", Title: "What was weighed, and how old is it?", Pressed: true, Options: []string{"a", "b", "opened"}},
			},
			Options: []chat.Option{
				{Name: "symptom", Help: "what you see, in your own words; left out, you choose from a list", Like: "still sticky", Suggest: library.SuggestSymptom},
				{Name: "pour", Help: "the pour that it happened at: its record tells causes apart", Like: "#12", Suggest: library.SuggestPour(d.Pours)},
				{Name: "saw", Help: "what you saw that tells causes apart, with commas between", Like: "cup soft, old jug", Length: 500, Suggest: library.SuggestSaw},
				weighed("a", "part A that was weighed into that pour", "110 g"),
				weighed("b", "part B likewise", "102 g"),
				{Name: "opened", Help: "how long the jug had been open", Like: "3 months", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Time}, Bare: "mo", Zero: true},
			}}},
	}
}

// asked is what a member asks about: the rules that it may mean, the pour with
// what is known of it, and what was found.
type asked struct {
	rules []diagnose.Rule
	pour  *shop.Pour
	book  troubleBook // of the pour
	jugs  []jugLog    // of its material
	said  []diagnose.Found
	found []diagnose.Found // with what the record shows
}

func (t troubleCommand) run(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	if caution.Hurt(c.Text("symptom")) {
		return hurt(), nil
	}
	a, err := t.ask(ctx, c)
	if err != nil {
		return nil, err
	}
	if len(a.rules) > 1 {
		return t.which(c, a), nil
	}
	c.Pin("symptom", a.rules[0].Name)
	return t.tell(ctx, c, a)
}

// hurt is for someone who is unwell: first that, then the cast.
func hurt() *chat.Reply {
	return &chat.Reply{
		Title:    "You come first, then the cast: stop, and get into fresh air",
		Steps:    caution.FirstAid(),
		Notes:    []string{"This is no medical advice. A doctor decides, and the SDS of the material tells what is in it; go on casting only once you know what it was.", caution.Deferral},
		Cautions: chat.Cautions(caution.For(caution.Situation{Trouble: []caution.ID{caution.Isocyanate, caution.Amine, caution.Health}})),
		Actions:  []chat.Action{{Label: "What can hurt you here?", Line: "/safety"}},
	}
}

// ask reads what is asked.
func (t troubleCommand) ask(ctx context.Context, c *chat.Call) (a asked, err error) {
	if a.said, err = library.Saw(c, "saw"); err != nil {
		return a, err
	}
	if c.Has("pour") {
		pour, err := library.Pour(ctx, c, t.Pours, "pour", spoiledPour)
		if err != nil {
			return a, err
		}
		if !c.By.MayChange(pour.Record) {
			return a, fault.New(fault.NotAllowed, "what was found at %s's pour is %s's alone", pour.OwnerOf, pour.OwnerOf).In("pour").
				Hint("leave pour out, or ask %s to look into it", pour.OwnerOf)
		}
		a.pour = &pour
		if a.jugs, err = t.jugLogs(ctx, c, pour.MaterialID); err != nil {
			return a, err
		}
		if a.book, err = t.bookOf(ctx, c, pour, a.jugs); err != nil {
			return a, err
		}
	}
	if err := weighedOf(c, &a); err != nil {
		return a, err
	}
	a.found = diagnose.Merge(a.said, diagnose.Signs(a.book.Record))
	a.rules, err = library.Symptoms(c, "symptom", a.book.Material.Family)
	return a, err
}

// weighedOf puts what was weighed, and the age of the jug, into the record.
func weighedOf(c *chat.Call, a *asked) error {
	if c.Has("opened") {
		days := c.Value("opened", 0) / (24 * time.Hour).Seconds()
		a.book.OpenDays = &days
	}
	switch {
	case !c.Has("a") && !c.Has("b"):
		return nil
	case !c.Has("a") || !c.Has("b"):
		missing := "a"
		if c.Has("a") {
			missing = "b"
		}
		return fault.New(fault.MissingOption, "a ratio takes both parts").In(missing).Hint(`give a:"110 g" and b:"102 g"`)
	case a.pour == nil || a.book.Material.Name == "":
		return fault.New(fault.MissingOption, "the ratio to hold them against is that of a pour's material").In("pour").
			Hint("name the pour; /ratio check judges a cup without one")
	}
	got, err := mix.Judge(a.book.Material, c.Measure("a"), c.Measure("b"))
	if err != nil {
		return err
	}
	a.book.Off = &got.Off
	return nil
}

// spoiledPour is a pour that went wrong.
func spoiledPour(p shop.Pour, _ time.Time) bool {
	return p.State == shop.PourFailed || p.State == shop.PourDone && p.Spoiled > 0
}

// which lists what a text may mean.
func (t troubleCommand) which(c *chat.Call, a asked) *chat.Reply {
	r := &chat.Reply{Title: "Which of these is it?", Notes: []string{"Press one, or type its name as the symptom."}}
	if typed := c.Text("symptom"); chat.Fold(typed) == string(a.rules[0].Group) {
		r.Title = library.Capital(string(a.rules[0].Group)) + ": which of these is it?"
	}
	for i, rule := range a.rules {
		r.Facts = append(r.Facts, chat.Fact{Key: fmt.Sprintf("symptom_%d", i+1), Label: library.Capital(rule.Name), Value: rule.Name, Text: "usually " + rule.Causes[0].Name})
		r.Actions = append(r.Actions, chat.Action{Label: library.Capital(rule.Name), Do: chat.DoReplace, Line: troubleLine(c, map[string]string{"symptom": rule.Name})})
	}
	return r
}

// troubleLine is the call again with options replaced.
func troubleLine(c *chat.Call, replace map[string]string) string {
	options := map[string]string{}
	for _, name := range []string{"symptom", "pour", "saw", "a", "b", "opened"} {
		if c.Has(name) {
			options[name] = c.Text(name)
		}
		if to, ok := replace[name]; ok {
			options[name] = to
		}
	}
	return chat.FormatLine("trouble", options, []string{"symptom", "pour", "saw", "a", "b", "opened"})
}

// wentWrong are the buttons that lead from a pour here: with what its member
// wrote of it, else by asking.
func wentWrong(pour shop.Pour, symptom string) chat.Action {
	ref := chat.Ref(pour.ID, 0)
	if ended, ok := endOf(pour); ok && len(diagnose.Match(ended.Why, "")) > 0 {
		symptom = ended.Why
	}
	if symptom == "" {
		return chat.Action{Label: "What went wrong?", Do: chat.DoForm, Form: "symptom", Line: chat.FormatLine("trouble", map[string]string{"pour": ref}, nil)}
	}
	return chat.Action{Label: "What went wrong?", Line: chat.FormatLine("trouble", map[string]string{"symptom": symptom, "pour": ref}, []string{"symptom", "pour"})}
}
