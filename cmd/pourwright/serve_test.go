package main

import (
	"bytes"
	"context"
	"crypto/rand"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"go.uber.org/goleak"

	"github.com/pourwright/pourwright/internal/console"
	"github.com/pourwright/pourwright/internal/discord/fake"
)

// output is a writer that tests read while the program writes.
type output struct {
	mu  sync.Mutex
	buf bytes.Buffer
}

func (o *output) Write(p []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.buf.Write(p)
}

func (o *output) String() string {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.buf.String()
}

// await waits until the output holds the text.
func (o *output) await(t testing.TB, text string) string {
	t.Helper()
	for end := time.Now().Add(surely); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if s := o.String(); strings.Contains(s, text) {
			return s
		}
	}
	t.Fatalf("%q does not come; the output is:\n%s", text, o)
	return ""
}

// start runs the program inside the test; end gives its status.
func start(t *testing.T, in *os.File, environ []string, args ...string) (out, errs *output, end func() console.Status) {
	t.Helper()
	out, errs = &output{}, &output{}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan console.Status, 1)
	p := program{Args: args, In: in, Out: out, Err: errs, Environ: environ, Now: time.Now, Rand: rand.Reader, AnswerIn: patient}
	go func() { done <- p.Run(ctx) }()
	return out, errs, func() console.Status {
		cancel()
		select {
		case s := <-done:
			return s
		case <-time.After(surely):
			t.Fatalf("the program does not end; it wrote:\n%s%s", out, errs)
			return -1
		}
	}
}

// Serving connects, answers a slash command, and ends cleanly.
func TestServe(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	service := patientService(t)
	defer service.Close()
	db := filepath.Join(t.TempDir(), "shop.db")
	environ := []string{"POURWRIGHT_TOKEN=" + fake.Token, "POURWRIGHT_API_BASE=" + service.APIBase(), "POURWRIGHT_DB=" + db}
	_, errs, end := start(t, nil, environ, "serve")
	if !service.AwaitReady(1) {
		t.Fatalf("no session; the log is:\n%s", errs)
	}
	errs.await(t, "client_id="+fake.ApplicationID)
	ask := service.Fresh(fake.Example(t, "02_slash_subcommand_strings"))
	if shown := service.Send(ask).Await(); shown == nil || shown.Text() == "" {
		t.Error("the slash command has no answer")
	}
	if s := end(); s != console.Answered {
		t.Errorf("status %d, log:\n%s", s, errs)
	}
	if log := errs.String(); !strings.Contains(log, "serving") || !strings.Contains(log, "ended") || strings.Contains(log, fake.Token) {
		t.Errorf("the log is:\n%s", log)
	}
}

// What the service closes for good ends the program with the status of a wrong
// setting: who starts it again each time would use up the day's sessions.
func TestServeClosedForGood(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	service := fake.Start(t)
	defer service.Close()
	service.Plan(fake.Plan{CloseWith: 4014})
	environ := []string{"POURWRIGHT_TOKEN=" + fake.Token, "POURWRIGHT_API_BASE=" + service.APIBase(), "POURWRIGHT_DB=" + filepath.Join(t.TempDir(), "shop.db")}
	_, errs, end := start(t, nil, environ, "serve")
	errs.await(t, "the intents are not allowed")
	if s := end(); s != console.Misused {
		t.Errorf("status %d, want %d; log:\n%s", s, console.Misused, errs)
	}
}

// Both signals end a serving process with status 0 and its records folded into
// one file.
func TestServeProcessEndsOnSignal(t *testing.T) {
	t.Parallel()
	for _, sig := range []os.Signal{syscall.SIGINT, syscall.SIGTERM} {
		t.Run(sig.String(), func(t *testing.T) {
			service := patientService(t)
			defer service.Close()
			dir := t.TempDir()
			c := exec.Command("pourwright", "serve", "--db", filepath.Join(dir, "shop.db"))
			errs := &output{}
			c.Stderr = errs
			c.Dir = dir
			c.Env = append(os.Environ(), "POURWRIGHT_TOKEN="+fake.Token, "POURWRIGHT_API_BASE="+service.APIBase())
			if err := c.Start(); err != nil {
				t.Fatal(err)
			}
			if !service.AwaitReady(1) {
				t.Errorf("no session; the log is:\n%s", errs)
			}
			if err := c.Process.Signal(sig); err != nil {
				t.Error(err)
			}
			if err := c.Wait(); err != nil {
				t.Errorf("%v; the log is:\n%s", err, errs)
			}
			if _, err := os.Stat(filepath.Join(dir, "shop.db-wal")); err == nil {
				t.Error("the write-ahead log is left over")
			}
		})
	}
}
