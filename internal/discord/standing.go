package discord

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Why a shard has no session before it ever had one.
var (
	errNotBegun = errors.New("not connected yet")
	errEnding   = errors.New("the program is ending")
)

// Standing says what keeps the gateway from working: nil while every shard
// that runs here is connected and identified. It waits for nothing.
func (g *Gateway) Standing() error {
	g.mu.Lock()
	defer g.mu.Unlock()
	if len(g.shards) == 0 {
		return errNotBegun
	}
	var down []int
	for shard, why := range g.shards {
		if why != nil {
			down = append(down, shard)
		}
	}
	if len(down) == 0 {
		return nil
	}
	slices.Sort(down)
	first := g.shards[down[0]]
	if len(g.shards) == 1 {
		return first
	}
	named := strings.Trim(strings.Join(strings.Fields(fmt.Sprint(down[:min(len(down), 8)])), ", "), "[]")
	return fmt.Errorf("%d of %d shards have no session (%s): %w", len(down), len(g.shards), named, first)
}

// noShard is where the reason stands while it is not known which shards run.
const noShard = -1

// reached notes that the service has answered.
func (g *Gateway) reached() {
	g.mu.Lock()
	defer g.mu.Unlock()
	delete(g.shards, noShard)
}

// expect notes that a shard runs here.
func (g *Gateway) expect(shard int) { g.setShard(shard, errNotBegun) }

// met notes that a shard has a session.
func (g *Gateway) met(shard int) {
	g.setShard(shard, nil)
	g.cfg.Watch.SessionBegan()
}

// lost notes that a shard has none any more, or got none.
func (g *Gateway) lost(shard int, had bool, why error) {
	if errors.Is(why, context.Canceled) || why == nil {
		why = errEnding
	}
	g.setShard(shard, why)
	g.cfg.Watch.SessionEnded(had, closeCode(why))
}

func (g *Gateway) setShard(shard int, why error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.shards[shard] = why
}
