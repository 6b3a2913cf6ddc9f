package main

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"
)

// clockFile is the variable that names the file with a program's clock: how far
// it goes ahead, and after that "falls" if the program is to be killed as soon
// as a call is claimed and recorded, before anybody is shown it.
const clockFile = "POURWRIGHT_TEST_CLOCK"

const falls = "falls"

// clocked is the clock that a file sets.
func clocked(path string) func() time.Time {
	return func() time.Time {
		raw, err := os.ReadFile(path)
		if err != nil {
			panic(err)
		}
		ahead, rest, _ := strings.Cut(string(raw), " ")
		d, err := time.ParseDuration(ahead)
		if err != nil {
			panic(err)
		}
		if rest == falls && calledFrom("remind.(*Loop).attempt") {
			_ = syscall.Kill(os.Getpid(), syscall.SIGKILL) // nothing comes back from it
		}
		return time.Now().Add(d)
	}
}

// calledFrom reports whether a function is among those that asked for the time.
func calledFrom(function string) bool {
	callers := make([]uintptr, 8)
	frames := runtime.CallersFrames(callers[:runtime.Callers(2, callers)])
	for {
		f, more := frames.Next()
		if strings.HasSuffix(f.Function, function) {
			return true
		}
		if !more {
			return false
		}
	}
}

// clock moves the clock of the programs that read its file.
type clock struct {
	t     testing.TB
	path  string
	ahead time.Duration
}

func newClock(t testing.TB) *clock {
	c := &clock{t: t, path: filepath.Join(t.TempDir(), "clock")}
	c.write("")
	return c
}

// environ is the environment of a program that goes by it.
func (c *clock) environ() []string { return append(os.Environ(), clockFile+"="+c.path) }

func (c *clock) now() time.Time { return time.Now().Add(c.ahead) }

// to moves it to an instant, and a little past it.
func (c *clock) to(at time.Time) {
	c.t.Helper()
	c.ahead += at.Sub(c.now()) + time.Second
	c.write("")
}

// falling moves it likewise, to when a program is killed that has a call to
// show.
func (c *clock) falling(at time.Time) {
	c.t.Helper()
	c.ahead += at.Sub(c.now()) + time.Second
	c.write(falls)
}

// write puts the file in place whole: it is read all the time.
func (c *clock) write(more string) {
	c.t.Helper()
	if err := os.WriteFile(c.path+".new", []byte(c.ahead.String()+" "+more), 0o600); err != nil {
		c.t.Fatal(err)
	}
	if err := os.Rename(c.path+".new", c.path); err != nil {
		c.t.Fatal(err)
	}
}
