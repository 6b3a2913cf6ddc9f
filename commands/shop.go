package commands

import (
	"context"
	"fmt"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/shop"
)

func init() { register("shop", newShop) }

type shopCommand struct{ deps }

func newShop(d deps) chat.Command {
	s := shopCommand{d}
	return chat.Command{
		Name:  "shop",
		Help:  "the shop's room, scale, units and money, its own answers and its board",
		About: "Where a member gives no room, scale or units, an answer takes the shop's and says so. Managers set them, everyone can see them.",
		Asks: []chat.Ask{
			{Question: "Which room, scale and units do answers here take for granted?", Line: "/shop show"},
			{Question: "What has this shop answered itself?", Line: "/shop faq"},
			{Question: "Can what is curing hang on our wall?", Line: "/shop board"},
		},
		Subs: []chat.Sub{
			{Name: "show", Help: "what the shop's answers take for granted", Run: s.show},
			{Name: "set", Help: "change it, for managers", Writes: true, Run: s.set,
				Options: append(library.Options(library.ShopSettings()),
					chat.Option{Name: "managers", Help: "a member to put on the list of managers", Like: "bram", Kind: chat.Person},
					chat.Option{Name: "drop_manager", Help: "a member to take off the list of managers", Like: "bram", Kind: chat.Person},
				),
				Forms: []chat.Form{
					{Title: "The room and the scale", Options: []string{"temp", "humidity", "altitude", "scale_step"}, Fill: s.fill},
					{Name: "place", Title: "Units, clock and money", Options: []string{"units", "zone", "currency", "channel"}, Fill: s.fill},
				}},
			s.boardSub(),
			{Name: "faq", Help: "the shop's own answers; managers write them", Computes: true, Writes: true, Run: s.faq,
				Options: []chat.Option{
					{Name: "topic", Help: "what it is about; none lists the topics", Like: "vacuum pump", Length: 80, Suggest: library.SuggestFAQ(d.FAQs)},
					{Name: "answer", Help: "for managers: what the shop answers from now on", Like: "It is for silicone only.", Length: 2000, Long: true},
					{Name: "remove", Help: "for managers: yes takes the answer away", Kind: chat.YesNo},
				}},
		},
	}
}

func (s shopCommand) show(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	managers, err := s.People.Managers(ctx, c.By)
	if err != nil {
		return nil, fmt.Errorf("list managers: %w", err)
	}
	answers, err := s.FAQs.FAQs(ctx, c.By)
	if err != nil {
		return nil, fmt.Errorf("list answers: %w", err)
	}
	r := &chat.Reply{Title: "What answers in " + c.By.Shop.Name + " take for granted"}
	for _, set := range library.ShopSettings() {
		r.Facts = append(r.Facts, set.Show(c.By.Shop.Set, c.By.System()))
	}
	var names []string
	for _, m := range managers {
		names = append(names, called(m))
	}
	r.Notes = append(r.Notes, fmt.Sprintf("Managers: %s. Answers of its own: %d.", strings.Join(names, ", "), len(answers)),
		`Is yours different today? Give it on the command, such as temp:"18 C".`)
	r.Actions = []chat.Action{{Label: "Its own answers", Line: "/shop faq"}}
	if c.By.Manager {
		r.Actions = append(r.Actions,
			chat.Action{Label: "Change room and scale", Do: chat.DoForm, Line: "/shop set"},
			chat.Action{Label: "Change units, clock and money", Do: chat.DoForm, Form: "place", Line: "/shop set"})
	}
	return r, nil
}

// called is a member's name, or the key of one who has not asked yet.
func called(m shop.Member) string {
	if m.Name == "" {
		return m.Key
	}
	return m.Name
}

// fill puts the present settings into a form.
func (s shopCommand) fill(_ context.Context, c *chat.Call) (map[string]string, error) {
	return library.Shown(library.ShopSettings(), c.By.Shop.Set, c.By.System()), s.mayChange(c)
}

func (s shopCommand) mayChange(c *chat.Call) error {
	if c.By.Manager {
		return nil
	}
	return fault.New(fault.NotAllowed, "only a manager of %s can change what it says", c.By.Shop.Name).
		Hint("/shop show names the managers; ask one of them")
}

func (s shopCommand) set(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	if err := s.mayChange(c); err != nil {
		return nil, err
	}
	set, changed, err := library.Change(c, library.ShopSettings(), c.By.Shop.Set)
	if err != nil {
		return nil, err
	}
	if len(changed) == 0 && !c.Has("managers") && !c.Has("drop_manager") {
		return nil, fault.New(fault.MissingOption, "nothing to change is given").In("temp").
			Hint(`name what changes, such as temp:"19 C" or scale_step:"0.1 g"`)
	}
	r := &chat.Reply{
		Title: c.By.Shop.Name + " is set",
		Facts: library.BeforeAfter(changed, c.By.Shop.Set, set, c.By.System()),
	}
	if len(changed) > 0 {
		c.Note("Answers that take it for granted say so.")
	}
	err = s.Together.Together(ctx, func(books shop.Books) error {
		if len(changed) > 0 {
			if err := books.People.SetShop(ctx, c.Stamp(), set); err != nil {
				return fmt.Errorf("set the shop: %w", err)
			}
		}
		for _, option := range []string{"managers", "drop_manager"} {
			if err := s.list(ctx, c, books.People, option, r); err != nil {
				return err
			}
		}
		return nil
	})
	return r, err
}

// list puts the member that the option names on the list of managers, or takes
// them off it, and says so in the reply.
func (s shopCommand) list(ctx context.Context, c *chat.Call, people shop.People, option string, r *chat.Reply) error {
	if !c.Has(option) {
		return nil
	}
	m, err := library.Person(ctx, c, people, option)
	if err != nil {
		return err
	}
	was, err := people.Manages(ctx, m.ID, c.By.Shop.ID)
	if err != nil {
		return fmt.Errorf("find out who manages the shop: %w", err)
	}
	is := option == "managers"
	if err := people.SetManager(ctx, c.Stamp(), m.ID, is); err != nil {
		if f := fault.As(err); f != nil {
			f.Option = option
		}
		return fmt.Errorf("set a manager: %w", err)
	}
	word := map[bool]string{true: "manager", false: "no manager"}
	r.Facts = append(r.Facts, chat.Fact{Key: option, Label: called(m), Value: is, Text: word[was] + " → " + word[is]})
	return nil
}

// faq lists the shop's own answers, or shows, writes or removes one.
func (s shopCommand) faq(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	all, err := s.FAQs.FAQs(ctx, c.By)
	if err != nil {
		return nil, fmt.Errorf("list answers: %w", err)
	}
	remove := c.Yes("remove", false)
	switch {
	case (c.Has("answer") || remove) && c.Text("topic") == "":
		return nil, fault.New(fault.MissingOption, "topic is missing: what the answer is about").In("topic").Hint(`such as topic:"vacuum pump"`)
	case c.Has("answer") && remove:
		return nil, fault.New(fault.TooManyOptions, "answer and remove are given together, only one can count").In("remove").Hint("keep one of them")
	case c.Has("answer"):
		return s.answer(ctx, c)
	case remove:
		return s.forget(ctx, c, all)
	case c.Text("topic") != "":
		return s.read(c, all)
	}
	return s.topics(c, all), nil
}

func (s shopCommand) topics(c *chat.Call, all []shop.FAQ) *chat.Reply {
	const buttons = 10
	r := &chat.Reply{Title: fmt.Sprintf("Answers that %s has written itself: %d", c.By.Shop.Name, len(all))}
	for i, f := range all {
		r.Steps = append(r.Steps, f.Topic)
		if i < buttons {
			r.Actions = append(r.Actions, chat.Action{Label: f.Topic, Line: library.FAQLine(f.Topic, false)})
		}
	}
	if len(all) == 0 {
		r.Notes = append(r.Notes, `A manager writes one with /shop faq topic:"vacuum pump" answer:"It is for silicone only."`)
	}
	return r
}

func (s shopCommand) read(c *chat.Call, all []shop.FAQ) (*chat.Reply, error) {
	f, err := library.FAQ(c, "topic", all, library.Take)
	if err != nil {
		return nil, err
	}
	by := f.By
	if by == "" {
		by = "a former member"
	}
	r := answered(f.Topic, f.Answer)
	r.Notes = []string{fmt.Sprintf("The shop's own answer, written by %s on %s. It is not checked against anything here.",
		by, f.At.In(c.By.Zone()).Format("2 January 2006"))}
	if !c.Yes("show", false) {
		r.Actions = []chat.Action{{Label: "Post here", Line: library.FAQLine(f.Topic, true)}}
	}
	return r, nil
}

func (s shopCommand) answer(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	topic, answer := c.Text("topic"), c.Text("answer")
	if answer == "" {
		return nil, fault.New(fault.MissingOption, "answer is empty").In("answer").Hint("write it, or take the topic away with remove:yes")
	}
	if err := s.mayChange(c); err != nil {
		return nil, err
	}
	if err := s.FAQs.SetFAQ(ctx, c.Stamp(), topic, answer); err != nil {
		return nil, fmt.Errorf("set an answer: %w", err)
	}
	r := answered(topic, answer)
	r.Notes = []string{"From now on the shop answers so."}
	r.Actions = []chat.Action{{Label: "Post here", Line: library.FAQLine(topic, true)}}
	return r, nil
}

// answered shows a short answer in one sentence with its topic, a longer one
// line by line.
func answered(topic, answer string) *chat.Reply {
	const short = 150
	if len(answer) <= short && !strings.Contains(answer, "\n") {
		return &chat.Reply{Title: topic + ": " + answer}
	}
	return &chat.Reply{Title: topic, Steps: strings.Split(answer, "\n")}
}

func (s shopCommand) forget(ctx context.Context, c *chat.Call, all []shop.FAQ) (*chat.Reply, error) {
	if err := s.mayChange(c); err != nil {
		return nil, err
	}
	f, err := library.FAQ(c, "topic", all, library.Offer)
	if err != nil {
		return nil, err
	}
	if err := s.FAQs.SetFAQ(ctx, c.Stamp(), f.Topic, ""); err != nil {
		return nil, fmt.Errorf("remove an answer: %w", err)
	}
	return &chat.Reply{Title: fmt.Sprintf("The shop's answer on %q is gone", f.Topic), Notes: []string{"It said: " + f.Answer}}, nil
}
