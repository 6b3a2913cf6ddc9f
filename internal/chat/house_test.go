package chat_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/working"
)

// noon is the time of every call in these tests.
var noon = time.Date(2026, 11, 2, 12, 0, 0, 0, time.UTC)

// house keeps people and lines in memory: the rules of package shop without a
// database, and a switch that breaks it.
type house struct {
	mu       sync.Mutex
	broken   error
	members  map[string]shop.Member
	shops    map[string]shop.Shop
	managers map[shop.MemberID]shop.ID
	lines    map[string]string // by shop and key
	saved    int
}

func newHouse() *house {
	return &house{
		members: map[string]shop.Member{}, shops: map[string]shop.Shop{},
		managers: map[shop.MemberID]shop.ID{}, lines: map[string]string{},
	}
}

func (h *house) Member(_ context.Context, key, name string, _ time.Time) (shop.Member, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	m, ok := h.members[key]
	if !ok {
		m = shop.Member{ID: shop.MemberID(len(h.members) + 1), Key: key}
	}
	m.Name = name
	h.members[key] = m
	return m, h.broken
}

func (h *house) Shop(_ context.Context, key, name string, by shop.MemberID, _ time.Time) (shop.Shop, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	s, ok := h.shops[key]
	if !ok {
		s = shop.Shop{ID: shop.ID(len(h.shops) + 1), Key: key, Set: shop.NewSettings()}
		h.managers[by] = s.ID
	}
	s.Name = name
	h.shops[key] = s
	return s, h.broken
}

func (h *house) Manages(_ context.Context, m shop.MemberID, s shop.ID) (bool, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.managers[m] == s, h.broken
}

func (h *house) SaveLine(_ context.Context, s shop.Stamp, line string) (string, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if len(line) > 2000 {
		return "", fault.New(fault.OutOfRange, "too long to keep")
	}
	h.saved++
	key := fmt.Sprintf("k%d", h.saved)
	h.lines[fmt.Sprint(s.By.Shop.ID, key)] = line
	return key, h.broken
}

func (h *house) Line(_ context.Context, v shop.Viewer, key string) (string, bool, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	line, ok := h.lines[fmt.Sprint(v.Shop.ID, key)]
	return line, ok, h.broken
}

// The dispatcher sets nothing up; these belong to commands.
var errNotHere = errors.New("not part of these tests")

func (h *house) SetPrefs(context.Context, shop.Stamp, shop.Prefs) error            { return errNotHere }
func (h *house) SetShop(context.Context, shop.Stamp, shop.Settings) error          { return errNotHere }
func (h *house) SetManager(context.Context, shop.Stamp, shop.MemberID, bool) error { return errNotHere }
func (h *house) Managers(context.Context, shop.Viewer) ([]shop.Member, error)      { return nil, errNotHere }

// echo answers with what it read: one fact for each option given.
func echo(_ context.Context, c *chat.Call) (*chat.Reply, error) {
	r := &chat.Reply{Title: "Read " + c.Command, Notes: []string{"by " + c.By.Member.Name}}
	for _, name := range slices.Sorted(maps.Keys(c.Raw)) {
		if !c.Has(name) {
			return nil, fmt.Errorf("option %s was given and not read", name)
		}
		r.Facts = append(r.Facts, chat.Fact{Key: name, Label: name, Value: fmt.Sprint(
			c.Text(name), "|", c.Measure(name).Value, "|", c.Count(name, 0), "|", c.Yes(name, false), "|", c.Ratio(name))})
	}
	return r, nil
}

// mix is a computing reply with everything that a reply can hold.
func mix(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	r, err := echo(ctx, c)
	if err != nil {
		return nil, err
	}
	if c.Text("material") == "white" {
		c.Pin("material", "#12@3")
	}
	c.Note("At the shop's 21 °C.")
	c.Note("At the shop's 21 °C.")
	r.Working = working.Add(r.Working, "mass of A", "V·ρ", working.Definition, "%g", 1.0)
	r.Cautions = []chat.Caution{{ID: "isocyanate", Text: "short", Full: "in full"}, {ID: "dust", Text: "only short"}}
	r.Actions = []chat.Action{{Label: strings.Repeat("w", 50), Line: "/word word:pull"}}
	return r, nil
}

var things = []string{"white", "slow white", "clear"}

func suggestThing(_ context.Context, c *chat.Call, typed string) ([]chat.Choice, error) {
	if c.Has("volume") && c.Measure("volume").Value < 10 {
		return chat.Narrow(typed, []string{"tiny"}), nil
	}
	return chat.Narrow(typed, things), nil
}

// commands are declarations of every sort.
func commands() []chat.Command {
	return []chat.Command{
		{Name: "mix", Help: "mixes", Subs: []chat.Sub{{
			Computes: true, OneOf: [][]string{{"volume", "mass"}}, Run: mix,
			Options: []chat.Option{
				{Name: "material", Help: "what", Required: true, Like: "slow white", Suggest: suggestThing},
				{Name: "volume", Help: "how much", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Volume}, Like: "250 ml"},
				{Name: "mass", Help: "how heavy", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Mass}, Like: "100 g"},
				{Name: "count", Help: "how many", Kind: chat.Count, Max: 50},
				{Name: "waste", Help: "lost", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Number}, Percent: true, Zero: true, Max: 1},
				{Name: "kind", Help: "which", Kind: chat.OneWord, Choices: []chat.Choice{{Value: "pour", Label: "A pour"}, {Value: "brush"}}},
				{Name: "dry", Help: "dry", Kind: chat.YesNo},
				{Name: "file", Help: "a part", Kind: chat.Attachment},
				{Name: "ratio", Help: "A to B", Kind: chat.Parts, Like: "1:1 vol"},
				{Name: "density_a", Help: "of A", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Density}},
				{Name: "density_b", Help: "of B", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Density}},
				{Name: "pot", Help: "pot life", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Time}, Like: "3 min, 100 g, 23 C", Spread: []string{"pot_mass", "pot_temp"}},
				{Name: "pot_mass", Help: "its mass", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Mass}},
				{Name: "pot_temp", Help: "its warmth", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Temp}, Negative: true},
			},
		}}},
		{Name: "word", Help: "explains", Subs: []chat.Sub{{
			Public: true, Run: echo,
			Options: []chat.Option{{Name: "word", Help: "a word", Required: true, Like: "pull"}},
		}}},
		{Name: "thing", Help: "keeps things", Subs: []chat.Sub{
			{Name: "add", Help: "adds one", Writes: true, Run: mix,
				Options: []chat.Option{
					{Name: "name", Help: "its name", Length: 20},
					{Name: "notes", Help: "more", Long: true},
					{Name: "material", Help: "of what"},
				},
				Forms: []chat.Form{
					{Title: "A new thing", Options: []string{"name", "notes"}},
					{Name: "more", Title: "More", Options: []string{"material"}, Fill: func(_ context.Context, c *chat.Call) (map[string]string, error) {
						return map[string]string{"material": "as " + c.Text("name")}, nil
					}},
				}},
			{Name: "edit", Help: "edits one", Run: func(_ context.Context, c *chat.Call) (*chat.Reply, error) {
				return nil, fault.New(fault.UnknownMaterial, "no thing is called %q", c.Text("thing")).In("thing").
					Choose("slow white", strings.Repeat("long ", 40)).Offer(chat2("white", strings.Repeat("x", 80)))
			}, Options: []chat.Option{{Name: "thing", Help: "which"}}},
			{Name: "close", Help: "closes one", Run: echo, Options: []chat.Option{{Name: "name", Help: "its name"}},
				Forms: []chat.Form{{Name: "why", Title: "Why?", Pressed: true, Options: []string{"name"}}}},
			{Name: "panic", Help: "panics", Run: func(context.Context, *chat.Call) (*chat.Reply, error) { panic("a slip") }},
			{Name: "nothing", Help: "answers nothing", Run: func(context.Context, *chat.Call) (*chat.Reply, error) { return nil, nil }},
			{Name: "fail", Help: "fails", Run: func(context.Context, *chat.Call) (*chat.Reply, error) {
				return nil, errors.New("claim rows: secret detail")
			}},
			{Name: "repeat", Help: "was done", Writes: true, Run: func(context.Context, *chat.Call) (*chat.Reply, error) {
				return nil, fmt.Errorf("store: %w", shop.ErrRepeat)
			}},
			{Name: "wait", Help: "waits", Slow: true, Run: func(ctx context.Context, _ *chat.Call) (*chat.Reply, error) {
				<-ctx.Done()
				return nil, ctx.Err()
			}},
		}},
	}
}

func chat2(value, label string) fault.Choice { return fault.Choice{Value: value, Label: label} }

// bench is a dispatcher over a house, with its log.
type bench struct {
	*chat.Dispatcher
	house *house
	log   *bytes.Buffer
}

func newBench(t testing.TB, rate chat.Rate) bench {
	t.Helper()
	b := bench{house: newHouse(), log: &bytes.Buffer{}}
	var err error
	b.Dispatcher, err = chat.New(chat.Config{
		Commands: commands(), People: b.house, Lines: b.house, Rate: rate,
		Log:    slog.New(slog.NewTextHandler(b.log, &slog.HandlerOptions{Level: slog.LevelDebug})),
		NewRef: func() string { return "k3f9-2m" },
		Now:    func() time.Time { return noon },
		Terms: func(text string) []string {
			if strings.Contains(text, "Read mix") {
				return []string{"batch"}
			}
			return nil
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func ada() chat.Invocation {
	return chat.Invocation{At: noon, MemberKey: "local:ada", MemberName: "ada", ShopKey: "local:kettle-lane", ShopName: "kettle-lane", Founds: true}
}

func bram() chat.Invocation {
	inv := ada()
	inv.MemberKey, inv.MemberName = "local:bram", "bram"
	return inv
}

func line(inv chat.Invocation, l string) chat.Invocation { inv.Line = l; return inv }

func pressed(inv chat.Invocation, id string) chat.Invocation { inv.Press = id; return inv }

// answered wants a reply.
func (b bench) answered(t testing.TB, inv chat.Invocation) chat.Answer {
	t.Helper()
	ans := b.Do(context.Background(), inv)
	if ans.Reply == nil {
		t.Fatalf("%s%s: got %v, want a reply", inv.Line, inv.Press, ans.Fault)
	}
	return ans
}

// refused wants a fault with that code.
func (b bench) refused(t testing.TB, inv chat.Invocation, code fault.Code) chat.Answer {
	t.Helper()
	ans := b.Do(context.Background(), inv)
	if ans.Fault == nil || ans.Fault.Code != code {
		t.Fatalf("%s%s: got %v, want %s", inv.Line, inv.Press, ans.Fault, code)
	}
	if !ans.Private {
		t.Errorf("%s: the refusal is public", inv.Line)
	}
	if ans.Reply != nil {
		t.Errorf("%s: a reply beside a refusal", inv.Line)
	}
	return ans
}

func action(t testing.TB, ans chat.Answer, label string) chat.Action {
	t.Helper()
	var all []chat.Action
	if ans.Reply != nil {
		all = ans.Reply.Actions
	}
	all = append(slices.Clone(all), ans.Actions...)
	for _, a := range all {
		if a.Label == label {
			return a
		}
	}
	t.Fatalf("no action %q among %+v", label, all)
	return chat.Action{}
}

func labels(actions []chat.Action) string {
	var out []string
	for _, a := range actions {
		out = append(out, a.Label)
	}
	return strings.Join(out, "|")
}

func (b bench) quiet() *slog.Logger { return slog.New(slog.DiscardHandler) }
