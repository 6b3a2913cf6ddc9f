package commands_test

import (
	"strings"
	"testing"
)

// Who is offered a mold itself and adopts it by its name is asked whether a
// copy is meant: a copy would count its pulls from none.
func TestAdoptOfWhatIsOfferedAsks(t *testing.T) {
	for _, c := range []struct{ press, title string }{
		{"Take over given pawn", `"given pawn" is yours now`},
		{"Make a copy", `Adopted "given pawn" from ada`},
	} {
		d := desk(t)
		told(t, d, "cleo", "/mold list") // whom others know can be given things
		told(t, d, "ada", `/mold add name:"given pawn" family:condensation volume:"6 ml" pulls:4`)
		told(t, d, "ada", `/mold share mold:"given pawn"`)
		told(t, d, "ada", `/mold give mold:"given pawn" to:cleo`)
		ans := ask(t, d, "cleo", `/mold adopt mold:"given pawn"`)
		if ans.Reply == nil || !strings.Contains(ans.Reply.Title, "Nothing is adopted yet") {
			t.Fatalf("got %+v %v, want a question", ans.Reply, ans.Fault)
		}
		if got := press(t, d, "cleo", ans, c.press); got.Reply == nil || got.Reply.Title != c.title {
			t.Errorf("%s: got %+v %v, want %q", c.press, got.Reply, got.Fault, c.title)
		}
	}
}
