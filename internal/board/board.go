// Package board shows what a shop has under way: which pours cure and for how
// long yet, which molds want a release coat, and what the member at the bench
// is to be called for. It is one page with two homes:
//
//   - the bench, for the member who sits there, who sees what is theirs as well
//     (Board.Handler);
//   - the wall, at an address that can't be guessed, for whoever stands in the
//     shop, with what is shared there and nothing else (Wall).
//
// It computes nothing of the job: phases and release coats are told by
// functions it is given. Who may see what is decided by the store, to which
// the wall is nobody in that shop.
//
//	b, err := board.New(board.Config{Pours: db, Molds: db, Dues: db, Phase: …, Coat: …, Changes: db.Changes, Now: time.Now, Log: log})
//	http.Handle("/board/", http.StripPrefix("/board", b.Handler(board.Look{Viewer: whoever, Home: "../"})))
//
// The page is right as it is served, and loads itself again twice a minute.
// With script its clocks run, and what changes comes by itself.
package board

import (
	"context"
	"fmt"
	"log/slog"
	"net/http"
	"strings"
	"sync"
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

// Phase is where a pour stands, in words.
type Phase struct {
	Name string // mixing, pot life, gelling, next coat, late coat, wait, try it, ready
	Text string // what that means for whoever stands beside it
	// From when and until when it stands there; Until is zero where the end is
	// open.
	Since, Until time.Time
}

// Pours lists what is in a mold, in sight of a viewer, as shop.Pours does.
type Pours interface {
	Running(ctx context.Context, v shop.Viewer, most int) ([]shop.Pour, error)
}

// Molds lists those in sight of a viewer, as shop.Molds does.
type Molds interface {
	Molds(ctx context.Context, v shop.Viewer) ([]shop.Mold, error)
}

// Dues lists the viewer's own calls, as shop.Dues does.
type Dues interface {
	Dues(ctx context.Context, v shop.Viewer, most int) ([]shop.Due, error)
}

// Config is what a board needs.
type Config struct {
	Pours Pours
	Molds Molds
	Dues  Dues
	// Phase tells where a pour stands, Coat how many pulls a mold has until its
	// next release coat, 0 when that is due.
	Phase func(p shop.Pour, now time.Time) Phase
	Coat  func(m shop.Mold) int
	// Changes counts what was committed and gives what is closed with the next
	// commit.
	Changes func() (n uint64, next <-chan struct{})
	Now     func() time.Time
	Log     *slog.Logger
}

// Board makes the page. It is safe for concurrent use.
type Board struct {
	cfg  Config
	page *page

	mu    sync.Mutex
	shots map[eye]*shot
}

// eye is who looks, and where.
type eye struct {
	member shop.MemberID
	shop   shop.ID
}

// New reads the page's templates.
func New(cfg Config) (*Board, error) {
	p, err := readPage()
	if err != nil {
		return nil, err
	}
	return &Board{cfg: cfg, page: p, shots: map[eye]*shot{}}, nil
}

// Look is one home of the page.
type Look struct {
	// Viewer is who looks. It is asked again whenever something changed; false
	// ends the look, for the wall's address was taken back.
	Viewer func(ctx context.Context) (v shop.Viewer, ok bool, err error)
	// Home leads, from the page, to where lines can be asked; "" on the wall.
	Home string
	// seat is taken by an open stream, nil is none.
	seat func(shop.ID) (leave func(), ok bool)
}

// Handler serves the page at "/" and what belongs to it beside it, to GET and
// HEAD: whoever mounts it lets nothing else through.
func (b *Board) Handler(l Look) http.Handler {
	// A mux would answer an untidy path with a way to the tidy one, which is
	// not below here.
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch r.URL.Path {
		case "/":
			b.home(w, r, l)
		case "/news":
			b.news(w, r, l)
		default:
			b.asset(w, r, strings.TrimPrefix(r.URL.Path, "/"))
		}
	})
}

// home is the page itself.
func (b *Board) home(w http.ResponseWriter, r *http.Request, l Look) {
	v, ok, err := l.Viewer(r.Context())
	if err != nil {
		b.broken(w, r, "find who looks at the board", err)
		return
	}
	if !ok {
		gone(w)
		return
	}
	s, err := b.shot(r.Context(), v, l.Home, pageAge)
	if err != nil {
		b.broken(w, r, "make the board", err)
		return
	}
	html, err := b.page.whole(s)
	if err != nil {
		b.broken(w, r, "make the board", err)
		return
	}
	write(w, "text/html; charset=utf-8", html)
}

// asset serves the style, the script and the icon.
func (b *Board) asset(w http.ResponseWriter, r *http.Request, name string) {
	kind, ok := kinds[name]
	if !ok {
		gone(w)
		return
	}
	data, err := assets.ReadFile("page/" + name)
	if err != nil {
		b.broken(w, r, "read what comes with the board", err)
		return
	}
	write(w, kind, data)
}

// gone is the answer to every address that is none, whatever was wrong with
// it.
func gone(w http.ResponseWriter) { plainly(w, http.StatusNotFound, "Nothing is here.") }

// broken is the answer where something of ours went wrong, unless whoever
// asked has left.
func (b *Board) broken(w http.ResponseWriter, r *http.Request, act string, err error) {
	if r.Context().Err() != nil {
		return
	}
	b.cfg.Log.Error("serve a board", "error", fmt.Errorf("%s: %w", act, err))
	plainly(w, http.StatusInternalServerError, "The board could not be made. The log says why.")
}

func plainly(w http.ResponseWriter, status int, text string) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write([]byte(text + "\n")) // a reader that is gone needs no answer
}
