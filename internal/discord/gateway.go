package discord

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net/url"
	"sync"
	"time"

	"github.com/cenkalti/backoff/v5"
	"golang.org/x/sync/errgroup"

	"github.com/pourwright/pourwright/internal/chat"
)

// Desk answers invocations; chat.Dispatcher is one.
type Desk interface {
	// Do answers one invocation.
	Do(ctx context.Context, inv chat.Invocation) chat.Answer
	// Complete suggests values for an option.
	Complete(ctx context.Context, inv chat.Invocation, option string) ([]chat.Choice, error)
	// Foresee tells what must be known before Do is called.
	Foresee(ctx context.Context, inv chat.Invocation) chat.Foresight
	// Posted is told what message an answer became that others see.
	Posted(ctx context.Context, inv chat.Invocation, ans chat.Answer, message string) error
}

// pace holds the times of the supervisor; tests shorten them.
type pace struct {
	// ready bounds the time from dialing to READY.
	ready time.Duration
	// identify is the least time between identifies of one concurrency key.
	identify time.Duration
	// backoffMin and backoffMax bound the wait between failed connections.
	backoffMin, backoffMax time.Duration
	// healthy is how long a session must have lived for the next one to begin
	// at once.
	healthy time.Duration
	// drain bounds how long a stop waits for answers under way.
	drain time.Duration
	// headers and body bound how long a request may take to arrive; the headers
	// are part of it.
	headers, body time.Duration
	// one is what counts for one interaction.
	one patience
}

func properPace(service time.Duration) pace {
	return pace{
		ready: 20 * time.Second, identify: 5 * time.Second,
		backoffMin: 5 * time.Second, backoffMax: 5 * time.Minute,
		healthy: time.Minute, drain: 15 * time.Second,
		headers: 5 * time.Second, body: 10 * time.Second,
		one: patienceFor(service),
	}
}

// startReserve is how many of the day's session starts are left alone. The
// service resets the token when all are used up.
const startReserve = 50

// Gateway keeps the connections to the service's gateway and answers what
// comes in.
type Gateway struct {
	*speaker
	cfg     settled
	pace    pace
	handler *handler

	mu     sync.Mutex
	turns  map[int]time.Time // concurrency key → when it last identified
	shards map[int]error     // shard that runs here → nil while it has a session, else why not
}

// New checks the configuration. Nothing is sent until Run.
func New(cfg Config, desk Desk) (*Gateway, error) {
	c, err := cfg.settle()
	if err != nil {
		return nil, err
	}
	r := newREST(c)
	g := &Gateway{
		speaker: newSpeaker(r), cfg: c, handler: newHandler(c, r, desk),
		turns: make(map[int]time.Time), shards: make(map[int]error),
	}
	g.keepPace(properPace(c.AnswerIn))
	return g, nil
}

// keepPace sets the times, before Run.
func (g *Gateway) keepPace(p pace) { g.pace, g.handler.patience = p, p.one }

// Run connects and answers until ctx ends, then finishes the answers under way
// and returns nil. It returns an error only for what connecting again can't
// mend, such as a refused token (ErrUnauthorized, *FatalError).
func (g *Gateway) Run(ctx context.Context) error {
	defer g.rest.close()
	workers := newPool(g.cfg.Workers, g.handler.handle, g.handler.refuse, g.cfg.Log, g.cfg.Watch)
	defer workers.stop(g.pace.drain)

	info, err := g.firstInfo(ctx)
	if err != nil || ctx.Err() != nil {
		return err
	}
	g.reached()
	shards := g.cfg.Shards
	if shards == 0 {
		shards = max(info.Shards, 1)
	}
	group, ctx := errgroup.WithContext(ctx)
	for shard := range shards {
		if g.cfg.Shards > 0 && g.cfg.Shard >= 0 && shard != g.cfg.Shard {
			continue
		}
		g.expect(shard)
		group.Go(func() error { return g.keep(ctx, shard, shards, workers) })
	}
	return group.Wait()
}

// firstInfo asks about the gateway until there is an answer.
func (g *Gateway) firstInfo(ctx context.Context) (gatewayBot, error) {
	return patiently(ctx, g.pace, g.cfg.Log, func(ctx context.Context) (gatewayBot, error) {
		info, err := g.rest.gatewayBot(ctx)
		if err != nil && ctx.Err() == nil {
			g.setShard(noShard, err)
		}
		return info, err
	})
}

// patiently asks the service until there is an answer, one that asking again
// can't mend, or ctx ends, which is no error.
func patiently[T any](ctx context.Context, p pace, log *slog.Logger, ask func(context.Context) (T, error)) (T, error) {
	wait := p.backoff()
	for {
		told, err := ask(ctx)
		if err == nil || ctx.Err() != nil {
			return told, nil
		}
		if stop := fatal(err); stop != nil {
			return told, stop
		}
		d := wait.NextBackOff()
		log.Warn("the service can't be reached", "again_in", d, "err", err)
		if sleep(ctx, d) != nil {
			return told, nil
		}
	}
}

// keep holds one shard's connection, anew after each loss.
func (g *Gateway) keep(ctx context.Context, shard, shards int, workers *pool) error {
	wait := g.pace.backoff()
	for {
		began := g.cfg.Now()
		had, readyFor, err := g.connectOnce(ctx, shard, shards, workers)
		g.lost(shard, had, err)
		if ctx.Err() != nil {
			return nil
		}
		if stop := fatal(err); stop != nil {
			return stop
		}
		d := wait.NextBackOff()
		if readyFor >= g.pace.healthy {
			wait.Reset()
			d = 0
		}
		g.cfg.Log.Warn("gateway connection ended", "shard", shard, "after", g.cfg.Now().Sub(began).Round(time.Millisecond),
			"again_in", d, "err", err)
		if sleep(ctx, d) != nil {
			return nil
		}
	}
}

// connectOnce asks for the address and the budget, waits for its turn, and
// runs one connection to its end. It returns whether there was a session, and
// how long it was ready.
func (g *Gateway) connectOnce(ctx context.Context, shard, shards int, workers *pool) (had bool, readyFor time.Duration, err error) {
	info, err := g.rest.gatewayBot(ctx)
	if err != nil {
		return false, 0, err
	}
	address, err := gatewayURL(info.URL, g.cfg.loopback)
	if err != nil {
		return false, 0, err
	}
	if err := g.budget(ctx, info); err != nil {
		return false, 0, err
	}
	if err := g.turn(ctx, shard%max(info.Start.MaxConcurrency, 1)); err != nil {
		return false, 0, err
	}
	link, err := newLink(ctx, linkConfig{
		token: g.cfg.Token, agent: g.rest.agent, gateway: address, shard: shard, shards: shards,
		loopback: g.cfg.loopback, now: time.Now,
		onEvent: func(raw json.RawMessage) { workers.offer(job{raw: raw, at: g.cfg.Now()}) },
	})
	if err != nil {
		return false, 0, err
	}
	defer link.shut()
	if err := link.open(ctx, g.pace.ready); err != nil {
		return false, 0, err
	}
	ready := g.cfg.Now()
	g.met(shard)
	g.cfg.Log.Info("gateway ready", "shard", shard, "shards", shards)
	select {
	case <-ctx.Done():
		return true, 0, ctx.Err()
	case <-link.ended():
		return true, g.cfg.Now().Sub(ready), link.why(errors.New("the connection was lost"))
	}
}

// budget waits for the day's reset when few session starts are left.
func (g *Gateway) budget(ctx context.Context, info gatewayBot) error {
	start := info.Start
	if start.Total == 0 || start.Remaining >= startReserve {
		return nil
	}
	wait := time.Duration(max(start.ResetAfter, 0)) * time.Millisecond
	wait = min(wait, 24*time.Hour) + time.Second
	g.cfg.Log.Error("few gateway session starts are left today; waiting for the reset", "remaining", start.Remaining, "wait", wait)
	return sleep(ctx, wait)
}

// turn waits until the concurrency key may identify again.
func (g *Gateway) turn(ctx context.Context, key int) error {
	g.mu.Lock()
	now := g.cfg.Now()
	at := g.turns[key].Add(g.pace.identify)
	if at.Before(now) {
		at = now
	}
	g.turns[key] = at
	g.mu.Unlock()
	return sleep(ctx, at.Sub(now))
}

func (p pace) backoff() *backoff.ExponentialBackOff {
	b := backoff.NewExponentialBackOff()
	b.InitialInterval = p.backoffMin
	b.MaxInterval = p.backoffMax
	b.Multiplier = 2
	b.RandomizationFactor = 0.3
	b.Reset()
	return b
}

// gatewayURL checks the address that the token is about to be sent to: an
// encrypted one, or one on this machine when the API is there too.
func gatewayURL(text string, loopback bool) (string, error) {
	u, err := url.Parse(text)
	if err != nil || u.Host == "" || u.User != nil {
		return "", errors.New("the service gave a gateway address that can't be read")
	}
	local := u.Scheme == "ws" && loopback && isLoopbackHost(u.Hostname())
	if u.Scheme != "wss" && !local || loopback != isLoopbackHost(u.Hostname()) {
		return "", fmt.Errorf("the service gave the gateway address %s://%s, which is not used", u.Scheme, u.Host)
	}
	return u.Scheme + "://" + u.Host + u.Path, nil
}
