package main

import (
	"encoding/json"
	"fmt"
	"maps"
	mrand "math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/discord/fake"
	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// killing is a chat service, a program that serves it and is killed over and
// over, and what was asked of it.
type killing struct {
	testing.TB
	service *fake.Server
	path    string
	random  *mrand.Rand
	db      *sqlite.DB // beside the program
	by      shop.Viewer
	mold    shop.Mold
	drum    shop.Container // from which every pour is drawn
	readies int
	sent    []asked
	// at is where interactions are posted, "" where they come over the gateway.
	at string
	// mute leaves the token out.
	mute bool
}

// asked is one interaction that was sent.
type asked struct {
	sub   string // of /pour
	pour  int64  // 0 for a start
	raw   []byte
	shown *fake.Exchange
}

const pourer = "715000000000000101"

// startKilling sets a shop up in which a material is poured into a mold.
func startKilling(t testing.TB) *killing {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	k := &killing{TB: t, service: patientService(t), path: filepath.Join(t.TempDir(), "shop.db"), random: mrand.New(mrand.NewPCG(seed, 0))}
	k.db, k.by = openAs(t, k.path, "discord:"+pourer, "discord:"+fake.GuildID)
	t.Cleanup(func() {
		if err := k.db.Close(); err != nil {
			t.Error(err)
		}
	})
	stamp := shop.Stamp{By: k.by, At: time.Now()}
	warm := 23.0
	white, err := k.db.AddMaterial(t.Context(), stamp, material.Profile{
		Name: "slow white", Family: material.Urethane, Ratio: quantity.Ratio{A: 1, B: 1, By: quantity.ByVolume},
		DensityA: 1.10, DensityB: 1.02, PotLife: 480, PotLifeMass: 100, PotLifeTemp: &warm, Demold: 2400, DemoldSection: 6,
	}, true)
	if err != nil {
		t.Fatal(err)
	}
	drum := shop.Container{MaterialID: white.ID, OpenedOn: stamp.At.UTC().Truncate(24 * time.Hour), ContainerPlan: shop.ContainerPlan{Material: white.Name, Part: "kit", A: 1e6, B: 1e6}}
	if k.drum, err = k.db.AddContainer(t.Context(), stamp, drum); err != nil {
		t.Fatal(err)
	}
	k.mold, err = k.db.AddMold(t.Context(), stamp, shop.MoldProfile{Name: "block", Family: "condensation", Volume: 20, Cavities: 1, Thickest: 12, Thinnest: 6, ReleaseEvery: 5}, true)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// serve starts the program and waits until it hears the service.
func (k *killing) serve() (*exec.Cmd, *output) {
	k.Helper()
	c, errs := exec.Command("pourwright-hurried", "serve", "--db", k.path), &output{}
	c.Dir, c.Stderr = k.TempDir(), errs
	c.Env = append(os.Environ(), k.environ()...)
	if err := c.Start(); err != nil {
		k.Fatal(err)
	}
	k.ready(errs)
	return c, errs
}

// environ sets a program up for the service.
func (k *killing) environ() []string {
	set := []string{"POURWRIGHT_TOKEN=" + fake.Token, "POURWRIGHT_API_BASE=" + k.service.APIBase()}
	if k.at == "" {
		return set
	}
	if k.mute {
		set = set[1:]
	}
	return append(set, "POURWRIGHT_APPLICATION_ID="+fake.ApplicationID, "POURWRIGHT_HTTP_LISTEN="+k.at, "POURWRIGHT_PUBLIC_KEY="+k.service.PublicKey())
}

// ready waits until a program that was started hears the service.
func (k *killing) ready(errs *output) {
	k.Helper()
	if k.at != "" {
		errs.await(k.TB, "answering signed interactions")
		k.service.PostTo(nil, "http://"+k.at+"/interactions")
		return
	}
	k.readies++
	if !k.service.AwaitReady(k.readies) {
		k.Fatalf("the program does not connect:\n%s", errs)
	}
}

// ask sends /pour with its options.
func (k *killing) ask(sub string, pour int64, options ...any) {
	k.Helper()
	if pour != 0 {
		options = append(options, map[string]any{"type": 3, "name": "pour", "value": fmt.Sprintf("#%d", pour)})
	}
	raw := k.service.Fresh(fake.With(k.T(), fake.Example(k.T(), "02_slash_subcommand_strings"), map[string]any{
		"member.user.id": pourer,
		"data":           map[string]any{"id": "1", "name": "pour", "type": 1, "options": []any{map[string]any{"type": 1, "name": sub, "options": append([]any{}, options...)}}},
	}))
	k.sent = append(k.sent, asked{sub, pour, raw, k.service.Send(raw)})
}

// T is the test as the fake takes it.
func (k *killing) T() fake.T { return k.TB }

// step does one thing at random: begin a pour and show it to all, say what is
// found at one, close it, or have the service deliver something twice.
func (k *killing) step() {
	k.Helper()
	text := func(name string, value any) any { return map[string]any{"type": 3, "name": name, "value": value} }
	open := k.pours(func(p shop.Pour) bool { return !p.State.Ended() })
	switch n := k.random.IntN(10); {
	case len(open) > 1 && !k.toldDone(): // so that even a few rounds close one
		k.ask("done", open[k.random.IntN(len(open))].ID)
	case n < 2 && len(k.sent) > 0:
		again := k.sent[k.random.IntN(len(k.sent))]
		k.service.Redeliver(again.raw, again.shown)
	case n < 6 || len(open) == 0:
		k.ask("start", 0, text("material", "slow white"), text("mold", "block"), map[string]any{"type": 5, "name": "show", "value": true})
	default:
		p := open[k.random.IntN(len(open))]
		k.ask([]string{"done", "done", "ready", "soft"}[k.random.IntN(4)], p.ID)
	}
}

// toldDone reports whether a member was told that a pour is done.
func (k *killing) toldDone() bool {
	return slices.ContainsFunc(k.sent, func(a asked) bool {
		shown := a.shown.First()
		return a.sub == "done" && shown != nil && strings.Contains(shown.Text(), "Done:")
	})
}

func (k *killing) pours(which func(shop.Pour) bool) (found []shop.Pour) {
	k.Helper()
	all, err := k.db.Pours(k.Context(), k.by, 10000)
	if err != nil {
		k.Fatal(err)
	}
	for _, p := range all {
		if which(p) {
			found = append(found, p)
		}
	}
	return found
}

// hurt makes the service fail in one of its ways.
func (k *killing) hurt() {
	faults := []fake.Fault{{Status: 500}, {Status: 500, After: true}, {Drop: true}, {DropAfter: true}, {Delay: 200 * time.Millisecond}}
	f := faults[k.random.IntN(len(faults))]
	f.Route = []string{"PATCH /channels/{channel}/messages/{message}", "POST /channels/{channel}/messages"}[k.random.IntN(2)]
	k.service.Inject(f)
}

var pourNumber = regexp.MustCompile(`It is pour .?#(\d+)`)

// TestPoursSurviveKills kills a serving program at random moments while pours
// are begun, answered and closed, and their cards kept up to date, over a
// service that fails and delivers twice. What was acknowledged is there; nothing
// is there twice or by half; in the end each card shows what became of its pour.
func TestPoursSurviveKills(t *testing.T) {
	t.Parallel()
	rounds := 20
	if n, err := strconv.Atoi(os.Getenv(killRounds)); err == nil {
		rounds = n
	}
	t.Run("gateway", func(t *testing.T) {
		t.Parallel()
		testPoursSurviveKills(t, rounds, "")
	})
	t.Run("posted", func(t *testing.T) {
		t.Parallel()
		testPoursSurviveKills(t, max(rounds/2, 5), freeAddress(t))
	})
}

func testPoursSurviveKills(t *testing.T, rounds int, at string) {
	k := startKilling(t)
	k.at = at
	for n := range rounds {
		c, _ := k.serve()
		if n == 0 {
			k.acknowledge()
		}
		for range 1 + k.random.IntN(3) {
			k.step()
			time.Sleep(time.Duration(k.random.IntN(300)) * time.Millisecond)
		}
		if k.random.IntN(2) == 0 {
			k.hurt()
		}
		time.Sleep(time.Duration(k.random.IntN(900)) * time.Millisecond)
		if err := c.Process.Kill(); err != nil {
			t.Error(err)
		}
		_ = c.Wait() // it was killed
	}
	begun, closed := k.checkAcknowledged()
	c, errs := k.serve()
	k.closeAll()
	for end := time.Now().Add(2 * surely); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		_, left, err := k.db.NextCard(t.Context(), "discord")
		if err != nil {
			t.Fatal(err)
		}
		if !left {
			break
		}
	}
	if err := c.Process.Signal(os.Interrupt); err != nil {
		t.Error(err)
	}
	if err := c.Wait(); err != nil {
		t.Errorf("the last run ended with %v:\n%s", err, errs)
	}
	cards := k.checkCards()
	t.Logf("%d interactions, %d pours acknowledged, %d closed, %d cards edited %d times, over %d kills",
		len(k.sent), begun, closed, cards, len(k.service.Edits()), rounds)
	if begun == 0 || closed == 0 || cards == 0 {
		t.Error("no round lived long enough; nothing was tested")
	}
}

// acknowledge lets a program live until a pour was begun, another one closed, and
// a card of them kept, so that there is something to lose however slow the
// machine.
func (k *killing) acknowledge() {
	k.Helper()
	for end := time.Now().Add(surely); !k.toldDone() || len(k.cards()) == 0; time.Sleep(50 * time.Millisecond) { // a pour that has only just begun can't be done
		if time.Now().After(end) {
			k.Fatal("no pour is closed, or no card is kept")
		}
		k.step()
		k.sent[len(k.sent)-1].shown.Await()
	}
}

// checkAcknowledged holds what members were told against what is kept.
func (k *killing) checkAcknowledged() (begun, closed int) {
	k.Helper()
	starts := 0
	states := map[int64]shop.PourState{}
	for _, p := range k.pours(func(shop.Pour) bool { return true }) {
		states[p.ID] = p.State
	}
	numbers := map[int64]int{}
	for _, a := range k.sent {
		text := ""
		if shown := a.shown.First(); shown != nil {
			text = shown.Text()
		}
		switch m := pourNumber.FindStringSubmatch(text); {
		case a.sub == "start":
			starts++
			if m == nil {
				continue
			}
			id, _ := strconv.ParseInt(m[1], 10, 64)
			numbers[id]++
			begun++
			if states[id] == "" {
				k.Errorf("pour %d was acknowledged and is not kept", id)
			}
		case a.sub == "done" && strings.Contains(text, "Done:"):
			closed++
			if states[a.pour] != shop.PourDone {
				k.Errorf("pour %d was told to be done and is %s", a.pour, states[a.pour])
			}
		}
	}
	if len(states) > starts {
		k.Errorf("%d pours are kept of %d that were asked for", len(states), starts)
	}
	for id, n := range numbers {
		if n != 1 {
			k.Errorf("pour %d was begun by %d calls", id, n)
		}
	}
	k.checkPulls()
	k.checkDraws(slices.Collect(maps.Keys(states)))
	return begun, closed
}

// checkDraws wants both parts of each pour taken out of the drum once.
func (k *killing) checkDraws(pours []int64) {
	k.Helper()
	log, err := k.db.ContainerLog(k.Context(), k.by, k.drum.ID, 10000)
	if err != nil {
		k.Fatal(err)
	}
	var drawn []int64
	for _, e := range log {
		if e.What == shop.StockPoured && e.A > 0 && e.B > 0 {
			drawn = append(drawn, e.Pour)
		}
	}
	slices.Sort(drawn)
	slices.Sort(pours)
	if !slices.Equal(drawn, pours) {
		k.Errorf("out of the drum were taken pours %v, and kept are %v", drawn, pours)
	}
}

// checkPulls wants a pull for each pour that is done, and for no other.
func (k *killing) checkPulls() {
	k.Helper()
	done := len(k.pours(func(p shop.Pour) bool { return p.State == shop.PourDone }))
	m, err := k.db.Mold(k.Context(), k.by, k.mold.ID, 0)
	if err != nil || m.PullsSoFar() != done {
		k.Errorf("%d pulls are counted of %d pours that are done, %v", m.PullsSoFar(), done, err)
	}
}

// closeAll closes what is open, beside the serving program.
func (k *killing) closeAll() {
	k.Helper()
	for _, p := range k.pours(func(p shop.Pour) bool { return !p.State.Ended() }) {
		end := shop.PourEnd{State: shop.PourDone, Good: 1, Pulls: []shop.PourPull{{Mold: k.mold.ID, Good: true}}}
		if _, err := k.db.EndPour(k.Context(), shop.Stamp{By: k.by, At: time.Now().Add(time.Second)}, p.ID, end); err != nil {
			k.Errorf("close pour %d: %v", p.ID, err)
		}
	}
	k.checkPulls()
}

// checkCards wants each card that is kept to show that its pour is done.
func (k *killing) checkCards() (n int) {
	k.Helper()
	cards := k.cards()
	for _, c := range cards {
		shown := k.service.Standing(c.Message)
		if shown == nil || !strings.Contains(shown.Text(), "done") || c.State != "over" {
			k.Errorf("the card of pour %d is %s and shows %+v", c.Pour, c.State, shown)
		}
	}
	return len(cards)
}

// keptCard is a card as the export of its member has it.
type keptCard struct {
	Pour           int64
	Message, State string
}

func (k *killing) cards() []keptCard {
	k.Helper()
	raw, err := k.db.Export(k.Context(), k.by)
	if err != nil {
		k.Fatal(err)
	}
	var kept struct{ Cards []keptCard }
	if err := json.Unmarshal(raw, &kept); err != nil {
		k.Fatal(err)
	}
	return kept.Cards
}
