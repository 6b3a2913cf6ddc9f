package discord

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"math/rand/v2"
	"net/http"
	"net/url"
	"strings"
	"sync/atomic"
	"time"
)

const (
	// maxAnswer bounds what is read of one answer. The longest one is the list
	// of commands: 130 of at most 8000 characters with their localizations.
	maxAnswer = 8 << 20
	// maxTries bounds how often one request is sent.
	maxTries = 5
	// callTime bounds one call with all its waits unless the caller has less.
	callTime = 30 * time.Second
)

// rest is a client of the HTTP API. It waits for rate limits under the
// caller's context, repeats only what can be repeated, and keeps secrets out
// of its errors. It is safe for use by many goroutines.
type rest struct {
	base   string
	token  string
	agent  string
	client *http.Client
	limits *limiter
	log    *slog.Logger
	watch  Observer
	// sleep waits, or returns the context's error.
	sleep func(context.Context, time.Duration) error
	// dead is set by a 401 on a request that carried the bot token.
	dead atomic.Bool
}

func newREST(c settled) *rest {
	transport := http.DefaultTransport.(*http.Transport).Clone()
	transport.MaxConnsPerHost = 64
	transport.MaxIdleConnsPerHost = 8
	if c.loopback {
		transport.Proxy = nil
	}
	limits := newLimiter(c.Now)
	limits.watch = c.Watch
	return &rest{
		base:  c.base.String(),
		token: c.Token,
		agent: "DiscordBot (https://github.com/pourwright/pourwright, " + c.Version + ")",
		client: &http.Client{
			Transport: transport,
			// A redirect could carry the token to another host.
			CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
		},
		limits: limits,
		log:    c.Log,
		watch:  c.Watch,
		sleep:  sleep,
	}
}

// close lets go of idle connections.
func (r *rest) close() { r.client.CloseIdleConnections() }

func sleep(ctx context.Context, d time.Duration) error {
	if d <= 0 {
		return ctx.Err()
	}
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-t.C:
		return nil
	}
}

// call is one request before it is sent.
type call struct {
	method string
	// pattern is the path with its variable parts named, for limits and errors.
	pattern string
	// path is the real path, and query what follows it.
	path  string
	query url.Values
	// major is the channel, guild, or webhook id and token that the service
	// keeps limits apart by.
	major string
	// hook marks interaction and webhook routes: they carry no bot token and
	// stand outside the global limit.
	hook bool
	// whom is the user that the body names, where the path is the same for all.
	whom string
	// nonced marks a POST that the service itself guards against repeats.
	nonced bool
	body   any
	files  []upload
}

func (c *call) route() string { return c.method + " " + c.pattern }

// repeatable reports whether sending it twice does what sending it once does.
func (c *call) repeatable() bool { return c.method != http.MethodPost || c.nonced }

// do sends a call until it succeeds, is refused, or can't be repeated, and
// decodes the answer into out unless that is nil.
func (r *rest) do(ctx context.Context, c *call, out any) error {
	ctx, cancel := context.WithTimeout(ctx, callTime)
	defer cancel()
	payload, contentType, err := encodeBody(c)
	if err != nil {
		return fmt.Errorf("%s: %w", c.route(), err)
	}
	for try := 1; ; try++ {
		answer, err := r.once(ctx, c, payload, contentType)
		if err == nil {
			return decodeAnswer(c, answer, out)
		}
		wait, again := r.again(c, try, err)
		if !again {
			return err
		}
		if deadline, ok := ctx.Deadline(); ok && wait > time.Until(deadline) {
			return err
		}
		r.log.Debug("request is repeated", "route", c.route(), "try", try, "wait", wait, "err", err)
		if r.sleep(ctx, wait) != nil {
			return err
		}
	}
}

// again says whether, and after what wait, a failed request is sent again.
func (r *rest) again(c *call, try int, err error) (time.Duration, bool) {
	if try >= maxTries {
		return 0, false
	}
	var refused *APIError
	var lost *transportError
	switch {
	case errors.As(err, &refused) && refused.Status == http.StatusTooManyRequests:
		return refused.RetryAfter, true
	case errors.As(err, &refused) && refused.Status >= 500, errors.As(err, &lost):
		return pause(try), c.repeatable()
	}
	return 0, false
}

// pause is a wait before a repeat, doubling from a quarter of a second, with
// jitter so that many callers do not come back at once.
func pause(try int) time.Duration {
	base := 250 * time.Millisecond << (try - 1)
	return base/2 + rand.N(base)
}

// once waits for its turn, sends the request and judges the answer.
func (r *rest) once(ctx context.Context, c *call, payload []byte, contentType string) ([]byte, error) {
	switch {
	case c.hook: // carries no token
	case r.token == "":
		return nil, fmt.Errorf("%s: %w", c.route(), ErrNoToken)
	case r.dead.Load():
		return nil, ErrUnauthorized
	}
	turn, err := r.limits.acquire(ctx, c)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", c.route(), err)
	}
	began := time.Now()
	response, err := r.send(ctx, c, payload, contentType)
	if err != nil {
		turn.lost()
		r.watch.Requested(c.class(), 0, time.Since(began))
		if ctx.Err() != nil {
			err = ctx.Err()
		}
		return nil, &transportError{route: c.route(), cause: withoutURL(err)}
	}
	defer response.Body.Close()
	body, err := io.ReadAll(io.LimitReader(response.Body, maxAnswer+1))
	r.watch.Requested(c.class(), response.StatusCode, time.Since(began))
	if err == nil && len(body) > maxAnswer {
		err = errors.New("the answer is longer than 8 MiB")
	}
	if response.StatusCode/100 == 2 {
		turn.done(response.StatusCode, response.Header, nil)
		if err != nil {
			return nil, &transportError{route: c.route(), cause: err}
		}
		return body, nil
	}
	refusal := newAPIError(c.route(), response.StatusCode, body)
	refusal.RetryAfter = turn.done(response.StatusCode, response.Header, body)
	turn.remember(refusal)
	if response.StatusCode == http.StatusUnauthorized && !c.hook {
		r.dead.Store(true)
		return nil, fmt.Errorf("%w (%s)", ErrUnauthorized, c.route())
	}
	return nil, refusal
}

func (r *rest) send(ctx context.Context, c *call, payload []byte, contentType string) (*http.Response, error) {
	address := r.base + c.path
	if len(c.query) > 0 {
		address += "?" + c.query.Encode()
	}
	var body io.Reader
	if payload != nil {
		body = bytes.NewReader(payload)
	}
	request, err := http.NewRequestWithContext(ctx, c.method, address, body)
	if err != nil {
		return nil, err
	}
	request.Header.Set("User-Agent", r.agent)
	request.Header.Set("Accept", "application/json")
	if payload != nil {
		request.Header.Set("Content-Type", contentType)
	}
	if !c.hook {
		request.Header.Set("Authorization", "Bot "+r.token)
	}
	return r.client.Do(request)
}

// withoutURL drops the address that net/http puts before its errors.
func withoutURL(err error) error {
	var u *url.Error
	if errors.As(err, &u) {
		return u.Err
	}
	return err
}

func encodeBody(c *call) (payload []byte, contentType string, err error) {
	if c.body == nil {
		return nil, "", nil
	}
	payload, err = marshal(c.body)
	if err != nil || len(c.files) == 0 {
		return payload, "application/json", err
	}
	return encodeUpload(payload, c.files)
}

// marshal is JSON without the escapes meant for HTML pages, so that a text is
// no longer on the wire than it was counted.
func marshal(v any) ([]byte, error) {
	var buffer bytes.Buffer
	encoder := json.NewEncoder(&buffer)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(v); err != nil {
		return nil, fmt.Errorf("encode body: %w", err)
	}
	return bytes.TrimRight(buffer.Bytes(), "\n"), nil
}

func decodeAnswer(c *call, answer []byte, out any) error {
	if out == nil {
		return nil
	}
	if err := json.Unmarshal(answer, out); err != nil {
		return fmt.Errorf("%s: read the answer: %w", c.route(), err)
	}
	return nil
}

// pathOf fills the braced parts of a pattern in order, each escaped.
func pathOf(pattern string, parts ...string) string {
	for _, part := range parts {
		open, end := strings.IndexByte(pattern, '{'), strings.IndexByte(pattern, '}')
		pattern = pattern[:open] + url.PathEscape(part) + pattern[end+1:]
	}
	return pattern
}
