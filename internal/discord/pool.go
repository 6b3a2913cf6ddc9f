package discord

import (
	"context"
	"encoding/json"
	"log/slog"
	"runtime/debug"
	"sync"
	"time"
)

const (
	// Completions have workers of their own: they come with every key pressed
	// and must not wait behind a mesh that is being read.
	completionWorkers = 4
	completionQueue   = 64
	workQueue         = 256
	refusalQueue      = 64
)

// job is an event as it came.
type job struct {
	raw json.RawMessage
	at  time.Time
	// i is what raw says, where it was read already.
	i *Interaction
	// direct takes the answer that goes back on the way the event came, if it is
	// one that may; nil where there is no such way. It is closed when the job is
	// over, and takes one answer without anybody waiting.
	direct chan callback
}

// kind is the interaction's type, or 0.
func (j job) kind() int {
	if j.i != nil {
		return j.i.Type
	}
	return kindOf(j.raw)
}

// over tells whoever waits that there is no more to come.
func (j job) over() {
	if j.direct != nil {
		close(j.direct)
	}
}

// work handles one job.
type work func(ctx context.Context, j job)

// pool hands events to a bounded number of workers. What finds the queue full
// is told so by the one refusal worker, and past that dropped.
type pool struct {
	log        *slog.Logger
	watch      Observer
	cancel     context.CancelFunc
	done       sync.WaitGroup
	mu         sync.RWMutex
	stopped    bool
	commands   chan job
	completion chan job
	refused    chan job
}

func newPool(workers int, handle, refuse work, log *slog.Logger, watch Observer) *pool {
	ctx, cancel := context.WithCancel(context.Background())
	p := &pool{
		log: log, watch: watch, cancel: cancel,
		commands: make(chan job, workQueue), completion: make(chan job, completionQueue), refused: make(chan job, refusalQueue),
	}
	p.start(ctx, workers, p.commands, handle)
	p.start(ctx, completionWorkers, p.completion, handle)
	p.start(ctx, 1, p.refused, refuse)
	return p
}

func (p *pool) start(ctx context.Context, n int, jobs <-chan job, do work) {
	for range n {
		p.done.Go(func() {
			for j := range jobs {
				p.guarded(ctx, j, do)
			}
		})
	}
}

// guarded keeps a panic to its own job.
func (p *pool) guarded(ctx context.Context, j job, do work) {
	defer func() {
		if r := recover(); r != nil {
			p.log.Error("panic while handling an interaction", "panic", r, "stack", string(debug.Stack()))
		}
	}()
	defer j.over()
	do(ctx, j)
}

// offer queues an event without ever blocking, and reports whether somebody
// will look at it.
func (p *pool) offer(j job) bool {
	p.mu.RLock()
	defer p.mu.RUnlock()
	if p.stopped {
		return false
	}
	if j.kind() == TypeAutocomplete {
		select {
		case p.completion <- j:
			return true
		default:
			p.watch.Interaction(eventDropped)
			return false
		}
	}
	select {
	case p.commands <- j:
		return true
	default:
	}
	select {
	case p.refused <- j:
		p.log.Warn("all workers are busy; an interaction was turned away")
		p.watch.Interaction(eventTurnedAway)
		return true
	default:
		p.log.Error("all workers are busy; an interaction was dropped")
		p.watch.Interaction(eventDropped)
		return false
	}
}

// kindOf is an interaction's type, or 0.
func kindOf(raw []byte) int {
	var peek struct {
		Type int `json:"type"`
	}
	if json.Unmarshal(raw, &peek) != nil {
		return 0
	}
	return peek.Type
}

// stop takes no more jobs, lets the ones at hand finish within the time given,
// then cancels what is left and waits for it.
func (p *pool) stop(within time.Duration) {
	p.mu.Lock()
	p.stopped = true
	close(p.commands)
	close(p.completion)
	close(p.refused)
	p.mu.Unlock()
	late := time.AfterFunc(within, p.cancel)
	p.done.Wait()
	late.Stop()
	p.cancel()
}
