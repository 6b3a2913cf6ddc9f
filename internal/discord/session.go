package discord

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"

	"github.com/bwmarrin/discordgo"
	"github.com/gorilla/websocket"
)

// apiVersion makes the library speak version 10; it knows 9 by itself. The
// library keeps it in a package variable, so it is set once.
var apiVersion = sync.OnceFunc(func() { discordgo.APIVersion = "10" })

// errNoReady says that a connection came up but never became a session.
var errNoReady = errors.New("the service did not say READY in time")

// link is one connection to the gateway, with a session of its own: a session
// that has failed once is never used again.
type link struct {
	session *discordgo.Session
	ready   chan struct{}
	gone    chan struct{}
	onEvent func(raw json.RawMessage)
	// stuck is set when the library did not come back from opening: its lock
	// is held for ever, so the session must not be touched again.
	stuck bool

	mu  sync.Mutex
	tap *tap
}

// linkConfig is what one connection needs.
type linkConfig struct {
	token         string
	agent         string
	gateway       string // ws or wss address
	shard, shards int
	loopback      bool
	roots         *x509.CertPool // nil: those of the system
	now           func() time.Time
	onEvent       func(raw json.RawMessage) // must not block
}

func newLink(ctx context.Context, c linkConfig) (*link, error) {
	apiVersion()
	s, err := discordgo.New("Bot " + c.token)
	if err != nil {
		return nil, fmt.Errorf("make a gateway session: %w", err)
	}
	l := &link{session: s, onEvent: c.onEvent, ready: make(chan struct{}), gone: make(chan struct{})}
	s.ShouldReconnectOnError = false
	s.ShouldReconnectVoiceOnSessionError = false
	s.ShouldRetryOnRateLimit = false
	s.MaxRestRetries = 0
	s.StateEnabled = false
	s.Compress = false
	// Events are handled in the order they come; our handlers do not block.
	s.SyncEvents = true
	// Below the lowest level: the library's lines hold payloads.
	s.LogLevel = -1
	s.UserAgent = c.agent
	// The gateway wants the bare token; the prefix belongs to REST.
	s.Identify.Token = c.token
	// Interactions need no intent, and every intent is somebody's privacy.
	s.Identify.Intents = discordgo.IntentsNone
	s.ShardID, s.ShardCount = c.shard, c.shards
	s.Client = &http.Client{Transport: gatewayAddress(c.gateway)}
	s.Dialer = l.dialer(ctx, c)
	s.AddHandler(l.handleEvent)
	var once sync.Once
	s.AddHandler(func(*discordgo.Session, *discordgo.Disconnect) { once.Do(func() { close(l.gone) }) })
	return l, nil
}

// handleEvent sees each dispatch as raw JSON; the library's own structs are
// not used, as they fail on forms with labels.
func (l *link) handleEvent(_ *discordgo.Session, e *discordgo.Event) {
	switch e.Type {
	case "READY":
		select {
		case <-l.ready:
		default:
			close(l.ready)
		}
	case "INTERACTION_CREATE":
		l.onEvent(e.RawData)
	}
}

// gatewayAddress answers the library's one question, where the gateway is,
// with the address that our own client was given, and refuses all else: every
// other request goes through our own client.
type gatewayAddress string

func (g gatewayAddress) RoundTrip(r *http.Request) (*http.Response, error) {
	if r.Method != http.MethodGet || !strings.HasSuffix(r.URL.Path, "/gateway") {
		return nil, errors.New("the gateway session makes no other request")
	}
	body, err := json.Marshal(map[string]string{"url": string(g)})
	if err != nil {
		return nil, err
	}
	return &http.Response{
		Status: "200 OK", StatusCode: http.StatusOK, Proto: "HTTP/1.1", ProtoMajor: 1, ProtoMinor: 1,
		Header: http.Header{"Content-Type": {"application/json"}}, Request: r,
		Body: io.NopCloser(strings.NewReader(string(body))), ContentLength: int64(len(body)),
	}, nil
}

// dialer makes connections with a tap in them. The tap must see plain frames,
// so TLS is made here and not by the library; hence no proxy is used.
func (l *link) dialer(ctx context.Context, c linkConfig) *websocket.Dialer {
	plain := &net.Dialer{Timeout: 10 * time.Second, KeepAlive: 30 * time.Second}
	tapped := func(conn net.Conn, err error) (net.Conn, error) {
		if err != nil {
			return nil, err
		}
		t, err := newTap(conn, c.now)
		if err != nil {
			conn.Close()
			return nil, err
		}
		l.mu.Lock()
		defer l.mu.Unlock()
		l.tap = t
		return t, nil
	}
	return &websocket.Dialer{
		HandshakeTimeout: helloTime,
		NetDialContext: func(_ context.Context, network, addr string) (net.Conn, error) {
			host, _, err := net.SplitHostPort(addr)
			if err != nil || !c.loopback || !isLoopbackHost(host) {
				return nil, errors.New("the gateway is not on this machine and not encrypted")
			}
			return tapped(plain.DialContext(ctx, network, addr))
		},
		NetDialTLSContext: func(_ context.Context, network, addr string) (net.Conn, error) {
			secure := &tls.Dialer{NetDialer: plain, Config: &tls.Config{MinVersion: tls.VersionTLS12, RootCAs: c.roots}}
			return tapped(secure.DialContext(ctx, network, addr))
		},
	}
}

// open connects and waits until the service says READY. Whatever it returns,
// shut must follow.
func (l *link) open(ctx context.Context, within time.Duration) error {
	ctx, cancel := context.WithTimeoutCause(ctx, within, errNoReady)
	defer cancel()
	opened := make(chan error, 1)
	go func() {
		defer func() {
			if p := recover(); p != nil {
				opened <- fmt.Errorf("the gateway library panicked: %v", p)
			}
		}()
		opened <- l.session.Open()
	}()
	select {
	case err := <-opened:
		if err != nil {
			return l.why(err)
		}
	case <-ctx.Done():
		l.cut(context.Cause(ctx))
		// The library holds its lock while it opens; without a connection it
		// comes back at once. Should it not, it is left behind with its session.
		select {
		case <-opened:
		case <-time.After(2 * time.Second):
			l.stuck = true
		}
		return context.Cause(ctx)
	}
	select {
	case <-l.ready:
		return nil
	case <-l.ended():
		return l.why(errNoReady)
	case <-ctx.Done():
		return context.Cause(ctx)
	}
}

// ended is closed when the connection is over; never before there was one.
func (l *link) ended() <-chan struct{} {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.tap == nil {
		return nil
	}
	return l.tap.ended
}

// cut closes the connection without a word.
func (l *link) cut(reason error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.tap != nil {
		l.tap.end(reason)
	}
}

// why gives the reason that the tap saw, which is nearer to the truth than the
// library's error, or else that error.
func (l *link) why(err error) error {
	l.mu.Lock()
	t := l.tap
	l.mu.Unlock()
	if t == nil {
		return err
	}
	select {
	case <-t.ended:
		if !errors.Is(t.reason, net.ErrClosed) && !errors.Is(t.reason, io.EOF) {
			return t.reason
		}
	default:
	}
	var code *websocket.CloseError
	if errors.As(err, &code) {
		return &closedError{code.Code}
	}
	return err
}

// shut ends the session with a farewell where there still is a connection, and
// waits for the library's goroutines.
func (l *link) shut() {
	if !l.stuck {
		l.session.Close()
		select {
		case <-l.gone:
		case <-time.After(5 * time.Second):
		}
	}
	l.cut(net.ErrClosed)
}
