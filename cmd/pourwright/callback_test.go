package main

import (
	"context"
	"crypto/rand"
	"fmt"
	"io"
	mrand "math/rand/v2"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"go.uber.org/goleak"

	"github.com/pourwright/pourwright/internal/console"
	"github.com/pourwright/pourwright/internal/discord/fake"
	"github.com/pourwright/pourwright/internal/remind"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// openAs opens a database beside the program, with a member in a shop.
func openAs(t testing.TB, path, member, in string) (*sqlite.DB, shop.Viewer) {
	t.Helper()
	ctx := context.Background()
	limits := store.DefaultLimits()
	limits.PastDues = 1e6 // what is past is counted in the end
	db, err := sqlite.Open(ctx, sqlite.Config{Path: path, Rand: rand.Reader, Limits: limits})
	if err != nil {
		t.Fatal(err)
	}
	m, err := db.Member(ctx, member, "", time.Now())
	if err != nil {
		t.Fatal(err)
	}
	s, err := db.Shop(ctx, in, "", m.ID, time.Now())
	if err != nil {
		t.Fatal(err)
	}
	return db, shop.Viewer{Member: m, Shop: s}
}

func addDue(t testing.TB, db *sqlite.DB, v shop.Viewer, about, place string, at time.Time) shop.Due {
	t.Helper()
	d, err := db.AddDue(context.Background(), shop.Stamp{By: v, At: time.Now()},
		shop.Due{At: at, DuePlan: shop.DuePlan{About: about, First: at, Zone: "UTC", Place: place}})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// A call comes in the terminal and on the page, and its button works.
func TestTryCallsBack(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	path := filepath.Join(t.TempDir(), "shop.db")
	db, ada := openAs(t, path, "local:ada", "local:kettle-lane")
	addDue(t, db, ada, "wipe the mold", "", time.Now().Add(-2*time.Hour))
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	defer w.Close()
	t.Setenv("TMPDIR", t.TempDir())
	out, errs, end := start(t, r, nil, "try", "--db", path)
	text := out.await(t, "[1] Snooze 10 min   [2] Done")
	if !strings.Contains(text, "Reminder: wipe the mold") || !strings.Contains(text, "2 h late") {
		t.Errorf("the terminal shows:\n%s", text)
	}
	client := &http.Client{Transport: &http.Transport{DisableKeepAlives: true}}
	answer, err := client.Get(pageURL.FindString(text))
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil || !strings.Contains(string(body), "Reminder: wipe the mold") || !strings.Contains(string(body), "Snooze 10 min") {
		t.Errorf("the page, %v:\n%.3000s", err, body)
	}
	if _, err := io.WriteString(w, "1\n"); err != nil {
		t.Fatal(err)
	}
	out.await(t, "You will be called at")
	if s := end(); s != console.Answered {
		t.Errorf("status %d; errors:\n%s", s, errs)
	}
	all, err := db.Dues(t.Context(), ada, 10)
	if err != nil || len(all) != 1 || all[0].Count != 1 || time.Until(all[0].At) < 9*time.Minute {
		t.Errorf("kept: %+v, %v", all, err)
	}
	if err := db.Close(); err != nil {
		t.Error(err)
	}
}

const (
	killRounds   = "POURWRIGHT_KILL_ROUNDS" // how often the program is killed; 20 if not set
	calledMember = "80351110224678912"
)

// TestCallsSurviveKills kills a serving program at random moments while it
// calls members back and the chat service fails in each way it can. In the end
// no call is lost and, counted at the service, none was shown twice.
func TestCallsSurviveKills(t *testing.T) {
	t.Parallel()
	rounds := 20
	if n, err := strconv.Atoi(os.Getenv(killRounds)); err == nil {
		rounds = n
	}
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	random := mrand.New(mrand.NewPCG(seed, 0))
	service := patientService(t)
	defer service.Close()
	path := filepath.Join(t.TempDir(), "shop.db")
	db, v := openAs(t, path, "discord:"+calledMember, "discord:"+fake.GuildID)
	serve := func() (*exec.Cmd, *output) {
		c, errs := exec.Command("pourwright-hurried", "serve", "--db", path), &output{}
		c.Dir, c.Stderr = t.TempDir(), errs
		c.Env = append(os.Environ(), "POURWRIGHT_TOKEN="+fake.Token, "POURWRIGHT_API_BASE="+service.APIBase())
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		return c, errs
	}
	const route = "POST /channels/{channel}/messages"
	faults := []fake.Fault{{Route: route, Status: 500}, {Route: route, Status: 500, After: true}, {Route: route, Drop: true},
		{Route: route, DropAfter: true}, {Route: route, Delay: 200 * time.Millisecond}}
	var added []shop.Due
	// waiting counts the calls that nobody was shown yet.
	waiting := func() (n int) {
		for _, d := range added {
			if got, err := db.Due(t.Context(), v, d.ID); err != nil || got.State != shop.DueSent {
				n++
			}
		}
		return n
	}
	for range rounds {
		for i := range 1 + random.IntN(4) {
			place := []string{fake.ChannelID, ""}[random.IntN(2)]
			added = append(added, addDue(t, db, v, fmt.Sprint("call ", len(added), " ", i), place, time.Now().Add(time.Duration(random.IntN(400))*time.Millisecond)))
		}
		if random.IntN(2) == 0 {
			service.Inject(faults[random.IntN(len(faults))])
		}
		c, _ := serve()
		time.Sleep(time.Duration(random.IntN(700)) * time.Millisecond)
		// One message lists twenty: a program that never lives long enough to call
		// would have more to tell at last than it lists.
		for end := time.Now().Add(2 * surely); waiting() > 12 && time.Now().Before(end); {
			time.Sleep(5 * time.Millisecond)
		}
		if err := c.Process.Kill(); err != nil {
			t.Error(err)
		}
		_ = c.Wait() // it was killed
	}
	shownOften := map[int64]int{}
	c, errs := serve()
	for end := time.Now().Add(2 * surely); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		_, left, err := db.NextDue(t.Context(), "discord")
		if err != nil {
			t.Fatal(err)
		}
		if !left {
			break
		}
	}
	errs.await(t, "serving")
	if err := c.Process.Signal(os.Interrupt); err != nil {
		t.Error(err)
	}
	if err := c.Wait(); err != nil {
		t.Errorf("the last run ended with %v:\n%s", err, errs)
	}
	for _, p := range service.Posts() {
		text := fmt.Sprint(p.Body["embeds"])
		for _, d := range added {
			if strings.Contains(text, d.About+" ") || strings.Contains(text, d.About+"]") || strings.Contains(text, d.About+",") {
				shownOften[d.ID]++
			}
		}
	}
	for _, d := range added {
		got, err := db.Due(t.Context(), v, d.ID)
		if err != nil || got.State != shop.DueSent {
			t.Errorf("%s is %s, %v", d.About, got.State, err)
		}
		if n := shownOften[d.ID]; n != 1 {
			t.Errorf("%s was shown %d times", d.About, n)
		}
	}
	t.Logf("%d calls in %d messages over %d kills", len(added), len(service.Posts()), rounds)
	if err := db.Close(); err != nil {
		t.Error(err)
	}
}

// From end to end through the chat service: a member asks to be called back in
// a channel, is called there and nobody else is, and presses a button of the
// call. Then the channel is closed, and the next call comes alone.
func TestServeCallsBack(t *testing.T) {
	t.Parallel()
	service := patientService(t)
	defer service.Close()
	var shift atomic.Int64
	now := func() time.Time { return time.Now().Add(time.Duration(shift.Load())) }
	errs := &output{}
	ctx, cancel := context.WithCancel(t.Context())
	p := program{
		Args: []string{"serve", "--db", filepath.Join(t.TempDir(), "shop.db")}, Out: io.Discard, Err: errs, Now: now, Rand: rand.Reader, AnswerIn: patient,
		Environ: []string{"POURWRIGHT_TOKEN=" + fake.Token, "POURWRIGHT_API_BASE=" + service.APIBase()},
		Pace:    remind.Pace{Poll: 20 * time.Millisecond},
	}
	done := make(chan console.Status, 1)
	go func() { done <- p.Run(ctx) }()
	defer func() {
		cancel()
		if s := <-done; s != console.Answered {
			t.Errorf("status %d; the log is:\n%s", s, errs)
		}
	}()
	const user = "715000000000000101"
	slash := func(sub string, options map[string]string) *fake.Shown {
		t.Helper()
		list := []any{}
		for name, value := range options {
			list = append(list, map[string]any{"type": 3, "name": name, "value": value})
		}
		return service.Send(service.Fresh(fake.With(t, fake.Example(t, "02_slash_subcommand_strings"), map[string]any{
			"member.user.id": user,
			"data":           map[string]any{"id": "1", "name": "due", "type": 1, "options": []any{map[string]any{"type": 1, "name": sub, "options": list}}},
		}))).Await()
	}
	if shown := slash("add", map[string]string{"about": "wipe the mold @everyone", "in": "1 h"}); !strings.Contains(shown.Text(), "this channel") {
		t.Errorf("the answer is %s", shown.Text())
	}
	if n := len(service.Posts()); n != 0 {
		t.Fatalf("%d calls an hour early", n)
	}
	shift.Add(int64(time.Hour))
	if !service.AwaitPosts(1, surely) {
		t.Fatalf("nobody is called; the log is:\n%s", errs)
	}
	call := service.Posts()[0]
	if call.Channel != fake.ChannelID || call.Body["content"] != "<@"+user+">" {
		t.Errorf("called by %+v", call)
	}
	shown := &fake.Shown{Kind: fake.Message, Body: call.Body}
	snooze := fake.With(t, service.Press(shown, shown.Button("Snooze 10 min")), map[string]any{"member.user.id": user})
	if answer := service.Send(snooze).Await(); !strings.Contains(answer.Text(), "You will be called at") {
		t.Errorf("snoozed: %s", answer.Text())
	}
	stranger := fake.With(t, service.Press(shown, shown.Button("Done")), map[string]any{"member.user.id": "715000000000000777"})
	if answer := service.Send(stranger).Await(); strings.Contains(answer.Text(), "Done:") {
		t.Errorf("a stranger's press: %s", answer.Text())
	}
	service.CloseChannel(fake.ChannelID, 50013)
	shift.Add(int64(10 * time.Minute))
	if !service.AwaitPosts(2, surely) {
		t.Fatalf("not called alone; the log is:\n%s", errs)
	}
	if again := service.Posts()[1]; again.Channel != fake.DirectChannel(user) {
		t.Errorf("called again by %+v", again)
	}
	service.CloseChannel(fake.DirectChannel(user), 50007)
	slash("add", map[string]string{"about": "look at the jugs", "in": "1 h", "to": "dm"})
	shift.Add(int64(time.Hour))
	errs.await(t, "did not go through")
	for end := time.Now().Add(surely); ; time.Sleep(20 * time.Millisecond) {
		text := slash("list", nil).Text()
		if strings.Contains(text, "Missed") && strings.Contains(text, "look at the jugs") {
			break
		}
		if time.Now().After(end) {
			t.Fatalf("the list does not say what was missed: %s", text)
		}
	}
}
