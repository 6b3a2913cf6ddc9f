package commands

import (
	"context"
	"fmt"
	"strings"

	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/stock"
)

// weightFacts are the empty weight, and the level at which to be told.
func weightFacts(c *chat.Call, one shop.Container) (facts []chat.Fact) {
	sys := c.By.System()
	if one.Tare > 0 {
		facts = append(facts, chat.Num("tare", "Empty weight", one.Tare, quantity.Mass, sys))
	}
	if one.Low > 0 {
		facts = append(facts, chat.Num("low", "Tell me at", one.Low, quantity.Mass, sys))
	}
	return facts
}

// use takes an amount out, or sets what the scale shows.
func (s stockCommand) use(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	if c.Has("left") {
		return s.weigh(ctx, c)
	}
	if c.Has("material") && !c.Has("container") {
		return s.useOf(ctx, c)
	}
	shelf, one, err := s.which(ctx, c, anyContainer)
	if err != nil {
		return nil, err
	}
	m, known := shelf.Profile(one)
	if !known && c.Measure("amount").Dim == quantity.Volume {
		return nil, fault.New(fault.MissingOption, "the profile of %s is gone, and with it its density", one.Material).In("amount").Hint("give the amount in grams")
	}
	need, err := s.needOf(m, stock.Part(one.Part), c.Measure("amount"))
	if err != nil {
		return nil, err
	}
	return s.taken(ctx, c, shelf, shelf.Jugs([]shop.Container{one}), need, one.Name())
}

// needOf is an amount of a part; of both together it is taken as a mix.
func (s stockCommand) needOf(m shop.Material, part stock.Part, amount quantity.Quantity) (stock.Amount, error) {
	if part != stock.Kit && part != "" {
		return stock.Split(m.Profile, part, amount)
	}
	p := m.Profile
	p.Pack, p.PackA, p.PackB = 0, 0, 0 // what is poured goes by the ratio
	return stock.Split(p, stock.Kit, amount)
}

// useOf takes an amount of a material from the oldest opened first.
func (s stockCommand) useOf(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	m, err := s.library.Material(ctx, c, "material", library.Take)
	if err != nil {
		return nil, err
	}
	shelf, err := s.shelf(ctx, c)
	if err != nil {
		return nil, err
	}
	of := shelf.Of(m)
	if len(of) == 0 {
		return nil, notKept(m, "material")
	}
	need, err := s.needOf(m, partOf(c), c.Measure("amount"))
	if err != nil {
		return nil, err
	}
	return s.taken(ctx, c, shelf, shelf.Jugs(of), tracked(of, need), m.Name)
}

// tracked leaves out of a need the part that no container holds.
func tracked(of []shop.Container, need stock.Amount) stock.Amount {
	var a, b bool
	for _, one := range of {
		a, b = a || one.Part != string(stock.PartB), b || one.Part != string(stock.PartA)
	}
	if !a {
		need.A = 0
	}
	if !b {
		need.B = 0
	}
	return need
}

// taken draws a need by hand and says what is left.
func (s stockCommand) taken(ctx context.Context, c *chat.Call, shelf library.Stock, jugs []stock.Jug, need stock.Amount, name string) (*chat.Reply, error) {
	choice := stock.Choose(jugs, need, shelf.Today())
	if err := refuseStock(c, shelf, choice, name, "use"); err != nil {
		return nil, err
	}
	if len(choice.Takes) == 0 {
		return nil, fault.New(fault.NotEnoughStock, "nothing is left of %s", name).In("amount").Hint("/stock list shows what there is; /stock use with left: sets a jug's amount right")
	}
	var after []shop.Container
	write := func(calls bool) error {
		return s.Together.Together(ctx, func(b shop.Books) (err error) {
			after, err = drawn(ctx, c, b, shelf, drawsOf(choice, shelf, shop.StockUsed, 0), calls)
			return err
		})
	}
	err := write(true)
	if callsFull(err) {
		err = write(false)
	}
	if err != nil {
		return nil, fmt.Errorf("draw from stock: %w", err)
	}
	return s.usedReply(ctx, c, shelf, choice, after)
}

// drawsOf are the draws of a choice. What is sealed counts as opened today.
func drawsOf(choice stock.Choice, shelf library.Stock, what string, pour int64) []shop.StockDraw {
	var all []shop.StockDraw
	for _, t := range choice.Takes {
		all = append(all, shop.StockDraw{Container: t.ID, What: what, A: t.From.A, B: t.From.B, Pour: pour, Opened: shelf.Today()})
	}
	return all
}

// refuseStock refuses what the stock can't give, or should not, unless the
// member is sure.
func refuseStock(c *chat.Call, shelf library.Stock, choice stock.Choice, name, what string) error {
	if c.Yes("sure", false) {
		return nil
	}
	if !choice.Short.Nothing() {
		f := fault.New(fault.NotEnoughStock, "the stock of %s is short of %s", name, gramsText(c, choice.Short)).In("sure")
		return f.Offer(fault.Choice{Value: "yes", Label: "Take what is there"}).
			Hint("weigh the jug and say /stock use with left:, add one with /stock add, or say sure:yes to %s and take what is there", what)
	}
	if len(choice.Past) > 0 {
		one, _ := shelf.ByID(choice.Past[0])
		f := fault.New(fault.PastDate, "%s is past its date since %s", jugName(one), dayText(shelf.Keeps(one).Last)).In("sure")
		return f.Offer(fault.Choice{Value: "yes", Label: "It is still good"}).
			Hint("pour a trial cup of 50 g first: /stock check container:%s says what to look for; sure:yes takes it all the same", chat.Ref(one.ID, 0))
	}
	return nil
}

func (s stockCommand) usedReply(ctx context.Context, c *chat.Call, before library.Stock, choice stock.Choice, after []shop.Container) (*chat.Reply, error) {
	shelf, err := s.shelf(ctx, c)
	if err != nil {
		return nil, err
	}
	r := &chat.Reply{}
	var took []string
	var ids []int64
	for i, t := range choice.Takes {
		took = append(took, gramsText(c, t.From)+" from "+jugName(after[i]))
		ids = append(ids, t.ID)
		f := leftFact(c, after[i])
		if len(choice.Takes) > 1 {
			f.Label = "Left in " + jugName(after[i])
		}
		r.Facts = append(r.Facts, f)
		if len(r.Actions) < 5 {
			r.Actions = append(r.Actions, chat.Action{Label: "Take back " + chat.Ref(t.ID, 0), Line: stockLine("undo", after[i], nil)})
		}
	}
	r.Title = "Took " + strings.Join(took, ", ")
	if !choice.Short.Nothing() {
		r.Notes = append(r.Notes, fmt.Sprintf("%s more was not there by the book. If it was in the jug, weigh that and say /stock use with left:.", gramsText(c, choice.Short)))
	}
	for _, one := range after {
		if was, ok := before.ByID(one.ID); ok && was.OpenedOn.IsZero() && !one.OpenedOn.IsZero() {
			r.Notes = append(r.Notes, openedToday(shelf, one))
		}
	}
	r.Notes = append(r.Notes, lowNotes(c, shelf, ids...)...)
	return r, nil
}

// weigh sets what is left to what the scale shows.
func (s stockCommand) weigh(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	_, one, err := s.which(ctx, c, anyContainer)
	if err != nil {
		return nil, err
	}
	tare := c.Value("tare", one.Tare)
	if tare == 0 {
		return nil, fault.New(fault.MissingOption, "what does the empty container of %s weigh?", jugName(one)).In("tare").
			Hint("give tare once, such as tare:\"85 g\", from an empty one like it; it is kept")
	}
	a, b := one.Left()
	gone, err := stock.Weighed(stock.Amount{A: a, B: b}, stock.Amount{A: one.A, B: one.B}, c.Value("left", 0), tare)
	if err != nil {
		return nil, err
	}
	var now shop.Container
	err = s.Together.Together(ctx, func(books shop.Books) error {
		if c.Has("tare") && tare != one.Tare && c.By.MayChange(one.Record) {
			if _, err := books.Stock.ChangeContainer(ctx, c.Stamp(), one.ID, shop.ContainerChange{Tare: &tare}); err != nil {
				return err
			}
		}
		after, err := books.Stock.DrawStock(ctx, c.Stamp(), []shop.StockDraw{{Container: one.ID, What: shop.StockWeighed, A: gone.A, B: gone.B}})
		if err == nil {
			now = after[0]
		}
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("weigh a container: %w", err)
	}
	shelf, err := s.shelf(ctx, c)
	if err != nil {
		return nil, err
	}
	off, sys := gone.Total(), c.By.System()
	r := &chat.Reply{
		Title:   fmt.Sprintf("Weighed %s: %s is left", jugName(now), quantity.Text(now.LeftAll(), quantity.Mass, sys)),
		Facts:   []chat.Fact{leftFact(c, now), chat.Num("book_off", "The book was off by", off, quantity.Mass, sys).Says(bookText(off, sys))},
		Actions: []chat.Action{{Label: "Take it back", Line: stockLine("undo", now, nil)}, {Label: "Is it still good?", Line: stockLine("check", now, nil)}},
		Notes:   lowNotes(c, shelf, now.ID),
	}
	if one.Part == string(stock.Kit) {
		r.Notes = append(r.Notes, "A and B were weighed together, so what is gone is shared as they stood in the book.")
	}
	return r, nil
}

func bookText(off float64, sys quantity.System) string {
	switch {
	case off > stock.Slack:
		return quantity.Text(off, quantity.Mass, sys) + " less was there"
	case off < -stock.Slack:
		return quantity.Text(-off, quantity.Mass, sys) + " more was there"
	}
	return "nothing"
}

// finish closes a container.
func (s stockCommand) finish(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	shelf, one, err := s.which(ctx, c, anyContainer)
	if err != nil {
		return nil, err
	}
	const rest = 0.02 // of what was in it: what clings to a jug; common practice, no source
	if left := one.LeftAll(); c.By.MayChange(one.Record) && one.Finished.IsZero() && left > rest*(one.A+one.B) && !c.Yes("sure", false) {
		return &chat.Reply{
			Title:   fmt.Sprintf("Is %s finished? By the book %s is left. Nothing is changed yet", jugName(one), quantity.Text(left, quantity.Mass, c.By.System())),
			Notes:   []string{"What was poured and not said makes up the rest; weigh it and say /stock use with left: where some is left."},
			Actions: []chat.Action{{Label: "It is finished", Do: chat.DoReplace, Line: stockLine("finish", one, map[string]string{"sure": "yes"})}},
		}, nil
	}
	m, _ := shelf.Profile(one)
	one, err = s.Stock.ChangeContainer(ctx, c.Stamp(), one.ID, shop.ContainerChange{Finished: true})
	if err != nil {
		return nil, fmt.Errorf("finish a container: %w", err)
	}
	return &chat.Reply{
		Title: "Finished: " + jugName(one),
		Facts: []chat.Fact{leftFact(c, one)},
		Notes: []string{"It is not poured from any more, and you are not called for it. Its log stays: /stock show, or /stock list with its lot."},
		Steps: []string{
			"Let what clings inside cure, or follow the data sheet: nothing of it goes down the drain or into household waste as a liquid.",
			"Never reseal a jug of isocyanate that got wet inside.",
		},
		Cautions: chat.Cautions(caution.For(caution.Situation{Step: caution.Disposing, Family: m.Family})),
		Actions:  []chat.Action{{Label: "Take it back", Line: stockLine("undo", one, nil)}},
	}, nil
}

func (s stockCommand) share(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	return s.shown(ctx, c, true)
}

func (s stockCommand) unshare(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	return s.shown(ctx, c, false)
}

func (s stockCommand) shown(ctx context.Context, c *chat.Call, shared bool) (*chat.Reply, error) {
	_, one, err := s.which(ctx, c, anyContainer)
	if err != nil {
		return nil, err
	}
	if one, err = s.Stock.ChangeContainer(ctx, c.Stamp(), one.ID, shop.ContainerChange{Shared: &shared}); err != nil {
		return nil, fmt.Errorf("share a container: %w", err)
	}
	r := &chat.Reply{Title: "Only you see and use " + jugName(one) + " now"}
	if shared {
		r.Title = "The shop uses " + jugName(one) + " now"
		r.Notes = []string{"Members of this shop see it, open it and take from it, also by their pours; the rest stays yours."}
	}
	return r, nil
}

func (s stockCommand) undo(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	shelf, err := s.shelf(ctx, c)
	if err != nil {
		return nil, err
	}
	one, err := shelf.Container(c, "container", shelf.All) // also what is finished
	if err != nil {
		return nil, err
	}
	one, e, err := s.Stock.UndoStock(ctx, c.Stamp(), one.ID)
	if err != nil {
		return nil, fmt.Errorf("take back what happened to a container: %w", err)
	}
	if shelf, err = s.shelf(ctx, c); err != nil {
		return nil, err
	}
	r := s.card(c, shelf, one)
	r.Title = "Taken back at " + jugName(one) + ": " + stockEventText(c, e)
	return r, nil
}

// stockEventText is an entry of a container's log in words.
func stockEventText(c *chat.Call, e shop.StockEvent) string {
	amount := stock.Amount{A: e.A, B: e.B}
	switch e.What {
	case shop.StockOpened:
		return "opened"
	case shop.StockFinished:
		return "finished"
	case shop.StockWeighed:
		return "weighed, " + bookText(amount.Total(), c.By.System())
	case shop.StockPoured:
		return gramsText(c, amount) + " by a pour"
	}
	return gramsText(c, amount) + " used"
}

func (s stockCommand) remove(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	shelf, err := s.shelf(ctx, c)
	if err != nil {
		return nil, err
	}
	one, err := shelf.Container(c, "container", shelf.All)
	if err != nil {
		return nil, err
	}
	if !c.Yes("sure", false) {
		r, err := library.AskRemove(c, "stock", "container", jugName(one), one.Record, "It goes with its log, so nothing tells any more which pours drew from it. One that is empty is better finished: /stock finish.")
		if err != nil {
			return nil, err
		}
		r.Actions[0].Line = stockLine("remove", one, map[string]string{"sure": "yes"})
		return r, nil
	}
	if err := s.Stock.RemoveContainer(ctx, c.Stamp(), one.ID); err != nil {
		return nil, fmt.Errorf("remove a container: %w", err)
	}
	return &chat.Reply{Title: "Removed " + jugName(one)}, nil
}
