// Package bench is the local web page of "pourwright try": the conversation
// that the chat service would show, in a browser on the same machine. It turns
// what is typed, picked and pressed into chat.Invocation and an Answer into
// HTML. It computes nothing and words nothing of the job itself; forms, help
// and completion follow from the declarations.
//
//	page, err := bench.New(bench.Config{Desk: desk, MemberKey: "local:ada", …})
//	fmt.Println(page.URL())
//	err = page.Run(ctx)
//
// Other pages in the same browser, and other people on the same machine, must
// not be able to ask or read anything here. The address is the key: everything
// lies below a path segment that is drawn anew for each run and told to nobody
// but the person at the terminal. A cookie was the other way to do it, but a
// browser sends a cookie of 127.0.0.1 to every port there, to whomever it
// belongs, and sends it along with requests made by strangers' pages. See
// guard.go for what stands in front of the key.
//
// Without script the page does all it can do; script adds completion while
// typing, clocks that run and a few keys.
package bench

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/serving"
	"github.com/pourwright/pourwright/internal/shop"
)

// Config is what a bench needs.
type Config struct {
	Desk *chat.Dispatcher
	// Who asks, and where: all that comes in by this page is theirs.
	MemberKey, MemberName string
	ShopKey, ShopName     string

	Addr string // loopback address and port, "127.0.0.1:0" picks a free port
	// Board is the page of what the shop has under way, nil for none. It
	// answers at "/" and names what belongs to it by relative addresses.
	Board    http.Handler
	FileMost int64            // bytes of an attached file; 0 is 128 MiB
	Now      func() time.Time // stamps each call; its zone is that of the page's clock
	Random   io.Reader        // makes the address and the pictures' names; nil is crypto/rand
	Log      *slog.Logger
}

// Bench serves the page. It listens from New on and answers from Run on.
type Bench struct {
	cfg   Config
	ln    net.Listener
	host  string // what the Host header must be
	base  string // "/" and the run's key
	token string // what each form sent in must hold
	run   string // begins the name of each card of this run
	pages pages
	said  conversation
	loads chan struct{} // one seat for each upload held in memory
}

// Limits of one request. A mesh of two million triangles has 100 MB.
const (
	fileMost   = 128 << 20
	fieldsMost = 1 << 20
	loadsMost  = 2
	callMost   = 60 * time.Second
	headerMost = 64 << 10
	// endPatience is for calls that do not end by themselves when the page does.
	endPatience = 3 * time.Second
)

// New checks the configuration and begins to listen. An address that other
// machines can reach is refused: there is no login here.
func New(cfg Config) (*Bench, error) {
	if cfg.Random == nil {
		cfg.Random = rand.Reader
	}
	if cfg.FileMost == 0 {
		cfg.FileMost = fileMost
	}
	if err := loopback(cfg.Addr); err != nil {
		return nil, err
	}
	b := &Bench{cfg: cfg, loads: make(chan struct{}, loadsMost)}
	var err error
	if b.pages, err = readPages(); err != nil {
		return nil, err
	}
	key, err := b.draw()
	if err != nil {
		return nil, err
	}
	if b.token, err = b.draw(); err != nil {
		return nil, err
	}
	if b.run, err = b.draw(); err != nil {
		return nil, err
	}
	b.base = "/" + key
	if b.ln, err = net.Listen("tcp", cfg.Addr); err != nil {
		return nil, fmt.Errorf("listen for the page: %w", err)
	}
	b.host = b.ln.Addr().String()
	return b, nil
}

// loopback wants a literal address: a name could be made to point elsewhere.
func loopback(addr string) error {
	host, _, err := net.SplitHostPort(addr)
	if err != nil {
		return fmt.Errorf("page address %q: %w", addr, err)
	}
	if ip := net.ParseIP(host); ip == nil || !ip.IsLoopback() {
		return fmt.Errorf("page address %q is not of this machine alone, use 127.0.0.1", addr)
	}
	return nil
}

// draw makes a name that can't be guessed: 160 random bits in 32 letters and
// digits.
func (b *Bench) draw() (string, error) {
	return shop.Draw(b.cfg.Random, 20)
}

// URL is where the page is, with the run's key. Whoever has it can ask as the
// member.
func (b *Bench) URL() string { return "http://" + b.host + b.base + "/" }

// Close gives the address back when Run is never called. It may be called
// after Run too.
func (b *Bench) Close() error {
	if err := b.ln.Close(); err != nil && !errors.Is(err, net.ErrClosed) {
		return fmt.Errorf("close the page: %w", err)
	}
	return nil
}

// Show adds an answer that was given elsewhere, such as in the terminal, to
// the conversation. asked is what the member typed.
func (b *Bench) Show(ctx context.Context, asked string, ans chat.Answer) {
	if _, err := b.say(ctx, entry{asked: asked, again: lineAgain(asked), ans: ans}, 0); err != nil {
		b.cfg.Log.Error("show an answer on the page", "error", err)
	}
}

// Call shows a call to the member: an answer that nobody asked for.
func (b *Bench) Call(ctx context.Context, r *chat.Reply) {
	if _, err := b.say(ctx, entry{called: true, ans: chat.Answer{Reply: r, Private: true}}, 0); err != nil {
		b.cfg.Log.Error("show a call on the page", "error", err)
	}
}

// Run answers until ctx ends, then lets running calls go and returns.
func (b *Bench) Run(ctx context.Context) error {
	srv := &http.Server{
		Handler:           b.handler(),
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       callMost,
		WriteTimeout:      2 * callMost,
		IdleTimeout:       callMost,
		MaxHeaderBytes:    headerMost,
		ErrorLog:          slog.NewLogLogger(b.cfg.Log.Handler(), slog.LevelWarn),
	}
	if err := serving.Run(ctx, b.ln, srv, endPatience); err != nil {
		return fmt.Errorf("serve the page: %w", err)
	}
	return nil
}
