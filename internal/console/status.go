package console

import (
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

// Status is what a program that asked once exits with.
type Status int

// The statuses. 2 is for a program that was called wrongly, before any answer.
const (
	Answered Status = 0
	Refused  Status = 1
	Misused  Status = 2
	Broken   Status = 3
)

// StatusOf tells what an answer comes to.
func StatusOf(ans chat.Answer) Status {
	switch {
	case ans.Fault == nil:
		return Answered
	case broke(ans.Fault):
		return Broken
	}
	return Refused
}

// broke reports whether a fault is ours or the machine's: nothing the member
// types instead would mend it.
func broke(f *fault.Error) bool {
	return f.Code == fault.Internal || f.Code == fault.Unavailable
}
