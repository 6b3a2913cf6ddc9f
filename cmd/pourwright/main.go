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
)

func main() { os.Exit(run(program{Now: time.Now})) }

// run is the program on the real machine. The first signal asks it to end; a
// second one ends it at once. p is its clock, and what tests change in its pace.
func run(p program) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop)
	p.Args, p.In, p.Out, p.Err = os.Args[1:], os.Stdin, os.Stdout, os.Stderr
	p.Environ, p.Rand = os.Environ(), rand.Reader
	return int(p.Run(ctx))
}
