// Command pourwright answers the sums of people who cast two-part resin in
// rubber molds: in a chat server, on a local web page, and in the terminal.
//
//	pourwright try
//	pourwright ask --demo '/batch material:"demo rigid white" volume:"250 ml"'
//
// This package holds verbs and wiring only; the README explains what it is
// for.
package main

import (
	"context"
	"crypto/rand"
	"os"
	"os/signal"
	"syscall"
	"time"
	_ "time/tzdata" // shops set their zone by name, also where none are installed

	"github.com/pourwright/pourwright/internal/remind"
)

func main() { os.Exit(run(remind.Pace{}, time.Now)) }

// run is the program on the real machine. The first signal asks it to end; a
// second one ends it at once. pace is that of calling members back, zero the usual
// one; now is the clock.
func run(pace remind.Pace, now func() time.Time) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop)
	p := program{
		Args: os.Args[1:], In: os.Stdin, Out: os.Stdout, Err: os.Stderr,
		Environ: os.Environ(), Now: now, Rand: rand.Reader, Pace: pace,
	}
	return int(p.Run(ctx))
}
