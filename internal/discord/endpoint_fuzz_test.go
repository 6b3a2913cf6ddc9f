package discord

import (
	"bytes"
	"context"
	"errors"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/discord/fake"
)

// stillDesk suggests the same to everyone and is asked nothing else.
type stillDesk struct{ Desk }

func (stillDesk) Complete(context.Context, chat.Invocation, string) ([]chat.Choice, error) {
	return []chat.Choice{{Value: "demo rigid white"}}, nil
}

// FuzzEndpoint gives the endpoint requests of strangers, and bodies that the
// service signed. A stranger's is never taken; whatever is signed gets one of
// the replies there are, and what is taken says that it is for us.
func FuzzEndpoint(f *testing.F) {
	for _, name := range fake.Examples("") {
		raw, err := fakeExample(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(raw, "", "", true)
		f.Add(raw, strings.Repeat("0", 128), "1795000000", false)
	}
	f.Add([]byte(`{"type":4,"id":"1","token":"t","application_id":"`+fake.ApplicationID+`","data":{"name":"cure"}}`), "", "", true)
	f.Add([]byte(strings.Repeat(`{"a":`, 1000)), "", "", true)
	f.Add([]byte{}, "A0", "-1", false)
	s := fake.Start(f)
	e, err := NewEndpoint(Config{ApplicationID: fake.ApplicationID, APIBase: s.APIBase(), PublicKey: s.PublicKey(), Listen: "127.0.0.1:0"}, stillDesk{})
	if err != nil {
		f.Fatal(err)
	}
	defer e.Close()
	// Commands end here: what they are answered is fuzzed elsewhere, and the
	// service is not asked for each.
	e.workers = newPool(2, func(ctx context.Context, j job) {
		if j.i.Type == TypeAutocomplete {
			e.handler.handle(ctx, j)
		}
	}, func(context.Context, job) {}, e.cfg.Log, nobodyWatches{})
	defer e.workers.stop(time.Second)
	f.Fuzz(func(t *testing.T, body []byte, signature, timestamp string, signed bool) {
		header := http.Header{"Content-Type": {"application/json"}, fake.SignatureHeader: {signature}, fake.TimestampHeader: {timestamp}}
		if signed {
			header = s.Sign(body, time.Now())
		}
		w, r := httptest.NewRecorder(), httptest.NewRequest(http.MethodPost, endpointPath, bytes.NewReader(body))
		r.Header = header
		e.ServeHTTP(w, r)
		switch {
		case !signed && w.Code != http.StatusUnauthorized && w.Code != http.StatusRequestEntityTooLarge:
			t.Fatalf("a stranger got status %d", w.Code)
		case w.Code == http.StatusOK && len(fake.JudgeAnswer(w.Body.Bytes(), nil)) > 0:
			t.Fatalf("answered %s", w.Body)
		case w.Code == http.StatusOK, w.Code == http.StatusAccepted:
			if i, _, err := Decode(body); err != nil && !errors.Is(err, ErrUnknownType) || i.ApplicationID != fake.ApplicationID && err == nil {
				t.Fatalf("taken: %v, for %q", err, i.ApplicationID)
			}
		case signed && w.Code != http.StatusBadRequest && w.Code != http.StatusForbidden && w.Code != http.StatusServiceUnavailable && w.Code != http.StatusRequestEntityTooLarge:
			t.Fatalf("status %d", w.Code)
		}
		if w.Code > 299 && w.Body.String() != http.StatusText(w.Code)+"\n" {
			t.Fatalf("status %d says %q", w.Code, w.Body)
		}
	})
}
