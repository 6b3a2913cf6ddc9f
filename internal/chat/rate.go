package chat

import (
	"sync"
	"time"

	"golang.org/x/time/rate"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// Rate is how often one member may call, Burst calls at once and then
// PerMinute, and how often all members of one shop together. Zero sets no
// limit.
type Rate struct {
	PerMinute, Burst         int
	ShopPerMinute, ShopBurst int
}

// typing is how many suggestions a member gets for each call: one is asked for
// at every key.
const typing = 20

// ratesMost bounds the members or shops remembered; past it the counters start
// anew, which only ever errs in the members' favor.
const ratesMost = 10000

// rates counts calls by whoever makes them.
type rates[K comparable] struct {
	perMinute, burst int
	mu               *sync.Mutex
	byWho            map[K]*rate.Limiter
}

func newRates[K comparable](perMinute, burst int) rates[K] {
	return rates[K]{perMinute: perMinute, burst: burst, mu: new(sync.Mutex), byWho: map[K]*rate.Limiter{}}
}

// take counts one call at that time, or reports that it is past the limit.
func (r *rates[K]) take(who K, at time.Time) bool {
	if r.perMinute == 0 {
		return true
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	l := r.byWho[who]
	if l == nil {
		if len(r.byWho) >= ratesMost {
			clear(r.byWho)
		}
		l = rate.NewLimiter(rate.Limit(float64(r.perMinute)/60), r.burst)
		r.byWho[who] = l
	}
	return l.AllowN(at, 1)
}

// wait is how long it takes until another call is allowed, in whole seconds.
func (r *rates[K]) wait() int { return 60/max(r.perMinute, 1) + 1 }

// limits are those of members' calls, of shops' calls and of suggestions.
type limits struct {
	calls  rates[shop.MemberID]
	shops  rates[shop.ID]
	typing rates[shop.MemberID]
}

func newLimits(r Rate) limits {
	return limits{
		calls:  newRates[shop.MemberID](r.PerMinute, r.Burst),
		shops:  newRates[shop.ID](r.ShopPerMinute, r.ShopBurst),
		typing: newRates[shop.MemberID](typing*r.PerMinute, typing*r.Burst),
	}
}

// take counts a call and refuses it past a limit. What a member is refused
// counts for nothing in the shop.
func (l *limits) take(by shop.Viewer, at time.Time) error {
	if !l.calls.take(by.Member.ID, at) {
		return fault.New(fault.Busy, "that is a lot of questions at once").Hint("try again in %d seconds", l.calls.wait())
	}
	if !l.shops.take(by.Shop.ID, at) {
		return fault.New(fault.Busy, "this shop asks more at once than can be answered").Hint("try again in %d seconds", l.shops.wait())
	}
	return nil
}
