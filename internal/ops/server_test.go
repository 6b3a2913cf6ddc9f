package ops_test

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"

	"github.com/pourwright/pourwright/internal/ops"
)

func TestPaths(t *testing.T) {
	h := handler(t, watched(t))
	for _, test := range []struct {
		method, path string
		code         int
		body         string
	}{
		{"GET", "/healthz", 200, "ok\n"},
		{"HEAD", "/healthz", 200, ""},
		{"GET", "/readyz", 503, "store     ok\ngateway   not ready: closed with 4009 by the service\n"},
		{"POST", "/healthz", 405, "only to be looked at\n"},
		{"GET", "/", 404, ""},
		{"GET", "/debug/pprof/", 404, ""},
		{"GET", "/debug/vars", 404, ""},
		{"GET", "/healthz/x", 404, ""},
	} {
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequest(test.method, test.path, nil))
		if w.Code != test.code || test.body != "" && test.method == "GET" && w.Body.String() != test.body {
			t.Errorf("%s %s: %d %q, want %d %q", test.method, test.path, w.Code, w.Body, test.code, test.body)
		}
		if w.Header().Get("Cache-Control") != "no-store" {
			t.Errorf("%s %s may be kept: %v", test.method, test.path, w.Header())
		}
	}
}

func TestReady(t *testing.T) {
	m := ops.New("devel", time.Now)
	m.Know(ops.Parts{Checks: []ops.Check{{Part: "store", Ask: func(context.Context) error { return nil }}}})
	if code, body := get(handler(t, m), "/readyz"); code != 200 || body != "store     ok\n" {
		t.Errorf("%d %q", code, body)
	}
}

// A part that hangs is told as such, and does not keep /healthz from answering
// or let looks pile up.
func TestHangingPart(t *testing.T) {
	m := ops.New("devel", time.Now)
	asked := make(chan struct{}, 100)
	free := make(chan struct{})
	m.Know(ops.Parts{Checks: []ops.Check{{Part: "store", Ask: func(context.Context) error {
		asked <- struct{}{}
		<-free
		return errors.New("stuck")
	}}}})
	h := handler(t, m)
	var looks sync.WaitGroup
	for range 8 {
		looks.Go(func() {
			if code, body := get(h, "/readyz"); code != 503 || !strings.Contains(body, "stuck") {
				t.Errorf("%d %q", code, body)
			}
		})
	}
	for range 8 {
		<-asked
	}
	if code, body := get(h, "/readyz"); code != 503 || !strings.Contains(body, "too many") {
		t.Errorf("the ninth: %d %q", code, body)
	}
	if code, _ := get(h, "/healthz"); code != 200 {
		t.Errorf("health: %d", code)
	}
	close(free)
	looks.Wait()
}

// It answers at the address given and at no other, and leaves nothing behind.
func TestRun(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	s, err := ops.Listen("127.0.0.1:0", watched(t), slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(s.Addr(), "127.0.0.1:") {
		t.Errorf("listens at %s", s.Addr())
	}
	ctx, end := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- s.Run(ctx) }()
	client := &http.Client{Transport: &http.Transport{}}
	defer client.CloseIdleConnections()
	answer, err := client.Get("http://" + s.Addr() + "/healthz")
	if err != nil {
		t.Fatal(err)
	}
	body, err := io.ReadAll(answer.Body)
	answer.Body.Close()
	if err != nil || string(body) != "ok\n" {
		t.Errorf("%q, %v", body, err)
	}
	if _, err := ops.Listen(s.Addr(), watched(t), slog.New(slog.DiscardHandler)); err == nil {
		t.Error("the address was given twice")
	}
	end()
	if err := <-done; err != nil {
		t.Errorf("it ended with %v", err)
	}
	if err := s.Close(); err != nil {
		t.Errorf("closed after it: %v", err)
	}
}
