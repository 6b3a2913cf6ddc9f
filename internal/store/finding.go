package store

// Finding is one line of a look over a database.
type Finding struct {
	What string // what was looked at, with what was found
	OK   bool
	Do   string // what to do about it, where it is not OK
}
