package shop

import "time"

// Record is what every owned thing has in common.
type Record struct {
	ID      int64
	Owner   MemberID
	OwnerOf string // the owner's name, for "bram's"; untrusted text
	Shared  bool   // seen by the members of Shop
	Shop    ID     // where it was made
	Version int    // 1 for the first
	Created time.Time
	Edited  time.Time
	Origin  Origin // where a copy was adopted from, zero otherwise

	// What the managers of Shop set on its shelf; pours and the like have none
	// of it.
	Hidden bool   // seen by its owner and the managers alone
	Why    string // of hiding; untrusted text
	Pinned bool   // comes first
}

// Origin is what an adopted copy remembers. A name is "" once that member is
// erased.
type Origin struct {
	ID      int64  // the record it was made of; zero for what was not adopted
	Version int    // whose state it took last
	Left    int    // up to which version the changes were declined
	By      string // whose it was; untrusted text
	First   int64  // the record that the line began with: ID or further back
	FirstBy string // whose that was; untrusted text
}

// MaySee is the rule of sight: a record is seen by its owner everywhere, and
// where it is shared by whoever asks from the same shop; one that is hidden
// there, by the managers. Package store says the same in SQL, and its tests
// hold the two against each other.
func (v Viewer) MaySee(r Record) bool {
	return v.owns(r) || r.Shared && r.Shop == v.Shop.ID && (v.Manager || !r.Hidden)
}

// MayChange is the rule of change: the owner alone. A manager sets the shop
// up and has no say in what members own.
func (v Viewer) MayChange(r Record) bool { return v.owns(r) }

// MayCurate is the rule of the shelf: managers hide and pin what is shared in
// their shop, and touch nothing else of it.
func (v Viewer) MayCurate(r Record) bool {
	return v.Manager && r.Shared && r.Shop == v.Shop.ID
}

// owns is false for the zero member, who is nobody and owns nothing.
func (v Viewer) owns(r Record) bool { return r.Owner != 0 && r.Owner == v.Member.ID }

// Version is one line of a record's history.
type Version struct {
	Number int
	At     time.Time
	By     string // name of the member; untrusted text
}

// Entry is a record without its profile: enough to match a typed name or to
// offer one, and cheap to list at every key stroke.
type Entry struct {
	ID      int64
	Name    string
	Family  string
	Owner   MemberID
	OwnerOf string // untrusted text
}
