package board

import (
	"net"
	"net/netip"
	"sync"
	"time"

	"golang.org/x/time/rate"

	"github.com/pourwright/pourwright/internal/shop"
)

// Limits of the wall on strangers.
const (
	connsMost   = 512 // open connections
	streamsMost = 256 // open streams in all
	shopStreams = 24  // of one shop

	// Looking an unknown address up costs a read of the database. Guessing is
	// hopeless; this keeps it from costing anything.
	guessesPerSecond, guessesBurst = 1, 10    // of one place
	allGuesses, allGuessesBurst    = 50, 100  // of all
	placesMost                     = 4096     // remembered
	knownMost                      = 4096     // addresses that were right before
	headerMost                     = 16 << 10 // bytes
	headerPatience                 = 5 * time.Second
	readPatience                   = 10 * time.Second
	writePatience                  = 20 * time.Second
	idlePatience                   = 15 * time.Second
	endPatience                    = 3 * time.Second
)

// seats are the open streams.
type seats struct {
	mu     sync.Mutex
	all    int
	ofShop map[shop.ID]int
}

// take gives a seat, to be left, or none.
func (s *seats) take(of shop.ID) (leave func(), ok bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.all >= streamsMost || s.ofShop[of] >= shopStreams {
		return nil, false
	}
	if s.ofShop == nil {
		s.ofShop = map[shop.ID]int{}
	}
	s.all++
	s.ofShop[of]++
	return func() { s.leave(of) }, true
}

func (s *seats) leave(of shop.ID) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.all--
	if s.ofShop[of]--; s.ofShop[of] == 0 {
		delete(s.ofShop, of)
	}
}

// guesses bounds how often addresses that were never right are looked up.
type guesses struct {
	mu     sync.Mutex
	all    *rate.Limiter
	places map[netip.Prefix]*rate.Limiter
	known  map[[32]byte]bool // hashes of addresses that were right
}

func newGuesses() *guesses {
	return &guesses{
		all:    rate.NewLimiter(allGuesses, allGuessesBurst),
		places: map[netip.Prefix]*rate.Limiter{}, known: map[[32]byte]bool{},
	}
}

// allow reports whether an address may be looked up. One that was right before
// always may: guessing does not darken the boards that hang.
func (g *guesses) allow(hash [32]byte, from string, now time.Time) bool {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.known[hash] {
		return true
	}
	p := placeOf(from)
	of := g.places[p]
	if of == nil {
		if len(g.places) >= placesMost {
			clear(g.places) // the limit of all still holds
		}
		of = rate.NewLimiter(guessesPerSecond, guessesBurst)
		g.places[p] = of
	}
	return of.AllowN(now, 1) && g.all.AllowN(now, 1)
}

// learn keeps whether an address was right.
func (g *guesses) learn(hash [32]byte, right bool) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if !right {
		delete(g.known, hash)
		return
	}
	if len(g.known) >= knownMost {
		clear(g.known)
	}
	g.known[hash] = true
}

// placeOf is the network that a request comes from: of IPv6 the /64 that one
// customer has. What a proxy claims in a header counts for nothing: it can be
// made up.
func placeOf(remote string) netip.Prefix {
	host, _, err := net.SplitHostPort(remote)
	if err != nil {
		return netip.Prefix{}
	}
	addr, err := netip.ParseAddr(host)
	if err != nil {
		return netip.Prefix{}
	}
	addr = addr.Unmap()
	bits := 64
	if addr.Is4() {
		bits = 32
	}
	p, err := addr.WithZone("").Prefix(bits)
	if err != nil {
		return netip.Prefix{}
	}
	return p
}
