package console

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

// ReadFile reads a file of the user's own machine for an option. The error is
// a *fault.Error in words for whoever typed the path.
func ReadFile(path string, most int64) (chat.File, error) {
	shown := fault.Clip(oneLine(path), 80)
	open := path
	if rest, ok := strings.CutPrefix(path, "~/"); ok {
		if home, err := os.UserHomeDir(); err == nil {
			open = filepath.Join(home, rest)
		}
	}
	info, err := os.Stat(open)
	if err != nil {
		return chat.File{}, unreadable(shown, err)
	}
	if !info.Mode().IsRegular() {
		return chat.File{}, fault.New(fault.BadFile, "%q is not a plain file", shown).Hint("give the path of a file")
	}
	f, err := os.Open(open)
	if err != nil {
		return chat.File{}, unreadable(shown, err)
	}
	defer f.Close()
	if info.Size() > most {
		return chat.File{}, tooLarge(shown, most)
	}
	data := make([]byte, 0, info.Size()+1)
	// The file may grow while it is read.
	data, err = readInto(data, io.LimitReader(f, most+1))
	if err != nil {
		return chat.File{}, unreadable(shown, err)
	}
	if int64(len(data)) > most {
		return chat.File{}, tooLarge(shown, most)
	}
	return chat.File{Name: filepath.Base(open), Data: data}, nil
}

// readInto is io.ReadAll into a buffer that has the expected size already.
func readInto(buf []byte, r io.Reader) ([]byte, error) {
	for {
		n, err := r.Read(buf[len(buf):cap(buf)])
		buf = buf[:len(buf)+n]
		if errors.Is(err, io.EOF) {
			return buf, nil
		}
		if err != nil {
			return buf, err
		}
		if len(buf) == cap(buf) {
			buf = append(buf, 0)[:len(buf)]
		}
	}
}

func unreadable(shown string, err error) error {
	why := "it can't be read"
	switch {
	case errors.Is(err, fs.ErrNotExist):
		why = "there is no such file"
	case errors.Is(err, fs.ErrPermission):
		why = "reading it is not allowed"
	}
	return fault.New(fault.BadFile, "%q: %s", shown, why).
		Hint("give the path of a file on this machine, in quotes if it has spaces").Because(err)
}

func tooLarge(shown string, most int64) error {
	return fault.New(fault.FileTooLarge, "%q has more than %d MB", shown, most>>20).
		Hint("reduce the mesh in the program that made it, then export it again")
}

// Attach reads the files that a line names on this machine, each for its
// option. The error is a *fault.Error that names the option.
func Attach(desk *chat.Dispatcher, line string, most int64) (map[string]chat.File, error) {
	var files map[string]chat.File
	for option, path := range desk.Attached(line) {
		if path == "" {
			continue // the dispatcher says that it is missing
		}
		f, err := ReadFile(path, most)
		if err != nil {
			return nil, fault.As(err).In(option)
		}
		if files == nil {
			files = map[string]chat.File{}
		}
		files[option] = f
	}
	return files, nil
}
