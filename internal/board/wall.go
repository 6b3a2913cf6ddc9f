package board

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"strings"

	"github.com/pourwright/pourwright/internal/serving"
	"github.com/pourwright/pourwright/internal/shop"
)

// Doors opens a shop's board by its address, as shop.Boards does.
type Doors interface {
	BoardShop(ctx context.Context, token string) (s shop.Shop, ok bool, err error)
}

// Wall serves the boards of all shops, read-only, each at its own address. It
// listens from NewWall on and answers from Run on.
//
// The address is the key: there is no login, no cookie, and nothing to send
// in. So no request has a right of its own that a page from elsewhere could
// borrow, and no name the machine is called by matters: the Host header is not
// looked at and nothing is made of it.
type Wall struct {
	board *Board
	doors Doors
	ln    net.Listener
	seats seats
	tries *guesses
}

// tokenLength is that of every address; others are not looked up.
const tokenLength = 32

// pathOf begins each board's path. The token ends it.
const pathOf = "/b/"

// Path is the path of the board with that token.
func Path(token string) string { return pathOf + token + "/" }

// Address is how a board's address begins where the wall listens at listen, ""
// where that does not say by which name others reach it.
func Address(listen string) string {
	host, port, err := net.SplitHostPort(listen)
	if err != nil || host == "" || port == "" || port == "0" {
		return ""
	}
	if ip := net.ParseIP(host); ip != nil && ip.IsUnspecified() {
		return ""
	}
	return "http://" + net.JoinHostPort(host, port)
}

// NewWall begins to listen.
func NewWall(b *Board, doors Doors, listen string) (*Wall, error) {
	ln, err := net.Listen("tcp", listen)
	if err != nil {
		return nil, fmt.Errorf("listen for the board: %w", err)
	}
	return &Wall{board: b, doors: doors, ln: newFewer(ln, connsMost), tries: newGuesses()}, nil
}

// Addr is where it listens.
func (w *Wall) Addr() string { return w.ln.Addr().String() }

// Close gives the address back when Run is never called. It may be called
// after Run too.
func (w *Wall) Close() error {
	if err := w.ln.Close(); err != nil && !errors.Is(err, net.ErrClosed) {
		return fmt.Errorf("close the board: %w", err)
	}
	return nil
}

// Run answers until ctx ends, which ends the open streams too.
func (w *Wall) Run(ctx context.Context) error {
	srv := &http.Server{
		Handler:           w.handler(),
		ReadHeaderTimeout: headerPatience, ReadTimeout: readPatience,
		WriteTimeout: writePatience, IdleTimeout: idlePatience,
		MaxHeaderBytes: headerMost,
		ErrorLog:       slog.NewLogLogger(w.board.cfg.Log.Handler(), slog.LevelWarn),
	}
	if err := serving.Run(ctx, w.ln, srv, endPatience); err != nil {
		return fmt.Errorf("serve the board: %w", err)
	}
	return nil
}

// handler stands in front of every page of the wall.
func (w *Wall) handler() http.Handler {
	return http.HandlerFunc(func(out http.ResponseWriter, r *http.Request) {
		secure(out.Header())
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			out.Header().Set("Allow", "GET, HEAD")
			plainly(out, http.StatusMethodNotAllowed, "This page is only to be looked at.")
			return
		}
		if r.URL.Path == "/robots.txt" {
			write(out, "text/plain; charset=utf-8", []byte("User-agent: *\nDisallow: /\n"))
			return
		}
		w.open(out, r)
	})
}

// open lets whoever holds an address see its board.
func (w *Wall) open(out http.ResponseWriter, r *http.Request) {
	token, rest, slash := strings.Cut(strings.TrimPrefix(r.URL.Path, pathOf), "/")
	if len(token) != tokenLength || !strings.HasPrefix(r.URL.Path, pathOf) {
		gone(out)
		return
	}
	hash := sha256.Sum256([]byte(token))
	if !w.tries.allow(hash, r.RemoteAddr, w.board.cfg.Now()) {
		out.Header().Set("Retry-After", "10")
		plainly(out, http.StatusTooManyRequests, "Too many addresses were tried. Wait a little.")
		return
	}
	_, ok, err := w.viewer(r.Context(), token, hash)
	switch {
	case err != nil:
		w.board.broken(out, r, "find a board", err)
		return
	case !ok:
		gone(out)
		return
	case !slash:
		out.Header().Set("Location", token+"/") // by the way it came, also behind a proxy
		out.WriteHeader(http.StatusSeeOther)
		return
	}
	look := Look{
		Viewer: func(ctx context.Context) (shop.Viewer, bool, error) { return w.viewer(ctx, token, hash) },
		seat:   w.seats.take,
	}
	// The board has paths of one part, and names nothing by the way there.
	inner := r.Clone(r.Context())
	inner.URL.Path, inner.URL.RawPath = "/"+rest, ""
	w.board.Handler(look).ServeHTTP(out, inner)
}

// viewer is nobody in the shop of that address: who sees what is shared there.
func (w *Wall) viewer(ctx context.Context, token string, hash [32]byte) (shop.Viewer, bool, error) {
	s, ok, err := w.doors.BoardShop(ctx, token)
	if err != nil {
		return shop.Viewer{}, false, fmt.Errorf("look an address up: %w", err)
	}
	w.tries.learn(hash, ok)
	return shop.Viewer{Shop: s}, ok, nil
}

// policy lets a page load from here and from nowhere else, run no inline
// script or style, send nothing and never be framed.
const policy = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; " +
	"form-action 'none'; base-uri 'none'; frame-ancestors 'none'"

func secure(h http.Header) {
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Referrer-Policy", "no-referrer") // the address is a key
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("X-Robots-Tag", "noindex, nofollow, noarchive")
	h.Set("Cache-Control", "no-store")
}
