package main

import (
	"net/http"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"

	"github.com/pourwright/pourwright/internal/console"
	"github.com/pourwright/pourwright/internal/discord/fake"
)

// awaitPage looks at a page until it has that status and text.
func awaitPage(t *testing.T, url string, status int, text string) string {
	t.Helper()
	var got int
	var body string
	tick := time.NewTicker(10 * time.Millisecond)
	defer tick.Stop()
	for end := time.Now().Add(surely); time.Now().Before(end); <-tick.C {
		if got, body = fetched(t, url); got == status && strings.Contains(body, text) {
			return body
		}
	}
	t.Fatalf("%s stays at %d:\n%s\nwanted %d with %q", url, got, body, status, text)
	return ""
}

// servingWatched starts a program that can be looked at, and gives its address.
func servingWatched(t *testing.T, service *fake.Server) (base string, errs *output, end func() console.Status) {
	t.Helper()
	environ := []string{"POURWRIGHT_TOKEN=" + fake.Token, "POURWRIGHT_API_BASE=" + service.APIBase(),
		"POURWRIGHT_DB=" + filepath.Join(t.TempDir(), "shop.db"), "POURWRIGHT_OPS_LISTEN=127.0.0.1:0"}
	_, errs, end = start(t, nil, environ, "serve")
	return "http://" + regexp.MustCompile(`metrics" address=(\S+)`).FindStringSubmatch(errs.await(t, "serving health and metrics"))[1], errs, end
}

// Health, readiness and metrics follow what happens to the program.
func TestServeWatched(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	defer http.DefaultClient.CloseIdleConnections()
	service := patientService(t)
	defer service.Close()
	base, errs, end := servingWatched(t, service)
	awaitPage(t, base+"/readyz", http.StatusOK, "store     ok\ngateway   ok\ncalls     ok\n")
	awaitPage(t, base+"/healthz", http.StatusOK, "ok\n")
	if service.Send(service.Fresh(fake.Example(t, "02_slash_subcommand_strings"))).Await() == nil {
		t.Error("the slash command has no answer")
	}
	service.CloseWith(4009)
	awaitPage(t, base+"/readyz", http.StatusServiceUnavailable, "gateway   not ready: ")
	awaitPage(t, base+"/healthz", http.StatusOK, "ok\n")

	text := awaitPage(t, base+"/metrics", http.StatusOK, "pourwright_build_info")
	for _, line := range []string{
		`pourwright_ready{part="gateway"} 0`, `pourwright_ready{part="store"} 1`,
		`pourwright_commands_total{code=`, `pourwright_rest_requests_total{route="callback",status="204"} 1`,
		`pourwright_gateway_sessions_total 1`, `pourwright_gateway_closes_total{code="4009"} 1`, `pourwright_gateway_shards_ready 0`,
		`pourwright_dues_pending 0`, `pourwright_store_wait_seconds_count `,
	} {
		if !strings.Contains(text, "\n"+line) {
			t.Errorf("no line %q in the metrics:\n%s", line, text)
		}
	}
	if strings.Contains(text, fake.Token) {
		t.Error("the token is in the metrics")
	}
	if status, _ := fetched(t, base+"/debug/pprof/"); status != http.StatusNotFound {
		t.Errorf("debug pages: %d", status)
	}
	http.DefaultClient.CloseIdleConnections()
	if s := end(); s != console.Answered {
		t.Errorf("status %d, log:\n%s", s, errs)
	}
}

// While answers under way are finished, it says that it is ending.
func TestServeWatchedToTheEnd(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	defer http.DefaultClient.CloseIdleConnections()
	service := patientService(t)
	defer service.Close()
	answered := make(chan struct{})
	service.Inject(fake.Fault{Route: "POST /interactions/{interaction}/{token}/callback", Until: answered})
	release := sync.OnceFunc(func() { close(answered) })
	defer release()
	base, errs, end := servingWatched(t, service)
	awaitPage(t, base+"/readyz", http.StatusOK, "gateway   ok")
	service.Send(service.Fresh(fake.Example(t, "02_slash_subcommand_strings")))
	awaitPage(t, base+"/metrics", http.StatusOK, `pourwright_command_seconds_count{`)
	ended := make(chan console.Status, 1)
	go func() { ended <- end() }()
	awaitPage(t, base+"/readyz", http.StatusServiceUnavailable, "gateway   not ready: the program is ending")
	release()
	http.DefaultClient.CloseIdleConnections()
	if s := <-ended; s != console.Answered {
		t.Errorf("status %d, log:\n%s", s, errs)
	}
}

// An address that can't be had is said before anything is served.
func TestServeWatchTaken(t *testing.T) {
	t.Parallel()
	service := patientService(t)
	defer service.Close()
	taken := strings.TrimSuffix(strings.TrimPrefix(service.APIBase(), "http://"), "/api/v10")
	_, errs, end := start(t, nil, []string{"POURWRIGHT_TOKEN=" + fake.Token, "POURWRIGHT_API_BASE=" + service.APIBase()},
		"serve", "--db", filepath.Join(t.TempDir(), "shop.db"), "--ops-listen", taken)
	errs.await(t, "listen for health and metrics")
	if s := end(); s != console.Misused {
		t.Errorf("status %d, log:\n%s", s, errs)
	}
}
