package main

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"github.com/pourwright/pourwright/internal/discord/fake"
	"github.com/pourwright/pourwright/internal/remind"
)

func TestMain(m *testing.M) {
	testscript.Main(many{m}, map[string]func(){
		"pourwright": func() { os.Exit(run(program{Now: time.Now})) },
		// whose claims run out soon, for tests that kill it
		"pourwright-hurried": func() { os.Exit(run(program{Now: time.Now, Pace: hurried, AnswerIn: patient})) },
		// and whose clock the test moves
		"pourwright-clocked": func() {
			os.Exit(run(program{Now: clocked(os.Getenv(clockFile)), Pace: hurried, AnswerIn: patient}))
		},
	})
}

// many runs more tests at a time than there are processors, unless one says how
// many: most of them wait for programs that they started.
type many struct{ *testing.M }

func (m many) Run() int {
	flag.Parse()
	told := false
	flag.Visit(func(f *flag.Flag) { told = told || f.Name == "test.parallel" })
	if !told {
		if err := flag.Set("test.parallel", "6"); err != nil {
			panic(err)
		}
	}
	return m.M.Run()
}

const (
	// patient is how long the service waits for a first answer in these tests, so
	// that how busy the machine is decides nothing.
	patient = time.Minute
	// surely bounds a wait for what will come: nothing is judged by it.
	surely = time.Minute
)

// patientService begins a chat service for programs that know of its patience.
func patientService(t fake.T) *fake.Server {
	t.Helper()
	s := fake.Start(t)
	s.Patience(patient)
	return s
}

var hurried = remind.Pace{Lease: time.Second, Poll: 100 * time.Millisecond, Pause: 50 * time.Millisecond}

// TestScript runs the program as members and operators do. The chat service at
// $SERVICE is a fake on this machine that checks every request and takes the
// token $SERVICE_TOKEN. Besides the usual commands a script has:
//
//	exits N program args…    runs it and wants that exit status
//	field PATH VALUE         of the JSON object on stdout, such as error.code
//	fact KEY VALUE [±TOL]    of an answer's facts
//	keep KEY NAME            keeps the value of an answer's fact in $NAME
//	button LABEL NAME        keeps the id of an answer's action in $NAME
//	mode FILE OCTAL          wants a file's permissions
func TestScript(t *testing.T) {
	t.Parallel()
	meshes, err := filepath.Abs("../../testdata/reference/meshes")
	if err != nil {
		t.Fatal(err)
	}
	service := fake.Start(t)
	testscript.Run(t, testscript.Params{
		Dir:                 "../../testdata/script",
		RequireExplicitExec: true,
		Setup: func(env *testscript.Env) error {
			env.Setenv("HOME", env.WorkDir)
			env.Setenv("XDG_CACHE_HOME", filepath.Join(env.WorkDir, "cache"))
			env.Setenv("MESHES", meshes)
			env.Setenv("SERVICE", service.APIBase())
			env.Setenv("SERVICE_TOKEN", fake.Token)
			env.Setenv("TERM", "dumb")
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits": exits, "field": field, "fact": fact, "keep": keep, "button": button, "mode": mode,
		},
	})
}

func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits N program args…")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	var exit *exec.ExitError
	if err := ts.Exec(args[1], args[2:]...); errors.As(err, &exit) {
		got = exit.ExitCode()
	} else {
		ts.Check(err)
	}
	if got != want {
		ts.Fatalf("%s exits with %d, want %d", strings.Join(args[1:], " "), got, want)
	}
}

// object is the one JSON object on stdout; anything beside it is a failure.
func object(ts *testscript.TestScript) map[string]any {
	var v map[string]any
	dec := json.NewDecoder(strings.NewReader(ts.ReadFile("stdout")))
	ts.Check(dec.Decode(&v))
	if dec.More() {
		ts.Fatalf("stdout holds more than one object")
	}
	return v
}

func field(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: field PATH VALUE")
	}
	var v any = object(ts)
	for part := range strings.SplitSeq(args[0], ".") {
		switch in := v.(type) {
		case map[string]any:
			v = in[part]
		case []any:
			i, err := strconv.Atoi(part)
			if err != nil || i >= len(in) {
				ts.Fatalf("%s: no element %s of %d", args[0], part, len(in))
			}
			v = in[i]
		default:
			v = nil
		}
	}
	got := fmt.Sprint(v)
	if (got == args[1]) == neg {
		ts.Fatalf("%s is %q, want %q (negated: %v)", args[0], got, args[1], neg)
	}
}

func fact(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 || len(args) > 3 {
		ts.Fatalf("usage: fact KEY VALUE [±TOL]")
	}
	facts, _ := object(ts)["facts"].([]any)
	for _, f := range facts {
		m := f.(map[string]any)
		if m["key"] != args[0] {
			continue
		}
		if len(args) == 2 {
			if got := fmt.Sprint(m["value"]); got != args[1] {
				ts.Fatalf("fact %s is %s, want %s", args[0], got, args[1])
			}
			return
		}
		want, err := strconv.ParseFloat(args[1], 64)
		ts.Check(err)
		tol, err := strconv.ParseFloat(strings.TrimPrefix(args[2], "±"), 64)
		ts.Check(err)
		if got, ok := m["value"].(float64); !ok || math.Abs(got-want) > tol {
			ts.Fatalf("fact %s is %v, want %v ± %v", args[0], m["value"], want, tol)
		}
		return
	}
	ts.Fatalf("there is no fact %s", args[0])
}

func keep(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: keep KEY NAME")
	}
	facts, _ := object(ts)["facts"].([]any)
	for _, f := range facts {
		if m := f.(map[string]any); m["key"] == args[0] {
			ts.Setenv(args[1], fmt.Sprint(m["value"]))
			return
		}
	}
	ts.Fatalf("there is no fact %s", args[0])
}

func button(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: button LABEL NAME")
	}
	actions, _ := object(ts)["actions"].([]any)
	for _, a := range actions {
		if m := a.(map[string]any); m["label"] == args[0] {
			ts.Setenv(args[1], m["id"].(string))
			return
		}
	}
	ts.Fatalf("there is no button %q", args[0])
}

func mode(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: mode FILE OCTAL")
	}
	info, err := os.Stat(ts.MkAbs(args[0]))
	ts.Check(err)
	if got := fmt.Sprintf("%04o", info.Mode().Perm()); got != args[1] {
		ts.Fatalf("%s has mode %s, want %s", args[0], got, args[1])
	}
}
