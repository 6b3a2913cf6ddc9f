package main

import (
	"io"
	"net/http"
	"os"
	"regexp"
	"strings"
	"testing"

	"go.uber.org/goleak"

	"github.com/pourwright/pourwright/internal/console"
)

var pageURL = regexp.MustCompile(`http://127\.0\.0\.1:\d+/\w+/`)

// The prompt and the page are one shop: what is asked in the terminal stands
// on the page, and both end together.
func TestTryPageAndPrompt(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	defer w.Close()
	t.Setenv("TMPDIR", t.TempDir())
	out, errs, end := start(t, r, nil, "try")
	url := pageURL.FindString(out.await(t, "quit. Tab completes."))
	if _, err := io.WriteString(w, "/batch material:\"demo rigid white\" volume:\"250 ml\"\n"); err != nil {
		t.Fatal(err)
	}
	out.await(t, "[1] Show working")

	client := &http.Client{Transport: &http.Transport{DisableKeepAlives: true}}
	answer, err := client.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil {
		t.Fatal(err)
	}
	if answer.StatusCode != http.StatusOK || !strings.Contains(string(body), "Mix 143.0 g A with 132.6 g B") {
		t.Errorf("the page answers %s without what the terminal was told:\n%.2000s", answer.Status, body)
	}
	if s := end(); s != console.Answered {
		t.Errorf("status %d; errors:\n%s", s, errs)
	}
	left, err := os.ReadDir(os.Getenv("TMPDIR"))
	if err != nil || len(left) > 0 {
		t.Errorf("left over: %v, %v", left, err)
	}
}

// Without anyone to type, as when started in the background, the page stays
// until a signal.
func TestTryWithoutInput(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	null, err := os.Open(os.DevNull)
	if err != nil {
		t.Fatal(err)
	}
	defer null.Close()
	t.Setenv("TMPDIR", t.TempDir())
	out, errs, end := start(t, null, nil, "try", "--log-level", "info")
	url := pageURL.FindString(out.await(t, "quit. Tab completes."))
	errs.await(t, "the page stays")
	client := &http.Client{Transport: &http.Transport{DisableKeepAlives: true}}
	answer, err := client.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		t.Errorf("the page answers %s", answer.Status)
	}
	if s := end(); s != console.Answered {
		t.Errorf("status %d; errors:\n%s", s, errs)
	}
}
