package commands_test

import (
	"bytes"
	"regexp"
	"strconv"
	"strings"
	"testing"

	calendars "github.com/emersion/go-ical"

	"github.com/pourwright/pourwright/internal/chat"
)

var foldedTimes = regexp.MustCompile(`^(\d+) times, `)

// done counts how often a word is done in all steps, folded rounds by their
// number of times.
func doneIn(steps []string, word *regexp.Regexp) (n int) {
	for _, s := range steps {
		times := 1
		if m := foldedTimes.FindStringSubmatch(s); m != nil {
			times, _ = strconv.Atoi(m[1])
		}
		n += times * len(word.FindAllString(s, -1))
	}
	return n
}

func fileOf(t *testing.T, r *chat.Reply, name string) []byte {
	t.Helper()
	for _, f := range r.Files {
		if f.Name == name {
			return f.Data
		}
	}
	t.Fatalf("no file %s", name)
	return nil
}

// TestPlanFolds: a long run reads in few steps, which add up to the pours and
// coats of the plan, and the files have each by itself.
func TestPlanFolds(t *testing.T) {
	d := desk(t)
	for _, c := range []struct{ name, line string }{
		{"one mold", `molds:"harbor pawn" copies:60`},
		{"two molds", `molds:"harbor pawn, harbor pawn 2" copies:120`},
		{"two pairs of hands", `molds:"harbor pawn, harbor pawn 2" copies:80 people:2`},
		{"over night", `molds:"harbor pawn 2" copies:80 hours:16:00-19:00`},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := told(t, d, "ada", `/plan run material:"demo rigid white" `+c.line)
			pours := fact(t, r, "pours").Value.(int)
			text := string(fileOf(t, r, "run.txt"))
			_, list, _ := strings.Cut(text, "\n\n")
			lines := strings.Split(strings.TrimRight(list, "\n"), "\n")
			cal, err := calendars.NewDecoder(bytes.NewReader(fileOf(t, r, "run.ics"))).Decode()
			if err != nil {
				t.Fatal(err)
			}
			if len(cal.Events()) != len(lines) || doneIn(lines, regexp.MustCompile(`Pour `)) != pours {
				t.Errorf("%d events, %d lines, of %d pours:\n%s", len(cal.Events()), len(lines), pours, text)
			}
			if len(r.Steps) > 14 || len(r.Steps) >= len(lines) {
				t.Errorf("%d steps of %d", len(r.Steps), len(lines))
			}
			if n := doneIn(r.Steps, regexp.MustCompile(`[Pp]our harbor`)); n != pours {
				t.Errorf("%d pours in the steps, %d planned:\n%s", n, pours, strings.Join(r.Steps, "\n"))
			}
			if n := doneIn(r.Steps, regexp.MustCompile(`[Rr]elease coat on`)); n != fact(t, r, "release_coats").Value {
				t.Errorf("%d coats in the steps:\n%s", n, strings.Join(r.Steps, "\n"))
			}
		})
	}
	r := told(t, d, "ada", `/plan run material:"demo rigid white" molds:"harbor pawn" copies:60`)
	if !strings.HasPrefix(r.Steps[0], "3 times, every 45 min from ") || !strings.Contains(r.Steps[0], "42 min in, take out harbor pawn. That makes 18 parts by ") {
		t.Errorf("%q", r.Steps[0])
	}
	if r = told(t, d, "ada", pawnRun); len(r.Files) != 1 || foldedTimes.MatchString(strings.Join(r.Steps, "\n")) {
		t.Errorf("a short run is folded: %q", r.Steps)
	}
	r = told(t, d, "ada", `/plan run material:"demo rigid white" molds:"harbor pawn" copies:400`)
	if last := r.Steps[len(r.Steps)-1]; len(r.Steps) != 15 || !strings.Contains(last, "the files have all") {
		t.Errorf("%d steps, the last %q", len(r.Steps), last)
	}
}
