package store

import "github.com/pourwright/pourwright/internal/fault"

// Finding is one line of a look over a database.
type Finding struct {
	What string // what was looked at, with what was found
	OK   bool
	Do   string // what to do about it, where it is not OK
}

// Failing is a finding of an error, in its own words where it has some.
func Failing(what string, err error) Finding {
	f := Finding{What: what, Do: "look at the log"}
	if told := fault.As(err); told != nil {
		f.What += ": " + told.Message
		f.Do = told.HintText()
	}
	return f
}
