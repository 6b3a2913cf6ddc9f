package main

import (
	"context"
	"log/slog"
	"time"

	"golang.org/x/sync/errgroup"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/discord"
	"github.com/pourwright/pourwright/internal/ops"
	"github.com/pourwright/pourwright/internal/remind"
	"github.com/pourwright/pourwright/internal/store"
	"github.com/pourwright/pourwright/internal/tidy"
)

// watch is what whoever runs a serving program may look at. A nil one counts
// nothing and listens nowhere.
type watch struct {
	metrics *ops.Metrics
	server  *ops.Server
}

// newWatch begins to listen at an address; with none it is nil.
func (p *program) newWatch(listen string, log *slog.Logger) (*watch, error) {
	if listen == "" {
		return nil, nil
	}
	m := ops.New(shortVersion(), p.Now)
	server, err := ops.Listen(listen, m, log)
	if err != nil {
		return nil, misuse{err}
	}
	log.Info("serving health and metrics", "address", server.Addr())
	return &watch{m, server}, nil
}

// The observers, each nil where nobody counts.

func (w *watch) desk() chat.Observer {
	if w == nil {
		return nil
	}
	return w.metrics
}

func (w *watch) service() discord.Observer {
	if w == nil {
		return nil
	}
	return w.metrics
}

func (w *watch) loop() remind.Observer {
	if w == nil {
		return nil
	}
	return w.metrics
}

func (w *watch) tidy() tidy.Observer {
	if w == nil {
		return nil
	}
	return w.metrics
}

func (w *watch) store() store.Observer {
	if w == nil {
		return nil
	}
	return w.metrics
}

// know tells what there is to look at.
func (w *watch) know(p *program, desk *chat.Dispatcher, db records, way *wayIn, loop *remind.Loop) {
	if w == nil {
		return
	}
	parts := ops.Parts{
		Checks: []ops.Check{
			{Part: "store", Ask: db.Standing},
			{Part: way.part, Ask: func(context.Context) error { return way.standing() }},
			{Part: "calls", Ask: func(context.Context) error { return loop.Standing(p.Now()) }},
		},
		Backlog: func(ctx context.Context) (int, time.Time, error) { return db.DueBacklog(ctx, "discord") },
	}
	for _, c := range desk.Commands() {
		for i := range c.Subs {
			parts.Commands = append(parts.Commands, c.Path(&c.Subs[i]))
		}
	}
	w.metrics.Know(parts)
}

// around does the program's work while health and metrics can be looked at, to
// the end of the work: so that /readyz says that it is ending.
func (w *watch) around(ctx context.Context, do func(ctx context.Context) error) error {
	if w == nil {
		return do(ctx)
	}
	group, ctx := errgroup.WithContext(ctx)
	looked, end := context.WithCancel(context.WithoutCancel(ctx))
	defer end()
	group.Go(func() error { return w.server.Run(looked) })
	group.Go(func() error {
		defer end()
		return do(ctx)
	})
	return group.Wait()
}

// Close gives the address back.
func (w *watch) Close() error {
	if w == nil {
		return nil
	}
	return w.server.Close()
}
