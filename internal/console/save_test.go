package console_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/console"
)

func TestSaveNames(t *testing.T) {
	tests := []struct{ name, want string }{
		{"cure.png", "cure.png"},
		{"../../etc/passwd", "passwd"},
		{"/etc/passwd", "passwd"},
		{`C:\windows\x.png`, "x.png"},
		{"a/b/..", "file"},
		{"", "file"},
		{"...", "file"},
		{".bashrc", "bashrc"},
		{"x\x00\x1b[31m.png", "x[31m.png"},
		{"a:b|c.png", "a_b_c.png"},
		{"naïve curve.png", "naïve curve.png"},
	}
	for _, test := range tests {
		t.Run(test.want, func(t *testing.T) {
			outer := t.TempDir()
			dir := filepath.Join(outer, "new", "out")
			reply := &chat.Reply{Files: []chat.File{{Name: test.name, Data: []byte("data")}}}
			saved, err := console.Folder{Path: dir}.Save(reply)
			if err != nil {
				t.Fatal(err)
			}
			want := filepath.Join(dir, test.want)
			if d := cmp.Diff(map[string]string{test.name: want}, saved); d != "" {
				t.Errorf("saved (-want +got):\n%s", d)
			}
			if info, err := os.Stat(want); err != nil || info.Mode().Perm() != 0o600 {
				t.Errorf("%v, %v; want mode 0600", info, err)
			}
			if got, err := os.ReadFile(want); err != nil || string(got) != "data" {
				t.Errorf("%s holds %q, %v", want, got, err)
			}
			entries, err := os.ReadDir(dir)
			if err != nil || len(entries) != 1 {
				t.Errorf("the folder holds %v, %v; want the one file", entries, err)
			}
		})
	}
}

// A link in the folder is replaced, never followed.
func TestSaveFollowsNoLink(t *testing.T) {
	dir, outside := t.TempDir(), filepath.Join(t.TempDir(), "precious")
	if err := os.WriteFile(outside, []byte("precious"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"cure.png", ".cure.png.part"} {
		if err := os.Symlink(outside, filepath.Join(dir, name)); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := (console.Folder{Path: dir}).Save(&chat.Reply{Images: []chat.Image{{Name: "cure.png", Data: []byte("new")}}}); err != nil {
		t.Fatal(err)
	}
	if got, _ := os.ReadFile(outside); string(got) != "precious" {
		t.Errorf("the file outside holds %q", got)
	}
	if got, _ := os.ReadFile(filepath.Join(dir, "cure.png")); string(got) != "new" {
		t.Errorf("the picture holds %q", got)
	}
}

func TestSaveTwice(t *testing.T) {
	dir := t.TempDir()
	save := func(f console.Folder, data string) string {
		saved, err := f.Save(&chat.Reply{Images: []chat.Image{{Name: "cure.png", Data: []byte(data)}}})
		if err != nil {
			t.Fatal(err)
		}
		return filepath.Base(saved["cure.png"])
	}
	keep, over := console.Folder{Path: dir, Keep: true}, console.Folder{Path: dir}
	got := []string{save(over, "1"), save(over, "2"), save(keep, "3"), save(keep, "4")}
	if d := cmp.Diff([]string{"cure.png", "cure.png", "cure-2.png", "cure-3.png"}, got); d != "" {
		t.Errorf("names (-want +got):\n%s", d)
	}
	if b, _ := os.ReadFile(filepath.Join(dir, "cure.png")); string(b) != "2" {
		t.Errorf("cure.png holds %q, want the second", b)
	}
}

func TestSaveNothing(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	for _, r := range []*chat.Reply{nil, {Title: "x"}} {
		if _, err := (console.Folder{Path: dir}).Save(r); err != nil {
			t.Error(err)
		}
	}
	if _, err := os.Stat(dir); err == nil {
		t.Error("a folder was made for nothing")
	}
}

func TestSaveRefused(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := (console.Folder{Path: file}).Save(&chat.Reply{Files: []chat.File{{Name: "x"}}}); err == nil {
		t.Error("a file was taken as a folder")
	}
}

// touch makes small files below dir.
func touch(t *testing.T, dir string, names ...string) {
	t.Helper()
	for _, name := range names {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte("x"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}
