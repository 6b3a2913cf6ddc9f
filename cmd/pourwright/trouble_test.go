package main

import (
	"bytes"
	"context"
	"database/sql"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/console"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/remind"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// told keeps the titles of the calls that come, and the cards that are shown.
type told struct {
	mu    sync.Mutex
	calls []string
	cards []string
}

func (s *told) Send(_ context.Context, m chat.Message) (chat.Outcome, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.calls = append(s.calls, m.Reply.Title)
	return chat.Shown, nil
}

func (s *told) Look(_ context.Context, m chat.Message) (chat.Outcome, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if slices.Contains(s.calls, m.Reply.Title) {
		return chat.Shown, nil
	}
	return chat.Unseen, nil
}

func (s *told) Edit(_ context.Context, _, _ string, r *chat.Reply) (chat.Outcome, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.cards = append(s.cards, r.Title)
	return chat.Shown, nil
}

func (s *told) count(of *[]string) int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(*of)
}

// troubled is a database whose disk or lock gets into trouble while members
// are called back and cards are shown.
type troubled struct {
	testing.TB
	db   *sqlite.DB
	desk *chat.Dispatcher
	by   shop.Viewer
	told *told
	log  *output
	pour int64
	// ahead moves the loop's clock.
	ahead atomic.Int64
}

// troubles starts the loop over a database with a pour whose card is shown.
func troubles(t testing.TB, path string) *troubled {
	t.Helper()
	x := &troubled{TB: t, told: &told{}, log: &output{}}
	p := program{Now: x.now, Rand: bytes.NewReader(bytes.Repeat([]byte{7, 1, 3}, 1e6)), Pace: remind.Pace{Lease: time.Second, Poll: 50 * time.Millisecond, Pause: 50 * time.Millisecond}}
	log := slog.New(slog.NewTextHandler(x.log, nil))
	x.db, x.by = openAs(t, path, "local:ada", "local:hall")
	var err error
	if x.desk, err = p.newDesk(x.db, log, mesh.DeskLimits(), chat.Rate{}, "", nil); err != nil {
		t.Fatal(err)
	}
	x.must(`/material add name:"slow white" family:urethane ratio:"1:1 vol" pot_life:"8 min, 100 g, 23 C" demold:"40 min, 6 mm"`)
	x.must(`/pour start material:"slow white" thickness:"12 mm"`)
	pours, err := x.db.Pours(t.Context(), x.by, 1)
	if err != nil || len(pours) != 1 {
		t.Fatalf("%d pours, %v", len(pours), err)
	}
	x.pour = pours[0].ID
	if err := x.db.PostCard(t.Context(), shop.Stamp{By: x.by, At: time.Now()}, shop.Card{Pour: x.pour, Place: "hall", Message: "1"}, time.Time{}); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- p.callsBack(x.db, "local", x.told, x.desk, log, nil).Run(ctx) }()
	t.Cleanup(func() {
		cancel()
		if err := <-ended; err != nil {
			t.Errorf("the loop ended with %v", err)
		}
		if err := x.db.Close(); err != nil {
			t.Error(err)
		}
	})
	return x
}

func (x *troubled) now() time.Time { return time.Now().Add(time.Duration(x.ahead.Load())) }

// dueSoon adds a call that comes due when soon is called, and not before.
func (x *troubled) dueSoon(about string) (soon func()) {
	x.Helper()
	addDue(x, x.db, x.by, about, "", x.now().Add(time.Minute))
	return func() { x.ahead.Add(int64(time.Minute + time.Second)) }
}

func (x *troubled) ask(line string) chat.Answer {
	x.Helper()
	inv := console.Local("ada", "hall").Invocation(x.now())
	inv.Line = line
	return x.desk.Do(context.Background(), inv)
}

func (x *troubled) must(line string) {
	x.Helper()
	if ans := x.ask(line); ans.Reply == nil {
		x.Fatalf("%s: %v", line, ans.Fault)
	}
}

// refused asks until the trouble is felt, and wants that code with a hint and
// without a path or a trace.
func (x *troubled) refused(line string, code fault.Code) {
	x.Helper()
	for end := time.Now().Add(surely); ; {
		ans := x.ask(line)
		switch {
		case ans.Fault == nil && time.Now().Before(end):
			continue // there was room for this one
		case ans.Fault == nil:
			x.Fatalf("%s is carried out all the time", line)
		case ans.Fault.Code != code || ans.Fault.HintText() == "" || strings.Contains(ans.Fault.Message+ans.Fault.HintText(), "/"):
			x.Errorf("%s: %s %q, hint %q; want %s", line, ans.Fault.Code, ans.Fault.Message, ans.Fault.HintText(), code)
		}
		return
	}
}

// await waits for so many.
func (x *troubled) await(what string, of *[]string, n int) {
	x.Helper()
	for end := time.Now().Add(surely); x.told.count(of) < n; time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			x.Fatalf("%d %s came, want %d; the log is:\n%s", x.told.count(of), what, n, x.log)
		}
	}
}

// notes is how many are kept with the pour.
func (x *troubled) notes() (n int) {
	x.Helper()
	p, err := x.db.Pour(x.Context(), x.by, x.pour)
	if err != nil {
		x.Fatal(err)
	}
	for _, e := range p.Log {
		if e.What == shop.EventNote {
			n++
		}
	}
	return n
}

// whole wants all that was acknowledged to be there, and the file to be sound.
func (x *troubled) whole() {
	x.Helper()
	for _, f := range x.db.Check(x.Context()) {
		if !f.OK {
			x.Errorf("check: %s; %s", f.What, f.Do)
		}
	}
}

// Another program holds the file: writes are refused as busy, reading goes on,
// and the calls and cards of that time come once it lets go.
func TestCallsAfterALock(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "shop.db")
	x := troubles(t, path)
	soon := x.dueSoon("in the lock")
	other, err := sql.Open("sqlite3", "file:"+path+"?_txlock=immediate")
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	tx, err := other.Begin()
	if err != nil {
		t.Fatal(err)
	}
	soon()
	x.refused("/pour ready", fault.Busy)
	x.must("/pour list")
	x.log.await(t, "busy with another write")
	if n := x.told.count(&x.told.calls); n != 0 {
		t.Errorf("%d calls under a lock: nothing was recorded before them", n)
	}
	if err := tx.Rollback(); err != nil {
		t.Fatal(err)
	}
	x.await("calls", &x.told.calls, 1)
	x.must("/pour ready")
	x.await("cards", &x.told.cards, 1)
	x.whole()
}

// A file that gets damaged while it is in use: commands say so in words for a
// member, doctor in words for whoever runs the program.
func TestDamagedFile(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "shop.db")
	db, v := openAs(t, path, "local:me", "local:bench")
	for i := range 300 {
		addDue(t, db, v, strings.Repeat("long ", 30), "", time.Now().Add(time.Duration(i+1)*time.Hour))
		if i == 198 {
			break // as many as are kept
		}
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for i := 4096; i < len(raw); i++ {
		raw[i] = 0xff
	}
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	run := func(args ...string) (console.Status, string) {
		var out, errs bytes.Buffer
		p := program{Args: args, Out: &out, Err: &errs, Now: time.Now, Rand: bytes.NewReader(bytes.Repeat([]byte{7, 1, 3}, 1e6))}
		status := p.Run(t.Context())
		return status, out.String() + errs.String()
	}
	for _, line := range []string{"/due list", "/due add about:x in:1h", "/material list"} {
		status, said := run("ask", "--db", path, "--json", line)
		if status != console.Refused && status != console.Broken || !strings.Contains(said, "damaged") || strings.Contains(said, "goroutine") {
			t.Errorf("%s ends with status %d and says:\n%s", line, status, said)
		}
	}
	if status, said := run("doctor", "--db", path); status == console.Answered || !strings.Contains(said, "restore") {
		t.Errorf("doctor ends with status %d and says:\n%s", status, said)
	}
	if after, err := os.ReadFile(path); err != nil || !bytes.Equal(raw, after) {
		t.Errorf("the damaged file was changed, %v", err)
	}
}
