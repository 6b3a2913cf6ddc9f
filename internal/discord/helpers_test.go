package discord

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/discord/fake"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/working"
)

// TestMain looks for goroutines that outlive the tests; gateway tests also
// look one by one. The tests wait more than they compute, for the library's
// second at each close above all: more of them run at a time than there are
// processors, unless one says how many.
func TestMain(m *testing.M) {
	flag.Parse()
	told := false
	flag.Visit(func(f *flag.Flag) { told = told || f.Name == "test.parallel" })
	if !told {
		if err := flag.Set("test.parallel", "8"); err != nil {
			panic(err)
		}
	}
	goleak.VerifyTestMain(m)
}

// people is a store of members, shops and lines in memory.
type people struct {
	mu      sync.Mutex
	members map[string]shop.Member
	shops   map[string]shop.Shop
	lines   map[string]string
}

func newPeople() *people {
	return &people{members: map[string]shop.Member{}, shops: map[string]shop.Shop{}, lines: map[string]string{}}
}

func (p *people) Member(_ context.Context, key, name string, _ time.Time) (shop.Member, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	m, ok := p.members[key]
	if !ok {
		m = shop.Member{ID: shop.MemberID(len(p.members) + 1), Key: key}
	}
	m.Name = name
	p.members[key] = m
	return m, nil
}

func (p *people) Shop(_ context.Context, key, name string, _ shop.MemberID, _ time.Time) (shop.Shop, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	s, ok := p.shops[key]
	if !ok {
		s = shop.Shop{ID: shop.ID(len(p.shops) + 1), Key: key, Name: name, Set: shop.NewSettings()}
		p.shops[key] = s
	}
	return s, nil
}

func (p *people) Manages(context.Context, shop.MemberID, shop.ID) (bool, error) { return false, nil }
func (p *people) SetPrefs(context.Context, shop.Stamp, shop.Prefs) error        { return nil }
func (p *people) SetShop(context.Context, shop.Stamp, shop.Settings) error      { return nil }
func (p *people) SetManager(context.Context, shop.Stamp, shop.MemberID, bool) error {
	return nil
}
func (p *people) Managers(context.Context, shop.Viewer) ([]shop.Member, error) { return nil, nil }

func (p *people) Line(_ context.Context, _ shop.Viewer, id string) (string, bool, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	line, ok := p.lines[id]
	return line, ok, nil
}

func (p *people) SaveLine(_ context.Context, _ shop.Stamp, line string) (string, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	id := fmt.Sprintf("l%d", len(p.lines)+1)
	p.lines[id] = line
	return id, nil
}

// bench is what the test commands reach.
type bench struct {
	mu    sync.Mutex
	calls []chat.Call
	hold  chan struct{} // if not nil, /hold waits for it
	// refusal is what /hold then says, if not nil.
	refusal error
	cards   []shop.Card
	// beside is told with the next answer, once.
	beside *chat.Reply
}

// posted keeps what the desk is told of live cards; the rest is not asked here.
type posted struct {
	shop.Cards
	*bench
}

func (p posted) PostCard(_ context.Context, _ shop.Stamp, c shop.Card, _ time.Time) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.cards = append(p.cards, c)
	return nil
}

func (b *bench) posted() []shop.Card {
	b.mu.Lock()
	defer b.mu.Unlock()
	return slices.Clone(b.cards)
}

func (b *bench) tell(_ context.Context, _ *chat.Call) (*chat.Reply, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	told := b.beside
	b.beside = nil
	return told, nil
}

func (b *bench) note(c *chat.Call) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.calls = append(b.calls, *c)
}

func (b *bench) last(t *testing.T) *chat.Call {
	t.Helper()
	b.mu.Lock()
	defer b.mu.Unlock()
	if len(b.calls) == 0 {
		t.Fatal("no command was called")
	}
	return &b.calls[len(b.calls)-1]
}

// testCommands declare the shapes that the edge must serve: options of every
// kind, files, forms, slow ones, replies with everything in them.
func testCommands(b *bench) []chat.Command {
	names := func(_ context.Context, _ *chat.Call, typed string) ([]chat.Choice, error) {
		return chat.Narrow(typed, []string{"demo rigid white", "demo rigid slow white", "demo casting epoxy"}), nil
	}
	return []chat.Command{
		{Name: "volume", Help: "How much a thing holds", Subs: []chat.Sub{
			{Name: "shape", Help: "Of a shape by its sizes", Computes: true, Options: []chat.Option{
				{Name: "kind", Help: "Which shape", Kind: chat.OneWord, Required: true, Choices: []chat.Choice{{Value: "box"}, {Value: "cone"}}},
				{Name: "size", Help: "Its sizes", Like: "10 x 20 x 5 cm"},
			}, Run: b.shape},
			{Name: "mesh", Help: "Of a 3-D file", Computes: true, Options: []chat.Option{
				{Name: "file", Help: "The mesh", Kind: chat.Attachment, Required: true},
				{Name: "unit", Help: "Unit of its numbers"},
			}, Run: b.mesh},
		}},
		{Name: "mold", Help: "Molds", Subs: []chat.Sub{{
			Name: "add", Help: "Keep a mold", Writes: true,
			Options: []chat.Option{
				{Name: "name", Help: "What you call it", Required: true, Like: "viaduct arch"},
				{Name: "family", Help: "Its rubber", Kind: chat.OneWord, Choices: []chat.Choice{{Value: "condensation"}, {Value: "addition"}}},
				{Name: "photo", Help: "A picture of it", Kind: chat.Attachment},
			},
			Forms: []chat.Form{{Title: "A new mold", Options: []string{"name", "family", "photo"}}},
			Run:   b.add,
		}}},
		{Name: "cure", Help: "When it is hard", Subs: []chat.Sub{{Computes: true, Options: []chat.Option{
			{Name: "material", Help: "Which material", Suggest: names},
			{Name: "thickness", Help: "Thickest section", Kind: chat.Measure, Dims: []quantity.Dim{quantity.Length}},
			{Name: "count", Help: "How many", Kind: chat.Count},
			{Name: "who", Help: "For whom", Kind: chat.Person},
		}, Run: b.shape}}},
		{Name: "pour", Help: "A clock", Subs: []chat.Sub{{Name: "show", Help: "Where it stands", Computes: true, Options: []chat.Option{{Name: "pour", Help: "Which"}}, Run: b.pour}}},
		{Name: "hold", Help: "Waits", Subs: []chat.Sub{{Public: true, Run: b.wait}}},
		{Name: "broken", Help: "Panics", Subs: []chat.Sub{{Public: true, Slow: true, Run: func(context.Context, *chat.Call) (*chat.Reply, error) {
			panic("out of resin")
		}}}},
	}
}

func (b *bench) shape(_ context.Context, c *chat.Call) (*chat.Reply, error) {
	b.note(c)
	return &chat.Reply{
		Title:    "A box holds 336 mL",
		Facts:    []chat.Fact{chat.Num("volume", "Volume", 336, quantity.Volume, quantity.Metric)},
		Steps:    []string{"Measure again inside the mold"},
		Notes:    []string{"Sizes as typed"},
		Cautions: []chat.Caution{{ID: "gloves", Text: "Wear nitrile gloves.", Full: "Wear nitrile gloves and glasses; read the sheet."}},
		Working:  []working.Step{{What: "volume", Formula: "l·w·h", Value: "120 × 80 × 35 mm = 336 mL", Source: working.Definition}},
		Actions:  []chat.Action{{Label: "In a cone", Do: chat.DoReplace, Line: "/volume shape kind:cone"}},
	}, nil
}

func (b *bench) mesh(_ context.Context, c *chat.Call) (*chat.Reply, error) {
	b.note(c)
	f := c.File("file")
	return &chat.Reply{
		Title:  fmt.Sprintf("%s has %d bytes", f.Name, len(f.Data)),
		Images: []chat.Image{{Name: "section.png", Alt: "The mesh cut open", Data: []byte("\x89PNG\r\n\x1a\n")}},
	}, nil
}

func (b *bench) pour(_ context.Context, c *chat.Call) (*chat.Reply, error) {
	b.note(c)
	return &chat.Reply{Title: "Pot life", Live: &chat.Live{Pour: 12, Next: c.At.Add(time.Minute), Over: c.Text("pour") == "over"}}, nil
}

func (b *bench) add(_ context.Context, c *chat.Call) (*chat.Reply, error) {
	b.note(c)
	return &chat.Reply{Title: "Kept " + c.Text("name")}, nil
}

func (b *bench) wait(ctx context.Context, c *chat.Call) (*chat.Reply, error) {
	b.note(c)
	select {
	case <-b.hold:
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	if b.refusal != nil {
		return nil, b.refusal
	}
	return &chat.Reply{Title: "Done waiting"}, nil
}

func newDesk(t testing.TB, b *bench) *chat.Dispatcher {
	t.Helper()
	p := newPeople()
	d, err := chat.New(chat.Config{Commands: testCommands(b), People: p, Lines: p, Log: slog.New(slog.DiscardHandler),
		NewRef: func() string { return "ref-1" }, Now: time.Now, Cards: posted{bench: b}, Beside: b.tell})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// journal is a log that tests can read.
type journal struct {
	mu   sync.Mutex
	buf  bytes.Buffer
	news chan struct{} // closed at the next line; nil if nobody waits
}

func (j *journal) Write(p []byte) (int, error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.news != nil {
		close(j.news)
		j.news = nil
	}
	return j.buf.Write(p)
}

// await waits until the log says something.
func (j *journal) await(t *testing.T, what string) {
	t.Helper()
	late := time.After(surely)
	for {
		j.mu.Lock()
		if j.news == nil {
			j.news = make(chan struct{})
		}
		said, news := strings.Contains(j.buf.String(), what), j.news
		j.mu.Unlock()
		if said {
			return
		}
		select {
		case <-news:
		case <-late:
			t.Fatalf("the log does not say %q:\n%s", what, j)
		}
	}
}

func (j *journal) String() string {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.buf.String()
}

func (j *journal) logger() *slog.Logger {
	return slog.New(slog.NewTextHandler(j, &slog.HandlerOptions{Level: slog.LevelDebug}))
}

// surely bounds a wait for what will come, however slow the machine: nothing is
// judged by it.
const surely = time.Minute

// quickPace keeps the supervisor's rules but not its hours. Waits are short;
// what an answer may take is long, so that how busy the machine is decides
// nothing. What happens when is looked at in TestAnswersInTime.
func quickPace() pace {
	return pace{ready: surely, identify: 20 * time.Millisecond, backoffMin: 20 * time.Millisecond,
		backoffMax: 200 * time.Millisecond, healthy: time.Minute, drain: surely,
		headers: surely, body: surely,
		one: patience{foresee: 40 * time.Second, announce: 40 * time.Second, form: 40 * time.Second, answer: 50 * time.Second, old: 50 * time.Second,
			yield: 50 * time.Millisecond, complete: 40 * time.Second}}
}

// soon has an answer announced as soon as it is not there.
func soon(_ *Config, p *pace) { p.one.announce = time.Millisecond }

// waits makes the service wait for answers as long as the pace is.
func waits(s *fake.Server, p pace) { s.Patience(p.one.answer + 5*time.Second) }

// running is a gateway at work against a fake service.
type running struct {
	*fake.Server
	bench *bench
	log   *journal
	stop  func() error
	done  chan error
}

// run starts a gateway and stops it when the test ends, then looks for secrets
// in the log.
func run(t *testing.T, s *fake.Server, change func(*Config, *pace)) *running {
	t.Helper()
	return runWay(t, s, change, func(cfg Config, p pace, desk Desk) (func(context.Context) error, error) {
		g, err := New(cfg, desk)
		if err != nil {
			return nil, err
		}
		g.keepPace(p)
		return g.Run, nil
	})
}

// runPosted is run for signed interactions that are posted: without a token,
// as answering needs none.
func runPosted(t *testing.T, s *fake.Server, change func(*Config, *pace)) *running {
	t.Helper()
	return runWay(t, s, change, func(cfg Config, p pace, desk Desk) (func(context.Context) error, error) {
		cfg.Token, cfg.ApplicationID, cfg.PublicKey = "", fake.ApplicationID, s.PublicKey()
		if cfg.Listen == "" {
			cfg.Listen = "127.0.0.1:0"
		}
		e, err := NewEndpoint(cfg, desk)
		if err != nil {
			return nil, err
		}
		e.keepPace(p)
		scheme := "http://"
		if cfg.TLSCert != "" {
			scheme = "https://"
		}
		s.PostTo(nil, scheme+e.Addr()+endpointPath)
		return e.Run, nil
	})
}

// way starts a bot over one of the two ways in.
type way func(*testing.T, *fake.Server, func(*Config, *pace)) *running

// ways share all that is tested over both.
var ways = map[string]way{"gateway": run, "posted": runPosted}

// bothWays runs a test over each way in.
func bothWays(t *testing.T, test func(t *testing.T, begin way)) {
	t.Helper()
	t.Parallel()
	for name, begin := range ways {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			test(t, begin)
		})
	}
}

func runWay(t *testing.T, s *fake.Server, change func(*Config, *pace), make func(Config, pace, Desk) (func(context.Context) error, error)) *running {
	t.Helper()
	r := &running{Server: s, bench: &bench{}, log: &journal{}, done: newDone()}
	cfg := Config{Token: fake.Token, APIBase: s.APIBase(), Log: r.log.logger(), Version: "test"}
	p := quickPace()
	if change != nil {
		change(&cfg, &p)
	}
	waits(s, p)
	work, err := make(cfg, p, newDesk(t, r.bench))
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	go func() { r.done <- work(ctx) }()
	var once sync.Once
	var ended error
	r.stop = func() error {
		cancel()
		once.Do(func() {
			select {
			case ended = <-r.done:
			case <-time.After(2 * surely):
				t.Error("it did not stop")
			}
		})
		return ended
	}
	t.Cleanup(func() {
		if err := r.stop(); err != nil && !t.Failed() {
			t.Errorf("Run: %v", err)
		}
		checkSecrets(t, r.log.String())
	})
	return r
}

func newDone() chan error { return make(chan error, 1) }

// checkSecrets fails when a log line holds a token.
func checkSecrets(t *testing.T, log string) {
	t.Helper()
	for _, secret := range []string{fake.Token, "demo-token-", "press-7", "form-7", "fresh-7", "?ex=", "viaduct_pier"} {
		if strings.Contains(log, secret) {
			t.Errorf("the log holds %q:\n%s", secret, log)
		}
	}
}

var testTime = time.Date(2026, 11, 25, 10, 0, 0, 0, time.UTC)

// big is a permission set as the service writes it.
func big(n uint64) string { return fmt.Sprint(n) }

func fakeExample(name string) ([]byte, error) {
	var failed failing
	raw := fake.Example(&failed, name)
	return raw, failed.err
}

// failing collects a failure where there is no test to fail.
type failing struct{ err error }

func (f *failing) Helper()                      {}
func (f *failing) Errorf(s string, args ...any) { f.err = fmt.Errorf(s, args...) }
func (f *failing) Cleanup(func())               {}
