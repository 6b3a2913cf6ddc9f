//go:build unix

package console

import (
	"io"
	"os"
	"sync"

	"golang.org/x/sys/unix"
)

// Input reads a file such as the standard input and can be stopped while a
// read waits for a person to type, which closing the file can't do.
type Input struct {
	file         *os.File
	wakeR, wakeW *os.File
	once         sync.Once
}

// NewInput makes a stoppable reader of f. It never closes f.
func NewInput(f *os.File) (*Input, error) {
	r, w, err := os.Pipe()
	if err != nil {
		return nil, err
	}
	return &Input{file: f, wakeR: r, wakeW: w}, nil
}

// Read waits for input or for Stop; after Stop it is at its end.
func (in *Input) Read(p []byte) (int, error) {
	fds := []unix.PollFd{
		{Fd: int32(in.file.Fd()), Events: unix.POLLIN},
		{Fd: int32(in.wakeR.Fd()), Events: unix.POLLIN},
	}
	for {
		_, err := unix.Poll(fds, -1)
		if err == unix.EINTR {
			continue
		}
		if err != nil {
			return 0, err
		}
		break
	}
	if fds[1].Revents != 0 {
		return 0, io.EOF
	}
	return in.file.Read(p)
}

// Stop ends the reads, those that wait included. It may be called more than
// once and from anywhere.
func (in *Input) Stop() { in.once.Do(func() { in.wakeW.Close() }) }

// Close frees what Input itself opened, when no read is going on any more.
func (in *Input) Close() error {
	in.Stop()
	return in.wakeR.Close()
}

// IsTerminal reports whether f is a terminal.
func IsTerminal(f *os.File) bool {
	_, ok := terminalWidth(f)
	return ok
}

// terminalWidth is the number of columns of the terminal f is, 0 where it does
// not say, and false if f is none.
func terminalWidth(f *os.File) (int, bool) {
	size, err := unix.IoctlGetWinsize(int(f.Fd()), unix.TIOCGWINSZ)
	if err != nil {
		return 0, false
	}
	return int(size.Col), true
}
