package commands_test

import (
	"strings"
	"testing"
	"time"
)

// What is in the mold can't be poured otherwise: a hot one is told to be left
// alone, and the advice of /cure waits for the next.
func TestPourHotIsToldAfterwards(t *testing.T) {
	for _, c := range []struct{ what, line, want, title string }{
		{"hot", `/pour start material:"demo rigid white" mold:"harbor pawn"`, "Leave it alone until it is cool; /cure says", "Out between"},
		{"far too hot", `/pour start material:"demo casting epoxy" thickness:"40 mm"`, "If it smokes, leave it", ", cool by "},
	} {
		d := desk(t)
		r := toldAt(t, d, "ada", 0, c.line)
		notes := strings.Join(r.Notes, "\n")
		if !strings.Contains(notes, c.want) || !strings.Contains(r.Title, c.title) {
			t.Errorf("%s: got %q with\n%s\nwant %q and %q", c.what, r.Title, notes, c.title, c.want)
		}
		for _, late := range []string{"Do not pour", "Start with", "thinner layers", "Layers will", "Deepest single pour"} {
			if strings.Contains(notes, late) {
				t.Errorf("%s: %q comes too late for a pour that is in the mold:\n%s", c.what, late, notes)
			}
		}
	}
}

// A profile that says little is poured by what was taken, and told so.
func TestPourTellsWhatWasTaken(t *testing.T) {
	d := desk(t)
	r := told(t, d, "ada", `/material add name:"bare white" family:urethane ratio:"1:1 vol" pot_life:"3 min"`)
	notes := strings.Join(r.Notes, "\n")
	if want := "Not said yet: density A, density B, pot life measured with, pot life measured at, demold, demold measured at,"; !strings.Contains(notes, want) {
		t.Errorf("got\n%s\nwant %q", notes, want)
	}
	r = told(t, d, "ada", `/pour start material:"bare white" thickness:"8 mm"`)
	notes = strings.Join(r.Notes, "\n")
	if want := "taken: pot life mass of 100 g; pot life temp of 23 °C; demold of 85 % cured"; !strings.Contains(notes, want) {
		t.Errorf("got\n%s\nwant %q", notes, want)
	}
	for _, note := range told(t, d, "ada", `/batch material:"bare white" volume:"250 ml"`).Notes {
		if strings.Contains(note, "scale step") {
			t.Errorf("%q of what is not weighed", note)
		}
	}
}

// A second thought after "ready" is told of that, not that nothing is there.
func TestPourSoftAfterReady(t *testing.T) {
	d := desk(t)
	toldAt(t, d, "ada", 0, `/pour start material:"demo rigid white" mold:"harbor pawn"`)
	toldAt(t, d, "ada", 20*time.Minute, "/pour ready")
	ans := askAt(t, d, "ada", 25*time.Minute, "/pour soft")
	if ans.Fault == nil || ans.Fault.Code != "unknown_pour" || !strings.Contains(ans.Fault.Message, "#1 demo rigid white, harbor pawn was found ready") {
		t.Errorf("got %+v, want a word of pour #1", ans.Fault)
	}
	toldAt(t, d, "ada", 26*time.Minute, "/pour undo")
	toldAt(t, d, "ada", 27*time.Minute, "/pour soft")
	toldAt(t, d, "ada", 50*time.Minute, "/pour done")
	if ans := askAt(t, d, "ada", 51*time.Minute, "/pour soft"); ans.Fault == nil || strings.Contains(ans.Fault.Message, "#1") {
		t.Errorf("got %+v, want that none is running", ans.Fault)
	}
}
