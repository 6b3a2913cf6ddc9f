package console

import (
	"os"
	"path/filepath"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
)

// pathsMost is how many paths are offered at once.
const pathsMost = 50

// completePath completes the path of a file option at the end of a line being
// typed, as whole lines; nil if the line does not end in one.
func completePath(desk *chat.Dispatcher, typed string) []string {
	closed := typed
	if strings.Count(strings.ReplaceAll(typed, `\"`, ""), `"`)%2 == 1 {
		closed += `"` // the value is still being typed
	}
	for _, path := range desk.Attached(closed) {
		raw, quoted := typed, false
		if raw, quoted = strings.CutSuffix(typed, path); !quoted {
			continue // escapes in it, or not the last option
		}
		head := strings.TrimSuffix(raw, `"`)
		if !strings.HasSuffix(head, ":") {
			continue
		}
		found := paths(path)
		lines := make([]string, len(found))
		for i, f := range found {
			lines[i] = head + quotedPath(f)
		}
		return lines
	}
	return nil
}

// quotedPath writes a path as an option's value; a folder stays open for more.
func quotedPath(path string) string {
	if !strings.ContainsAny(path, " \"\\") {
		return path
	}
	v := `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(path)
	if strings.HasSuffix(path, "/") {
		return v
	}
	return v + `"`
}

// paths lists files and folders that begin as typed, folders with a slash.
func paths(typed string) []string {
	dir, base := filepath.Split(typed)
	look := dir
	if rest, ok := strings.CutPrefix(dir, "~/"); ok {
		if home, err := os.UserHomeDir(); err == nil {
			look = filepath.Join(home, rest)
		}
	}
	if look == "" {
		look = "."
	}
	entries, err := os.ReadDir(look)
	if err != nil {
		return nil
	}
	var out []string
	for _, e := range entries {
		name := e.Name()
		hidden := strings.HasPrefix(name, ".") && !strings.HasPrefix(base, ".")
		if hidden || !strings.HasPrefix(name, base) || name != clean(name) {
			continue
		}
		if e.IsDir() {
			name += "/"
		}
		if out = append(out, dir+name); len(out) == pathsMost {
			break
		}
	}
	return out
}
