package main

import (
	"crypto/rand"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/console"
)

// Each ill has its line with what to do, and only what must be mended makes
// the status 1.
func TestDoctor(t *testing.T) {
	cache := t.TempDir()
	t.Setenv("HOME", cache)
	t.Setenv("XDG_CACHE_HOME", cache)
	history := filepath.Join(cache, "pourwright", "history")
	if err := os.MkdirAll(filepath.Dir(history), 0o700); err != nil {
		t.Fatal(err)
	}
	good := time.Date(2026, 11, 20, 9, 0, 0, 0, time.UTC)
	if err := os.WriteFile(history, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		name    string
		now     time.Time
		mode    os.FileMode
		environ []string
		want    string
		status  console.Status
	}{
		{"all well", good, 0o600, nil, "ok    history:", console.Answered},
		{"clock of a board without a battery", time.Unix(0, 0), 0o600, nil, "mend  clock: it is 1970", console.Refused},
		{"history that others read", good, 0o644, nil, "mend  history: others can read", console.Refused},
		{"no service to be reached", good, 0o600, []string{"POURWRIGHT_TOKEN=x", "POURWRIGHT_API_BASE=http://127.0.0.1:1"}, "later token: set; the chat service can't be reached", console.Answered},
		{"no C compiler", good, 0o600, []string{"CC=no-such-compiler"}, "later C compiler: no-such-compiler does not run", console.Answered},
		{"no folder for the database", good, 0o600, []string{"POURWRIGHT_DB=" + filepath.Join(cache, "gone", "x.db")}, "mend  folder of the database", console.Refused},
		{"wrong settings", good, 0o600, []string{"POURWRIGHT_LOG_FORMAT=xml"}, "mend  settings: log_format", console.Refused},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			if err := os.Chmod(history, test.mode); err != nil {
				t.Fatal(err)
			}
			environ := append([]string{"POURWRIGHT_DB=" + filepath.Join(t.TempDir(), "shop.db")}, test.environ...)
			out, errs := &output{}, &output{}
			p := program{Args: []string{"doctor"}, Out: out, Err: errs, Environ: environ, Now: func() time.Time { return test.now }, Rand: rand.Reader}
			if got := p.Run(t.Context()); got != test.status {
				t.Errorf("status %d, want %d", got, test.status)
			}
			if !strings.Contains(out.String(), test.want) {
				t.Errorf("no line %q in:\n%s%s", test.want, out, errs)
			}
			for line := range strings.Lines(out.String()) {
				if !strings.HasPrefix(line, "ok    ") && !strings.HasPrefix(line, "later ") && !strings.HasPrefix(line, "mend  ") && !strings.HasPrefix(line, "      → ") {
					t.Errorf("odd line %q", line)
				}
			}
		})
	}
}

func TestVersionText(t *testing.T) {
	setting := func(k, v string) debug.BuildSetting { return debug.BuildSetting{Key: k, Value: v} }
	tests := []struct {
		name string
		info *debug.BuildInfo
		want string
	}{
		{"none", nil, "(unknown build)"},
		{"bare", &debug.BuildInfo{}, "devel"},
		{"release", &debug.BuildInfo{Main: debug.Module{Version: "v1.2.3"}}, "v1.2.3"},
		{"commit", &debug.BuildInfo{Main: debug.Module{Version: "(devel)"}, Settings: []debug.BuildSetting{
			setting("vcs.revision", "0123456789abcdef0123"), setting("vcs.time", "2026-11-20T09:00:00Z"), setting("vcs.modified", "true"),
		}}, "devel (commit 0123456789ab of 2026-11-20T09:00:00Z, with changes)"},
	}
	for _, test := range tests {
		if got := versionText(test.info); got != test.want {
			t.Errorf("%s: %q, want %q", test.name, got, test.want)
		}
	}
}
