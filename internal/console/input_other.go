//go:build !unix

package console

import (
	"io"
	"os"
	"sync/atomic"
)

// Input reads a file such as the standard input. Here a read that waits can't
// be stopped; the next one is.
type Input struct {
	file    *os.File
	stopped atomic.Bool
}

// NewInput makes a reader of f.
func NewInput(f *os.File) (*Input, error) { return &Input{file: f}, nil }

// Read is at its end after Stop.
func (in *Input) Read(p []byte) (int, error) {
	if in.stopped.Load() {
		return 0, io.EOF
	}
	return in.file.Read(p)
}

// Stop ends the reads to come.
func (in *Input) Stop() { in.stopped.Store(true) }

// Close frees what Input itself opened.
func (in *Input) Close() error {
	in.Stop()
	return nil
}

// IsTerminal can't tell here and says no: lines are read without an editor.
func IsTerminal(*os.File) bool { return false }

// terminalWidth can't tell here.
func terminalWidth(*os.File) (int, bool) { return 0, false }
