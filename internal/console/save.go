package console

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
)

// Folder is where pictures and files of answers are put.
type Folder struct {
	Path string
	// Keep gives a new name to a file whose name is taken, in place of
	// writing over it.
	Keep bool
}

// Save writes an answer's pictures and files and returns where, by their names
// in the answer. The folder is made if it is missing. A name counts only by
// its last part, and nothing outside the folder is ever written, whatever
// links stand in it.
func (f Folder) Save(r *chat.Reply) (map[string]string, error) {
	if r == nil || len(r.Images)+len(r.Files) == 0 {
		return nil, nil
	}
	if err := os.MkdirAll(f.Path, 0o700); err != nil {
		return nil, fmt.Errorf("make the folder for pictures and files: %w", err)
	}
	root, err := os.OpenRoot(f.Path)
	if err != nil {
		return nil, fmt.Errorf("open the folder for pictures and files: %w", err)
	}
	defer root.Close()
	saved := map[string]string{}
	files := make([]chat.File, 0, len(r.Images)+len(r.Files))
	for _, im := range r.Images {
		files = append(files, chat.File{Name: im.Name, Data: im.Data})
	}
	for _, file := range append(files, r.Files...) {
		name, err := f.write(root, file)
		if err != nil {
			return saved, fmt.Errorf("write %q into %s: %w", baseName(file.Name), f.Path, err)
		}
		saved[file.Name] = filepath.Join(f.Path, name)
	}
	return saved, nil
}

// write puts one file there whole or not at all: under a name of its own
// first, which then takes the wanted one. Only its owner can read it: what a
// member exports is nobody else's.
func (f Folder) write(root *os.Root, file chat.File) (string, error) {
	name := baseName(file.Name)
	if f.Keep {
		var err error
		if name, err = free(root, name); err != nil {
			return "", err
		}
	}
	part := "." + name + ".part"
	// A left-over of a run that was stopped, or a link put there.
	if err := root.Remove(part); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return "", err
	}
	w, err := root.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return "", err
	}
	_, err = w.Write(file.Data)
	if err := errors.Join(err, w.Close()); err != nil {
		return "", errors.Join(err, root.Remove(part))
	}
	if err := root.Rename(part, name); err != nil {
		return "", errors.Join(err, root.Remove(part))
	}
	return name, nil
}

// free is the name, or the name with the first number that is not taken.
func free(root *os.Root, name string) (string, error) {
	ext := filepath.Ext(name)
	stem := strings.TrimSuffix(name, ext)
	for i, try := 2, name; i < 10000; i, try = i+1, fmt.Sprintf("%s-%d%s", stem, i, ext) {
		_, err := root.Lstat(try)
		if errors.Is(err, fs.ErrNotExist) {
			return try, nil
		}
		if err != nil {
			return "", err
		}
	}
	return "", fmt.Errorf("all names up to %s-9999%s are taken", stem, ext)
}

// baseName is the last part of a name whoever made it, and never empty, hidden
// or longer than file systems take.
func baseName(name string) string {
	name = oneLine(name)
	if i := strings.LastIndexAny(name, `/\`); i >= 0 {
		name = name[i+1:]
	}
	name = strings.TrimLeft(strings.Map(func(r rune) rune {
		if strings.ContainsRune(`<>:"|?*`, r) {
			return '_'
		}
		return r
	}, name), ". ")
	const most = 100
	for len(name) > most {
		ext := filepath.Ext(name)
		if len(ext) > 10 {
			ext = ""
		}
		name = strings.ToValidUTF8(name[:most-len(ext)-1], "") + ext
	}
	if name == "" {
		return "file"
	}
	return name
}
