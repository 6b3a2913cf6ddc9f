package chat

import (
	"sync"
	"time"

	"golang.org/x/time/rate"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// Rate is how often one member may call: Burst calls at once, then PerMinute.
// The zero value sets no limit.
type Rate struct{ PerMinute, Burst int }

// ratesMost bounds the members remembered; past it the counters start anew,
// which only ever errs in the members' favor.
const ratesMost = 10000

type rates struct {
	limit Rate
	mu    *sync.Mutex
	byWho map[shop.MemberID]*rate.Limiter
}

func newRates(r Rate) rates {
	return rates{limit: r, mu: new(sync.Mutex), byWho: map[shop.MemberID]*rate.Limiter{}}
}

// take counts one call at that time and refuses it past the limit.
func (r *rates) take(who shop.MemberID, at time.Time) error {
	if r.limit.PerMinute == 0 {
		return nil
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	l := r.byWho[who]
	if l == nil {
		if len(r.byWho) >= ratesMost {
			clear(r.byWho)
		}
		l = rate.NewLimiter(rate.Limit(float64(r.limit.PerMinute)/60), r.limit.Burst)
		r.byWho[who] = l
	}
	if l.AllowN(at, 1) {
		return nil
	}
	wait := time.Duration(60/float64(r.limit.PerMinute)*float64(time.Second)) + time.Second
	return fault.New(fault.Busy, "that is a lot of questions at once").Hint("try again in %d seconds", int(wait/time.Second))
}
