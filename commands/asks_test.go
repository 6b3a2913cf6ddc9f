package commands_test

import (
	"testing"

	"github.com/pourwright/pourwright/internal/fault"
)

// Every example that a command shows is answered in the demo shop. One that
// needs a file is refused for the want of it and for nothing else.
func TestExamplesAreAnswered(t *testing.T) {
	for _, cmd := range desk(t).Commands() {
		if len(cmd.Asks) == 0 {
			t.Errorf("/%s shows no example", cmd.Name)
		}
		for _, a := range cmd.Asks {
			t.Run(a.Line, func(t *testing.T) {
				if a.Question == "" {
					t.Error("the example answers no question")
				}
				ans := ask(t, desk(t), "ada", a.Line)
				if ans.Fault != nil && ans.Fault.Code != fault.BadFile {
					t.Errorf("%q: %v", a.Question, ans.Fault)
				}
			})
		}
	}
}

// Every sub answers or refuses in words when it is called with nothing, as a
// curious member will.
func TestEverySubMayBeCalledBare(t *testing.T) {
	d := desk(t)
	for _, cmd := range d.Commands() {
		for i := range cmd.Subs {
			line := "/" + cmd.Path(&cmd.Subs[i])
			ans := ask(t, d, "cleo", line)
			if ans.Fault == nil {
				continue
			}
			if ans.Fault.Code == fault.Internal {
				t.Errorf("%s broke: %v", line, ans.Fault)
			}
			if ans.Fault.HintText() == "" {
				t.Errorf("%s: %q without a hint", line, ans.Fault.Message)
			}
		}
	}
}
