package main

import (
	"io"
	"net/http"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"go.uber.org/goleak"

	"github.com/pourwright/pourwright/internal/console"
	"github.com/pourwright/pourwright/internal/discord/fake"
)

// fetched is a page's status and text.
func fetched(t *testing.T, url string) (int, string) {
	t.Helper()
	res, err := http.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	text, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return res.StatusCode, string(text)
}

// Serving, the boards hang at board_listen: an address made elsewhere opens the
// shop's, until it is taken back. It never comes to the log.
func TestServeBoard(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	defer http.DefaultClient.CloseIdleConnections()
	service := patientService(t)
	defer service.Close()
	db := filepath.Join(t.TempDir(), "shop.db")
	ask := func(line string) string {
		t.Helper()
		out, _, end := start(t, nil, nil, "ask", "--db", db, "--as", "ada", "--shop", "hall", "--json", line)
		text := out.await(t, "}\n")
		if s := end(); s != console.Answered {
			t.Fatalf("%s: status %d, %s", line, s, text)
		}
		return text
	}
	path := regexp.MustCompile(`/b/[a-z2-7]{32}/`).FindString(ask("/shop board do:make"))

	environ := []string{"POURWRIGHT_TOKEN=" + fake.Token, "POURWRIGHT_API_BASE=" + service.APIBase(), "POURWRIGHT_DB=" + db, "POURWRIGHT_LOG_LEVEL=debug"}
	_, errs, end := start(t, nil, environ, "serve", "--board-listen", "127.0.0.1:0")
	if !service.AwaitReady(1) {
		t.Fatalf("no session; the log is:\n%s", errs)
	}
	base := "http://" + regexp.MustCompile(`address=(\S+)`).FindStringSubmatch(errs.await(t, "serving boards"))[1]
	if status, text := fetched(t, base+path); status != http.StatusOK || !strings.Contains(text, "Nothing is in a mold") {
		t.Errorf("the board: %d\n%s", status, text)
	}
	if status, text := fetched(t, base+"/"); status != http.StatusNotFound || strings.Contains(text, "pourwright") {
		t.Errorf("no board: %d %s", status, text)
	}
	ask("/shop board do:revoke")
	if status, _ := fetched(t, base+path); status != http.StatusNotFound {
		t.Errorf("taken back: %d", status)
	}
	http.DefaultClient.CloseIdleConnections()
	if s := end(); s != console.Answered {
		t.Errorf("status %d, log:\n%s", s, errs)
	}
	if strings.Contains(errs.String(), path[3:35]) {
		t.Errorf("the address is in the log:\n%s", errs)
	}
}

// A place that is taken is said before anything is served.
func TestServeBoardElsewhereTaken(t *testing.T) {
	t.Parallel()
	service := patientService(t)
	defer service.Close()
	taken := strings.TrimPrefix(service.APIBase(), "http://")
	taken, _, _ = strings.Cut(taken, "/")
	environ := []string{"POURWRIGHT_TOKEN=" + fake.Token, "POURWRIGHT_API_BASE=" + service.APIBase(), "POURWRIGHT_DB=" + filepath.Join(t.TempDir(), "shop.db")}
	_, errs, end := start(t, nil, environ, "serve", "--board-listen", taken)
	errs.await(t, "listen for the board")
	if s := end(); s != console.Misused {
		t.Errorf("status %d, log:\n%s", s, errs)
	}
}
