package console

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"

	"github.com/peterh/liner"
)

// keyboard is an Editor for a person at a terminal.
type keyboard struct {
	state   *liner.State
	in      *Input
	feed    *os.File // liner's end of the pump
	pump    *os.File // ours
	history string
	pumped  sync.WaitGroup
}

// NewKeyboard makes an Editor of the terminal that the program was started
// from; history is the file of lines typed before, "" keeps none. An error that
// comes with an Editor is about the history alone.
//
// The library reads the standard input and can't be told to stop while it
// waits for a key. So it is given a pipe in its place, which a goroutine of
// ours fills from the terminal and closes at Stop.
func NewKeyboard(in *Input, history string) (Editor, error) {
	feed, pump, err := os.Pipe()
	if err != nil {
		return nil, fmt.Errorf("start the line editor: %w", err)
	}
	k := &keyboard{in: in, feed: feed, pump: pump, history: history}
	terminal := os.Stdin
	os.Stdin = feed
	k.state = liner.NewLiner()
	os.Stdin = terminal
	k.state.SetCtrlCAborts(true)
	k.state.SetTabCompletionStyle(liner.TabPrints)
	k.state.SetBeep(false)
	k.pumped.Go(func() {
		// An error here is the end of the input, whatever its cause.
		_, _ = io.Copy(pump, onlyReader{in})
		pump.Close()
	})
	return k, k.readHistory()
}

// onlyReader hides everything but Read, so that no copying past it is tried.
type onlyReader struct{ io.Reader }

func (k *keyboard) Line(prompt, suggestion string, complete func(string) []string) (string, error) {
	k.state.SetCompleter(complete)
	line, err := k.state.PromptWithSuggestion(prompt, suggestion, -1)
	switch {
	case errors.Is(err, liner.ErrPromptAborted):
		return "", ErrLeft
	case errors.Is(err, io.EOF):
		return "", io.EOF
	case err != nil:
		return "", fmt.Errorf("read a line: %w", err)
	}
	return line, nil
}

func (k *keyboard) Remember(line string) { k.state.AppendHistory(line) }
func (k *keyboard) Live() bool           { return true }
func (k *keyboard) Stop()                { k.in.Stop() }

// redraw shows the prompt and the line being typed anew, after something was
// printed over them. The library does so for a key that goes to the line's end.
func (k *keyboard) redraw() {
	const endOfLine = 'E' - '@'
	_, _ = k.pump.Write([]byte{endOfLine}) // once it is closed nothing is typed any more
}

func (k *keyboard) Close() error {
	k.in.Stop()
	k.pumped.Wait()
	err := errors.Join(k.state.Close(), k.writeHistory())
	// The end of the pipe wakes a read of the library that still waits.
	return errors.Join(err, k.feed.Close(), k.in.Close())
}

func (k *keyboard) readHistory() error {
	if k.history == "" {
		return nil
	}
	f, err := os.Open(k.history)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("read the history: %w", err)
	}
	defer f.Close()
	if _, err := k.state.ReadHistory(f); err != nil {
		return fmt.Errorf("read the history: %w", err)
	}
	return nil
}

// writeHistory replaces the file as a whole. Lines may hold what is nobody
// else's business, so only the user can read them.
func (k *keyboard) writeHistory() error {
	if k.history == "" {
		return nil
	}
	if err := os.MkdirAll(filepath.Dir(k.history), 0o700); err != nil {
		return fmt.Errorf("write the history: %w", err)
	}
	f, err := os.CreateTemp(filepath.Dir(k.history), ".history-*") // made with mode 0600
	if err != nil {
		return fmt.Errorf("write the history: %w", err)
	}
	_, err = k.state.WriteHistory(f)
	if err = errors.Join(err, f.Close()); err == nil {
		err = os.Rename(f.Name(), k.history)
	}
	if err != nil {
		return fmt.Errorf("write the history: %w", errors.Join(err, os.Remove(f.Name())))
	}
	return nil
}
