package serving_test

import (
	"context"
	"io"
	"net"
	"net/http"
	"testing"
	"time"

	"go.uber.org/goleak"

	"github.com/pourwright/pourwright/internal/serving"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

func listen(t *testing.T) net.Listener {
	t.Helper()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	return ln
}

// TestRunLetsRequestsFinish: a request that is under way when the owner stops
// sees that, and its answer still arrives.
func TestRunLetsRequestsFinish(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	ln := listen(t)
	came := make(chan struct{})
	srv := &http.Server{ReadHeaderTimeout: time.Second, Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		close(came)
		<-r.Context().Done()
		_, _ = io.WriteString(w, "good night")
	})}
	ended := make(chan error, 1)
	go func() { ended <- serving.Run(ctx, ln, srv, time.Minute) }()
	answer := make(chan string, 1)
	go func() {
		defer http.DefaultClient.CloseIdleConnections()
		res, err := http.Get("http://" + ln.Addr().String())
		if err != nil {
			answer <- err.Error()
			return
		}
		defer res.Body.Close()
		text, _ := io.ReadAll(res.Body)
		answer <- string(text)
	}()
	<-came
	stop()
	if got := <-answer; got != "good night" {
		t.Errorf("the request got %q", got)
	}
	if err := <-ended; err != nil {
		t.Errorf("told to end it gives %v, want nil", err)
	}
}

// TestRunCutsOff: what does not end by itself is not waited for beyond patience.
func TestRunCutsOff(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	ln := listen(t)
	came, leave := make(chan struct{}), make(chan struct{})
	srv := &http.Server{ReadHeaderTimeout: time.Second, Handler: http.HandlerFunc(func(http.ResponseWriter, *http.Request) {
		close(came)
		<-leave
	})}
	ended := make(chan error, 1)
	go func() { ended <- serving.Run(ctx, ln, srv, time.Millisecond) }()
	cut := make(chan error, 1)
	go func() {
		defer http.DefaultClient.CloseIdleConnections()
		res, err := http.Get("http://" + ln.Addr().String())
		if err == nil {
			res.Body.Close()
		}
		cut <- err
	}()
	<-came
	stop()
	if err := <-ended; err != nil {
		t.Errorf("told to end it gives %v, want nil", err)
	}
	if err := <-cut; err == nil {
		t.Error("the request that never ends was answered")
	}
	close(leave)
}

// TestRunSaysWhyItEnded: a listener that is gone is no wish of the owner's.
func TestRunSaysWhyItEnded(t *testing.T) {
	ln := listen(t)
	if err := ln.Close(); err != nil {
		t.Fatal(err)
	}
	if err := serving.Run(t.Context(), ln, &http.Server{ReadHeaderTimeout: time.Second}, time.Second); err == nil {
		t.Error("a server without a listener ended without an error")
	}
}
