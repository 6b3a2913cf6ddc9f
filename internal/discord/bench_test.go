package discord

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/discord/fake"
)

// BenchmarkBatch is one /batch from the service's JSON to the bytes that go
// back, with a database file behind it. It reports the median besides the mean.
func BenchmarkBatch(b *testing.B) {
	desk := demoDesk(b)
	raw := fake.With(b, fake.Example(b, "02_slash_subcommand_strings"), map[string]any{
		"data": map[string]any{"id": "715000000000000401", "name": "batch", "type": 1, "options": []any{
			map[string]any{"type": 3, "name": "material", "value": "demo rigid white"},
			map[string]any{"type": 3, "name": "volume", "value": "250 ml"}}}})
	var times []time.Duration
	b.ReportAllocs()
	for b.Loop() {
		began := time.Now()
		i, _, err := Decode(raw)
		if err != nil {
			b.Fatal(err)
		}
		inv, _ := toInvocation(i, testTime)
		inv.MemberKey, inv.ShopKey = "local:ada", asAda(chat.Invocation{}).ShopKey
		desk.Foresee(b.Context(), inv)
		ans := desk.Do(b.Context(), inv)
		if ans.Reply == nil {
			b.Fatal(ans.Fault)
		}
		if _, err := marshal(callback{Type: answerMessage, Data: render(ans, 0).message}); err != nil {
			b.Fatal(err)
		}
		times = append(times, time.Since(began))
	}
	slices.Sort(times)
	b.ReportMetric(float64(times[len(times)/2].Nanoseconds()), "median-ns/op")
}

// BenchmarkDecode reads each example once.
func BenchmarkDecode(b *testing.B) {
	var all [][]byte
	for _, name := range fake.Examples("") {
		all = append(all, fake.Example(b, name))
	}
	b.ReportAllocs()
	for b.Loop() {
		for _, raw := range all {
			if i, _, _ := Decode(raw); i == nil {
				b.Fatal("not decoded")
			}
		}
	}
}

// BenchmarkPosted is one /batch as the service posts it: over a real socket,
// signed, to the callback that has its answer, which goes over another socket
// to a service that only takes it. Beside it, the same request to a handler of
// net/http that reads the body and does nothing. Caller, bot and service share
// the machine's cores; with -cpu 1 they share one.
func BenchmarkPosted(b *testing.B) {
	s := fake.Start(b)
	body := fake.With(b, fake.Example(b, "02_slash_subcommand_strings"), map[string]any{
		"data": map[string]any{"id": "715000000000000401", "name": "batch", "type": 1, "options": []any{
			map[string]any{"type": 3, "name": "material", "value": "demo rigid white"},
			map[string]any{"type": 3, "name": "volume", "value": "250 ml"}}}})
	b.Run("bare", func(b *testing.B) {
		bare := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			_, _ = io.Copy(io.Discard, r.Body)
			w.WriteHeader(http.StatusAccepted)
		}))
		defer bare.Close()
		flood(b, s, bare.URL, body, func() {})
	})
	b.Run("batch", func(b *testing.B) {
		taken := make(chan struct{}, 1024)
		service := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			_, _ = io.Copy(io.Discard, r.Body)
			w.WriteHeader(http.StatusNoContent)
			taken <- struct{}{}
		}))
		defer service.Close()
		desk := adasDesk{demoDesk(b)}
		e, err := NewEndpoint(Config{ApplicationID: fake.ApplicationID, APIBase: service.URL, PublicKey: s.PublicKey(), Listen: "127.0.0.1:0"}, desk)
		if err != nil {
			b.Fatal(err)
		}
		i, _, err := Decode(body)
		if err != nil {
			b.Fatal(err)
		}
		inv, _ := toInvocation(i, testTime)
		desk.Do(b.Context(), inv) // the pot life of the cups is worked out once
		ctx, cancel := context.WithCancel(b.Context())
		ended := make(chan error, 1)
		go func() { ended <- e.Run(ctx) }()
		flood(b, s, "http://"+e.Addr()+endpointPath, body, func() { <-taken })
		cancel()
		if err := <-ended; err != nil {
			b.Error(err)
		}
	})
}

// adasDesk asks everything as the demo shop's ada, whose materials are known.
type adasDesk struct{ *chat.Dispatcher }

func (d adasDesk) Do(ctx context.Context, inv chat.Invocation) chat.Answer {
	return d.Dispatcher.Do(ctx, asAda(inv))
}

// flood posts the body over and over, with a new id each time, over eight
// connections.
func flood(b *testing.B, s *fake.Server, url string, body []byte, answered func()) {
	b.Helper()
	const lanes = 8
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: lanes}}
	defer client.CloseIdleConnections()
	before, after, _ := bytes.Cut(body, []byte(`"715100000000000002"`))
	work := make(chan int, lanes)
	var all sync.WaitGroup
	for range lanes {
		all.Go(func() {
			for n := range work {
				raw := fmt.Appendf(nil, `%s"%d"%s`, before, 715200000000000000+n, after)
				request, err := http.NewRequest(http.MethodPost, url, bytes.NewReader(raw))
				if err != nil {
					b.Error(err)
					continue
				}
				request.Header = s.Sign(raw, time.Now())
				response, err := client.Do(request)
				if err != nil {
					b.Error(err)
					continue
				}
				_ = response.Body.Close()
				if response.StatusCode != http.StatusAccepted {
					b.Errorf("status %d", response.StatusCode)
					continue
				}
				answered()
			}
		})
	}
	n := 0
	for b.Loop() {
		n++
		work <- n
	}
	close(work)
	all.Wait()
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "requests/s")
}
