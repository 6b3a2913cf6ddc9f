package library

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/stock"
)

// Stock is what stands on the shelf for the viewer, with the profiles that say
// how long it keeps.
type Stock struct {
	All      []shop.Container
	profiles map[int64]shop.Material
	today    time.Time
	viewer   shop.Viewer
}

// StockSeen reads it.
func StockSeen(ctx context.Context, c *chat.Call, from shop.Stock, materials shop.Materials) (Stock, error) {
	s := Stock{profiles: map[int64]shop.Material{}, today: stock.Day(c.At, c.By.Zone()), viewer: c.By}
	var err error
	if s.All, err = from.Containers(ctx, c.By); err != nil {
		return s, fmt.Errorf("list containers: %w", err)
	}
	if len(s.All) == 0 {
		return s, nil
	}
	all, err := materials.Materials(ctx, c.By)
	if err != nil {
		return s, fmt.Errorf("list materials: %w", err)
	}
	for _, m := range all {
		s.profiles[m.ID] = m
	}
	return s, nil
}

// StockOf reads what there is of one material, and of what it was adopted from.
func StockOf(ctx context.Context, c *chat.Call, from shop.Stock, materials shop.Materials, m shop.Material) (Stock, error) {
	s := Stock{profiles: map[int64]shop.Material{m.ID: m}, today: stock.Day(c.At, c.By.Zone()), viewer: c.By}
	ids := []int64{m.ID}
	if m.Origin.ID != 0 {
		ids = append(ids, m.Origin.ID)
	}
	var err error
	if s.All, err = from.Containers(ctx, c.By, ids...); err != nil {
		return s, fmt.Errorf("list containers: %w", err)
	}
	if !slices.ContainsFunc(s.All, func(one shop.Container) bool { return one.MaterialID != m.ID }) {
		return s, nil
	}
	switch origin, err := materials.Material(ctx, c.By, m.Origin.ID, 0); {
	case err == nil:
		s.profiles[origin.ID] = origin
	case fault.As(err) == nil: // else it is gone, or out of sight
		return s, fmt.Errorf("fetch the origin of a material: %w", err)
	}
	return s, nil
}

// Profile is that of a container's material; ok is false once that is gone, or
// out of sight.
func (s Stock) Profile(c shop.Container) (shop.Material, bool) {
	m, ok := s.profiles[c.MaterialID]
	return m, ok
}

// Of are the containers of a material that are not finished: of an adopted copy
// those of its origin too.
func (s Stock) Of(m shop.Material) []shop.Container {
	return s.where(func(c shop.Container) bool {
		return c.MaterialID != 0 && (c.MaterialID == m.ID || c.MaterialID == m.Origin.ID)
	})
}

func (s Stock) where(fits func(shop.Container) bool) (found []shop.Container) {
	for _, c := range s.All {
		if c.Finished.IsZero() && fits(c) {
			found = append(found, c)
		}
	}
	return found
}

// Keeping is until when a container is good.
type Keeping struct {
	Last    time.Time // its last day; zero where unknown
	Why     string    // what sets it
	Guessed bool      // by what is usual: then from Early to Late
	Early   time.Time
	Late    time.Time
}

// Keeps says until when a container is good: the earlier of the day on its label,
// or its purchase and sealed life, and of its open life.
func (s Stock) Keeps(c shop.Container) Keeping {
	m, known := s.Profile(c)
	sealed, why := c.UseBy, "the day on its label"
	if sealed.IsZero() && known && !c.Bought.IsZero() && m.ShelfLife != (material.Span{}) {
		sealed, why = shop.AddSpan(c.Bought, m.ShelfLife), fmt.Sprintf("%s from when it was bought", m.ShelfLife)
	}
	var open time.Time
	if known && !c.OpenedOn.IsZero() && m.ShelfOpened != (material.Span{}) {
		open = shop.AddSpan(c.OpenedOn, m.ShelfOpened)
	}
	k := Keeping{Last: stock.LastDay(sealed, open), Why: why}
	switch {
	case !open.IsZero() && k.Last.Equal(open):
		k.Why = fmt.Sprintf("%s from when it was opened", m.ShelfOpened)
	case k.Last.IsZero() && known && !c.OpenedOn.IsZero() && m.Family.Isocyanate():
		after := func(months int) time.Time { return shop.AddSpan(c.OpenedOn, material.Span{Months: months}) }
		k = Keeping{Why: "what is usual for an opened urethane", Guessed: true,
			Last: after(stock.OpenUsual), Early: after(stock.OpenUsualLow), Late: after(stock.OpenUsualHigh)}
	}
	return k
}

// Today is the viewer's day.
func (s Stock) Today() time.Time { return s.today }

// Past reports that a container is past its last day. What is only usual makes
// nothing past.
func (s Stock) Past(c shop.Container) bool {
	k := s.Keeps(c)
	return !k.Guessed && !k.Last.IsZero() && s.today.After(k.Last)
}

// Jugs are containers as the choice among them sees them.
func (s Stock) Jugs(all []shop.Container) []stock.Jug {
	jugs := make([]stock.Jug, len(all))
	for i, c := range all {
		a, b := c.Left()
		jugs[i] = stock.Jug{ID: c.ID, Left: stock.Amount{A: a, B: b}, Opened: !c.OpenedOn.IsZero(), Theirs: !s.viewer.MayChange(c.Record)}
		if k := s.Keeps(c); !k.Guessed {
			jugs[i].Last = k.Last
		}
	}
	return jugs
}

// ByID finds a container of the shelf.
func (s Stock) ByID(id int64) (shop.Container, bool) {
	i := slices.IndexFunc(s.All, func(c shop.Container) bool { return c.ID == id })
	if i < 0 {
		return shop.Container{}, false
	}
	return s.All[i], true
}

// Container finds the container that the option names: by its number, or by its
// name, the first to be poured from where several have it. Errors: not_found;
// missing_option where nothing is said and several could be meant.
func (s Stock) Container(c *chat.Call, option string, among []shop.Container) (shop.Container, error) {
	typed := c.Text(option)
	if id, _, ok := chat.ReadRef("#" + strings.TrimPrefix(typed, "#")); ok {
		if one, found := s.ByID(id); found {
			c.Pin(option, chat.Ref(id, 0))
			return one, nil
		}
		return shop.Container{}, fault.New(fault.NotFound, "there is no container #%d here", id).In(option).Hint("/stock list shows what there is")
	}
	meant := among
	if typed != "" {
		meant = containersNamed(among, typed)
	}
	if len(meant) == 0 {
		f := fault.New(fault.NotFound, "nothing in stock here is called %q", fault.Echo(typed)).In(option)
		if typed == "" {
			f = fault.New(fault.NotFound, "there is no container here that this could be done to").In(option)
		}
		return shop.Container{}, f.Hint("/stock list shows what there is, /stock add keeps another")
	}
	if typed == "" && len(meant) > 1 {
		return shop.Container{}, whichContainer(meant, option)
	}
	id, ok := stock.First(s.Jugs(meant), s.today)
	if !ok {
		id = meant[0].ID
	}
	one, _ := s.ByID(id)
	c.Pin(option, chat.Ref(id, 0))
	return one, nil
}

// containersNamed are those of that name, or of that material, or whose name
// begins so.
func containersNamed(among []shop.Container, typed string) []shop.Container {
	name := chat.Fold(typed)
	for _, same := range []func(c shop.Container) bool{
		func(c shop.Container) bool { return chat.Fold(c.Name()) == name },
		func(c shop.Container) bool { return chat.Fold(c.Material) == name },
		func(c shop.Container) bool { return strings.HasPrefix(chat.Fold(c.Name()), name) },
	} {
		var found []shop.Container
		for _, c := range among {
			if same(c) {
				found = append(found, c)
			}
		}
		if len(found) > 0 {
			return found
		}
	}
	return nil
}

func whichContainer(meant []shop.Container, option string) error {
	const offered = 5 // as many as fit a row of buttons
	f := fault.New(fault.MissingOption, "%d containers could be meant", len(meant)).In(option)
	var numbers []string
	for i, one := range meant {
		label := chat.Ref(one.ID, 0) + " " + one.Name()
		numbers = append(numbers, label)
		if i < offered {
			f.Offer(fault.Choice{Value: chat.Ref(one.ID, 0), Label: label})
		}
	}
	return f.Hint("say which by its number, such as %s:%s: %s", option, chat.Ref(meant[0].ID, 0), strings.Join(numbers[:min(len(numbers), 2*offered)], "; "))
}

// SuggestContainer completes a container's number.
func SuggestContainer(from shop.Stock) chat.Suggest {
	return func(ctx context.Context, c *chat.Call, typed string) ([]chat.Choice, error) {
		const most = 25
		all, err := from.Containers(ctx, c.By)
		if err != nil {
			return nil, fmt.Errorf("list containers: %w", err)
		}
		var out []chat.Choice
		for _, one := range all {
			label := chat.Ref(one.ID, 0) + " " + one.Name()
			if len(out) < most && strings.Contains(chat.Fold(label), chat.Fold(typed)) {
				out = append(out, chat.Choice{Value: chat.Ref(one.ID, 0), Label: label})
			}
		}
		return out, nil
	}
}

// CallBefore is when the owner of a container is called before its last day: a
// week before, in the morning by the clock of the zone, or on the day itself
// where there is less time than that. ok is false where that is past as well.
func CallBefore(last, now time.Time, zone *time.Location) (at time.Time, ok bool) {
	morning := last.Add(warnHour * time.Hour)
	at = shop.Wall(morning.AddDate(0, 0, -warnDays), zone)
	if !at.After(now) {
		at = shop.Wall(morning, zone)
	}
	return at, at.After(now)
}

// PastDay reads a day that has come. Errors: bad_time.
func PastDay(c *chat.Call, name, what string) (time.Time, error) {
	day, err := time.ParseInLocation(time.DateOnly, c.Text(name), time.UTC)
	switch {
	case err != nil:
		return time.Time{}, fault.New(fault.BadTime, "%.30q is no day", c.Text(name)).In(name).Hint("give year, month and day, such as 2026-03-01")
	case day.After(c.At.AddDate(0, 0, 1)):
		return time.Time{}, fault.New(fault.BadTime, "%s is still to come", c.Text(name)).In(name).Hint("give the day %s, such as %s", what, c.At.In(c.By.Zone()).Format(time.DateOnly))
	}
	return day, nil
}
