package layers

import (
	"strings"
	"testing"
	"testing/fstest"
)

const smallPolicy = `
	# comment
	fault <
	mix   < fault   # behind a line
	ZERO  = fault
	CORE  = mix
	chat  < ZERO
	edge  < ZERO, chat
	edge/low < edge
	kit   < *
	cmd/app < *
`

// TestChecker breaks each rule in a module of one file and looks for the words
// of the problem, "" meaning none.
func TestChecker(t *testing.T) {
	tests := []struct {
		name, path, source string
		want               string
	}{
		{"allowed", "internal/mix/a.go", `package mix; import "example.org/m/internal/fault"; var _ = fault.X`, ""},
		{"allowed by a group", "internal/chat/a.go", `package chat; import "example.org/m/internal/fault"`, ""},
		{"allowed by star", "cmd/app/a.go", `package main; import "example.org/m/internal/edge/low"`, ""},
		{"upwards", "internal/fault/a.go", `package fault; import "example.org/m/internal/mix"`, "fault may not import mix; it may import nothing of ours"},
		{"not on its line", "internal/chat/a.go", `package chat; import "example.org/m/internal/mix"`, "chat may not import mix; it may import fault"},
		{"a child is another package", "internal/chat/a.go", `package chat; import "example.org/m/internal/fault/deep"`, "may not import fault/deep"},
		{"blank import counts", "internal/fault/a.go", `package fault; import _ "example.org/m/internal/mix"`, "may not import mix"},
		{"behind a build tag", "internal/fault/a.go", "//go:build never\n\npackage fault\nimport \"example.org/m/internal/mix\"", "may not import mix"},
		{"unlisted package", "internal/extra/a.go", `package extra`, `package extra (internal/extra/a.go) is not in the policy`},
		{"unlisted child", "internal/mix/deep/a.go", `package deep`, "package mix/deep"},
		{"a test imports freely", "internal/fault/a_test.go", `package fault_test; import "example.org/m/internal/mix"`, ""},
		{"a test of an unlisted package", "internal/extra/a_test.go", `package extra`, "not in the policy"},
		{"testdata is no package", "internal/mix/testdata/a.go", `package anything; import "os"`, ""},

		{"helper in the program", "cmd/app/a.go", `package main; import "example.org/m/internal/kit"`, "imports kit, which is for tests"},
		{"helper in a test", "cmd/app/a_test.go", `package main; import "example.org/m/internal/kit"`, ""},

		{"owner", "internal/edge/a.go", `package edge; import "example.com/wire/v2/deep"`, ""},
		{"below the owner", "internal/edge/low/a.go", `package low; import "example.com/wire"`, ""},
		{"not the owner", "internal/chat/a.go", `package chat; import "example.com/wire/v2"`, "which edge alone may import"},
		{"a test that is not the owner's", "internal/chat/a_test.go", `package chat; import "example.com/wire"`, "which edge alone may import"},
		{"a module with a longer name", "internal/chat/a.go", `package chat; import "example.com/wireless"`, ""},

		{"os in core", "internal/mix/a.go", `package mix; import "os"`, "core uses os"},
		{"below net in core", "internal/mix/a.go", `package mix; import "net/http"`, "core uses net/http"},
		{"slog in core", "internal/mix/a.go", `package mix; import "log/slog"`, "core uses log/slog"},
		{"context in core", "internal/mix/a.go", `package mix; import "context"`, "done channel"},
		{"sql in core", "internal/mix/a.go", `package mix; import "database/sql"`, "core uses database/sql"},
		{"os in level 0", "internal/fault/a.go", `package fault; import "os"`, "core uses os"},
		{"os at an edge", "internal/edge/a.go", `package edge; import "os"`, ""},
		{"os in a test of core", "internal/mix/a_test.go", `package mix; import "os"`, ""},
		{"our package named like one", "internal/chat/a.go", `package chat; import "example.org/m/internal/fault"`, ""},

		{"clock", "internal/mix/a.go", `package mix; import "time"; var x = time.Now()`, "core uses time.Now"},
		{"clock under another name", "internal/mix/a.go", `package mix; import t "time"; var x = t.Since(t.Time{})`, "core uses time.Since"},
		{"clock as a value", "internal/mix/a.go", `package mix; import "time"; var now = time.Now`, "core uses time.Now"},
		{"a span is no clock", "internal/mix/a.go", `package mix; import "time"; var x = 3 * time.Minute`, ""},
		{"a field named Now", "internal/mix/a.go", `package mix; import "time"; var y time.Duration; func f(time struct{ Now func() }) { time.Now() }`, ""},
		{"shared chance", "internal/mix/a.go", `package mix; import "math/rand/v2"; var x = rand.Float64()`, "core uses rand.Float64"},
		{"shared chance, old", "internal/mix/a.go", `package mix; import "math/rand"; var x = rand.Intn(3)`, "core uses rand.Intn"},
		{"chance of its own", "internal/mix/a.go", `package mix; import "math/rand/v2"; func f(r *rand.Rand) float64 { return rand.New(rand.NewPCG(1, 2)).Float64() + r.Float64() }`, ""},
		{"secret chance", "internal/mix/a.go", `package mix; import "crypto/rand"; var x = rand.Reader`, "core uses crypto/rand"},
		{"dot import", "internal/mix/a.go", `package mix; import . "time"; var x = Now()`, "dot import of time"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			problems := checkSmall(t, tt.path, tt.source)
			if tt.want == "" {
				if len(problems) > 0 {
					t.Errorf("problems %q, want none", problems)
				}
				return
			}
			if len(problems) == 0 || !strings.Contains(problems[0], tt.want) {
				t.Errorf("problems %q, want %q", problems, tt.want)
			}
			for _, p := range problems {
				if !strings.Contains(p, ".\n\t") {
					t.Errorf("%q does not say what to do", p)
				}
			}
		})
	}
}

func checkSmall(t *testing.T, path, source string) []string {
	t.Helper()
	r, err := parsePolicy(smallPolicy)
	if err != nil {
		t.Fatal(err)
	}
	files, err := readModule(fstest.MapFS{
		"go.mod": {Data: []byte("module example.org/m\n\ngo 1.26\n")},
		path:     {Data: []byte(source)},
	})
	if err != nil {
		t.Fatal(err)
	}
	return checker{
		rules: r, core: set("fault", "mix"), helpers: set("kit"),
		owners: map[string]string{"example.com/wire": "edge"},
	}.check(files)
}

func TestParsePolicyErrors(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"upwards", "a < b\nb <", `line 1: "b" stands on no line above`},
		{"itself", "a < a", `"a" stands on no line above`},
		{"misspelled group", "a <\nX = a\nb < Y", `line 3: "Y"`},
		{"two lines", "a <\na <", `"a" has no name or a line already`},
		{"group and package", "a <\na = a", "already"},
		{"no name", " < a", "no name"},
		{"other form", "a", "neither"},
		{"stray comma", "a <\nb < a,", `"" stands`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if _, err := parsePolicy(tt.text); err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("parsePolicy(%q) = %v, want %q", tt.text, err, tt.want)
			}
		})
	}
}

func TestReadModuleErrors(t *testing.T) {
	gomod := &fstest.MapFile{Data: []byte("module example.org/m\n")}
	tests := []struct {
		name string
		fsys fstest.MapFS
		want string
	}{
		{"no module", fstest.MapFS{}, "find the module"},
		{"no name", fstest.MapFS{"go.mod": {Data: []byte("go 1.26\n")}}, "names no module"},
		{"not Go", fstest.MapFS{"go.mod": gomod, "a.go": {Data: []byte("packag a")}}, "parse a.go"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if _, err := readModule(tt.fsys); err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("%v, want %q", err, tt.want)
			}
		})
	}
}

func TestDefaultName(t *testing.T) {
	for path, want := range map[string]string{
		"time": "time", "math/rand": "rand", "math/rand/v2": "rand", "example.com/v2": "example.com", "example.com/view": "view", "example.com/v": "v",
	} {
		if got := defaultName(path); got != want {
			t.Errorf("defaultName(%q) = %q, want %q", path, got, want)
		}
	}
}
