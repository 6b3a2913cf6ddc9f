package shop

import (
	"context"
	"errors"
	"time"
)

// ErrRepeat is returned by a write whose interaction was carried out before:
// the chat service delivered it twice. Nothing is written the second time,
// and whoever asks has had the answer of the first.
var ErrRepeat = errors.New("this interaction was carried out before")

// People keeps members and shops.
type People interface {
	// Member finds or makes the member with that key and keeps its last name.
	Member(ctx context.Context, key, name string, at time.Time) (Member, error)
	// Shop finds or makes the shop with that key. by, if not zero, becomes a
	// manager of a shop made here.
	Shop(ctx context.Context, key, name string, by MemberID, at time.Time) (Shop, error)
	// Manages reports whether the member manages the shop by our own list.
	Manages(ctx context.Context, m MemberID, s ID) (bool, error)
	// SetPrefs keeps the wishes of the member who asks.
	SetPrefs(ctx context.Context, s Stamp, p Prefs) error
	// SetShop and SetManager are for managers; anyone else is fault.NotAllowed.
	SetShop(ctx context.Context, s Stamp, set Settings) error
	SetManager(ctx context.Context, s Stamp, member MemberID, on bool) error
	// Managers lists our own list for the viewer's shop, by name without case.
	Managers(ctx context.Context, v Viewer) ([]Member, error)
}

// FAQ is one question a shop's managers answer once for all.
type FAQ struct {
	Topic  string // untrusted text
	Answer string // untrusted text
	By     string // who answered, "" once that member is erased; untrusted text
	At     time.Time
}

// FAQs keeps a shop's answers.
type FAQs interface {
	// FAQs lists those of the viewer's shop by topic without case.
	FAQs(ctx context.Context, v Viewer) ([]FAQ, error)
	// SetFAQ is for managers. A topic is the same whatever its case, and an
	// empty answer removes it.
	SetFAQ(ctx context.Context, s Stamp, topic, answer string) error
}

// Measures remembers what was measured in a file, by the hash of its bytes, so
// that a button works when the file is gone and a unit is asked for once. A
// measure is known in the shop where it was taken; the oldest give way.
//
// Saving one is no answer in itself: it does not use up the interaction of its
// stamp, and a repeat puts the same in the same place.
type Measures interface {
	Measure(ctx context.Context, v Viewer, hash string) (json []byte, ok bool, err error)
	SaveMeasure(ctx context.Context, s Stamp, hash string, json []byte) error
}

// Lines keeps command lines that do not fit a button. An id is at most 12
// characters and can't be guessed; it is known in the shop of its reply, to
// whoever presses, and the oldest give way. Saving is as with Measures.
type Lines interface {
	Line(ctx context.Context, v Viewer, id string) (line string, ok bool, err error)
	SaveLine(ctx context.Context, s Stamp, line string) (id string, err error)
}

// Own answers for a member's data as a whole.
type Own interface {
	// Export gives everything held about the member as indented JSON.
	Export(ctx context.Context, v Viewer) ([]byte, error)
	// Erase removes it. Shared records go too.
	Erase(ctx context.Context, s Stamp) error
}

// Books is everything that is kept, in one hand.
type Books struct {
	Materials Materials
	Search    MaterialSearch
	Molds     Molds
	Pulls     Pulls
	Tints     Tints
	Formulas  Formulas
	Sharing   Sharing
	Adopting  Adopting
	People    People
	FAQs      FAQs
	Pours     Pours
	PourLog   PourLog
	Dues      Dues
	Stock     Stock
	Measures  Measures
	Lines     Lines
	Computed  Computed
	Boards    Boards
	Own       Own
	Bulk      Bulk
	Together  Together
}

// Together carries out several writes as one: all of them are kept, or, when
// do or any write in it returns an error, none. do must use the books it is
// given, not those outside, and not after it returned.
type Together interface {
	Together(ctx context.Context, do func(Books) error) error
}
