package main

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"go.uber.org/goleak"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/console"
	"github.com/pourwright/pourwright/internal/discord/fake"
	"github.com/pourwright/pourwright/internal/tidy"
)

// answeredAt runs one line at an hour of a database and wants an answer.
func answeredAt(t *testing.T, db, at, line string) string {
	t.Helper()
	out, errs := &output{}, &output{}
	p := program{Args: []string{"ask", "--json", "--db", db, "--at", at, line}, Out: out, Err: errs, Now: time.Now, Rand: rand.Reader}
	if s := p.Run(t.Context()); s != console.Answered {
		t.Fatalf("%s: status %d\n%s%s", line, s, out, errs)
	}
	return out.String()
}

// oldPour is a pour of January that was found soft, ready, noted and done.
func oldPour(t *testing.T, db string) {
	t.Helper()
	for _, step := range [][2]string{
		{"08:00", `/material add name:"bench white" family:urethane ratio:"1:1 vol" pot_life:"3 min, 100 g, 23 C" density_a:1.1 density_b:1.02 demold:"12 min, 6 mm"`},
		{"08:01", `/mold add name:pawn family:condensation volume:"6 ml" thickest:14 thinnest:5`},
		{"09:00", `/pour start mold:pawn material:"bench white" where:"zqxtrace shelf"`},
		{"09:14", `/pour soft`}, {"09:20", `/pour ready`}, {"09:21", `/pour note text:"zqxtrace note"`}, {"09:25", `/pour done spoiled:1 why:"zqxtrace why"`},
		{"10:00", `/pour start mold:pawn material:"bench white" where:"still running"`},
	} {
		answeredAt(t, db, "2026-01-10T"+step[0]+":00Z", step[1])
	}
}

// facts are those of an answer, to compare.
func facts(t *testing.T, answer string) string {
	t.Helper()
	var reply struct {
		Facts []chat.Fact `json:"facts"`
	}
	if err := json.Unmarshal([]byte(answer), &reply); err != nil || len(reply.Facts) == 0 {
		t.Fatalf("%v in %s", err, answer)
	}
	text, err := json.Marshal(reply.Facts)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// Serving with retention_days lets a finished pour go from the records and
// from the files. What it taught stays in each estimate, the mold keeps its
// pull, and a pour that was never ended stays where it is.
func TestServeRetention(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	defer http.DefaultClient.CloseIdleConnections()
	service := patientService(t)
	defer service.Close()
	const now = "2026-11-20T09:00:00Z"
	db := filepath.Join(t.TempDir(), "shop.db")
	oldPour(t, db)
	ask := func(line string) string { return answeredAt(t, db, now, line) }
	estimate, life := facts(t, ask(`/cure material:"bench white" mold:pawn`)), facts(t, ask("/mold show mold:pawn"))

	at, err := time.Parse(time.RFC3339, now)
	if err != nil {
		t.Fatal(err)
	}
	environ := []string{"POURWRIGHT_TOKEN=" + fake.Token, "POURWRIGHT_API_BASE=" + service.APIBase(), "POURWRIGHT_DB=" + db,
		"POURWRIGHT_RETENTION_DAYS=30", "POURWRIGHT_OPS_LISTEN=127.0.0.1:0"}
	run := func(args ...string) (out, errs *output, end func() console.Status) {
		out, errs = &output{}, &output{}
		p := program{Args: args, Out: out, Err: errs, Environ: environ, Now: func() time.Time { return at }, Rand: rand.Reader,
			Tidying: tidy.Pace{First: time.Millisecond, Batch: 1, Rest: time.Millisecond}}
		ctx, cancel := context.WithCancel(t.Context())
		done := make(chan console.Status, 1)
		go func() { done <- p.Run(ctx) }()
		return out, errs, func() console.Status {
			cancel()
			return <-done
		}
	}
	doctor, _, end := run("doctor")
	doctor.await(t, "of what ended before 2026-10-21, serve lets go at its next run: 1 pour but for what it taught, 1 past reminder")
	doctor.await(t, "clock:")
	end()

	_, errs, end := run("serve")
	errs.await(t, `msg="let go what is old" pours=0 reduced=1 reminders=1`)
	base := "http://" + regexp.MustCompile(`metrics" address=(\S+)`).FindStringSubmatch(errs.String())[1]
	awaitPage(t, base+"/metrics", http.StatusOK, `pourwright_tidied_total{kind="reduced"} 1`)
	awaitPage(t, base+"/metrics", http.StatusOK, `pourwright_tidy_runs_total{outcome="ok"} 1`)
	http.DefaultClient.CloseIdleConnections()
	if s := end(); s != console.Answered {
		t.Errorf("status %d, log:\n%s", s, errs)
	}

	if got := facts(t, ask(`/cure material:"bench white" mold:pawn`)); got != estimate {
		t.Errorf("the estimate was\n%s\nand is\n%s", estimate, got)
	}
	if got := facts(t, ask("/mold show mold:pawn")); got != life {
		t.Errorf("the mold was\n%s\nand is\n%s", life, got)
	}
	if list := ask("/pour list"); strings.Contains(list, "#1") || !strings.Contains(ask("/pour show pour:#2"), "still running") {
		t.Errorf("pours:\n%s", list)
	}
	if export := ask("/me export"); strings.Contains(export, "zqxtrace") {
		t.Errorf("still held:\n%s", export)
	}
	for _, path := range []string{db, db + "-wal"} {
		if data, err := os.ReadFile(path); err == nil && strings.Contains(string(data), "zqxtrace") {
			t.Errorf("%s still holds it", filepath.Base(path))
		}
	}
}
