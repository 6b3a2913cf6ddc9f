package console

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"
)

// Editor reads lines from a person or from a pipe.
type Editor interface {
	// Line asks with a prompt. The suggestion is what an empty answer keeps;
	// complete lists whole lines that may go on from what is typed. It
	// returns io.EOF at the end and ErrLeft where the person gave this line
	// up.
	Line(prompt, suggestion string, complete func(typed string) []string) (string, error)
	// Remember keeps a line for the next time.
	Remember(line string)
	// Live reports whether a person types, who can correct a slip.
	Live() bool
	// Stop ends a Line that waits; it may be called from another goroutine.
	Stop()
	// Close puts the terminal back and writes the history.
	Close() error
}

// ErrLeft is returned by Editor.Line for Ctrl-C.
var ErrLeft = errors.New("left by the person at the keyboard")

// lineMost bounds one line of piped input in bytes.
const lineMost = 64 << 10

// pipe is an Editor over input that nobody types.
type pipe struct {
	in   *Input
	scan *bufio.Scanner
	echo io.Writer
}

// NewPipe makes an Editor of piped input. Prompts and what was read are
// written to echo, so that its output reads like a conversation.
func NewPipe(in *Input, echo io.Writer) Editor {
	scan := bufio.NewScanner(in)
	scan.Buffer(make([]byte, 0, 4096), lineMost)
	return &pipe{in: in, scan: scan, echo: echo}
}

func (p *pipe) Line(prompt, suggestion string, _ func(string) []string) (string, error) {
	if !p.scan.Scan() {
		if err := p.scan.Err(); err != nil {
			return "", fmt.Errorf("read a line: %w", err)
		}
		return "", io.EOF
	}
	line := strings.TrimRight(p.scan.Text(), "\r")
	if _, err := fmt.Fprintf(p.echo, "%s%s\n", prompt, oneLine(line)); err != nil {
		return "", fmt.Errorf("echo a line: %w", err)
	}
	switch line {
	case "":
		return suggestion, nil
	case emptied:
		return "", nil
	}
	return line, nil
}

// emptied is what a piped line says to clear a suggestion.
const emptied = "-"

func (p *pipe) Remember(string) {}
func (p *pipe) Live() bool      { return false }
func (p *pipe) Stop()           { p.in.Stop() }
func (p *pipe) Close() error    { return p.in.Close() }
