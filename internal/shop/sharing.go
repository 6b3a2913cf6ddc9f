package shop

import "context"

// Kind is a kind of versioned record, by the word that members use for it.
type Kind string

// The kinds.
const (
	KindMaterial Kind = "material"
	KindMold     Kind = "mold"
	KindTint     Kind = "tint"
	KindFormula  Kind = "formula"
)

// Kinds lists them.
func Kinds() []Kind { return []Kind{KindMaterial, KindMold, KindTint, KindFormula} }

// Mark is what a manager does with a thing on the shop's shelf.
type Mark string

// The marks.
const (
	MarkHide   Mark = "hide"
	MarkUnhide Mark = "unhide"
	MarkPin    Mark = "pin"
	MarkUnpin  Mark = "unpin"
)

// Back is what an owner takes back.
type Back string

// What can be taken back.
const (
	BackAll  Back = "all"
	BackShop Back = "shop" // from the shop's shelf
	BackCode Back = "code" // the code
)

// Sharing lets owners say who else may see a record, and managers what their
// shop's shelf shows. A record out of sight is fault.NotFound; another's, or
// one that the caller may not curate, fault.NotAllowed.
type Sharing interface {
	// Share shows an own record to the members of the stamp's shop. One that
	// is shared elsewhere is fault.NotAllowed.
	Share(ctx context.Context, s Stamp, k Kind, id int64) (Out, error)
	// Link gives the code that lets its holder adopt a copy anywhere: the one
	// that stands, or a new one; past the limit fault.LimitReached.
	Link(ctx context.Context, s Stamp, k Kind, id int64) (Out, error)
	// Unshare takes it back. Copies that were adopted stay with their owners.
	Unshare(ctx context.Context, s Stamp, k Kind, id int64, what Back) (Out, error)
	// Offer lets one member take an own record over, with all its versions;
	// an offer before is withdrawn. Zero, nobody, withdraws it and makes none.
	Offer(ctx context.Context, s Stamp, k Kind, id int64, to MemberID) (Out, error)
	// Mark is for managers; why may be empty.
	Mark(ctx context.Context, s Stamp, k Kind, id int64, m Mark, why string) error
	// Out tells how far an own record is out.
	Out(ctx context.Context, v Viewer, k Kind, id int64) (Out, error)
	// SharedOut lists all the viewer's own that others may see or have copies
	// of, by kind and name.
	SharedOut(ctx context.Context, v Viewer) ([]Out, error)
}

// Out is how far a record is out.
type Out struct {
	Kind    Kind
	ID      int64
	Name    string // untrusted text
	Version int
	ShopID  ID     // the shop that sees it, zero for none
	Shop    string // its name; untrusted text
	Hidden  bool   // there
	Why     string // untrusted text
	Code    string // lets its holder adopt a copy, "" for none
	Offer   string // lets the taker take it over, "" for none
	Taker   string // who that is; untrusted text
	Copies  int    // that members adopted and keep
}

// Adopting lets members make copies of what others share and follow what
// becomes of it, and take over what is offered to them.
type Adopting interface {
	// Adopt makes a private copy of what another member shares, under that
	// name or, with "", its own; a name that is taken is fault.NameTaken.
	Adopt(ctx context.Context, s Stamp, k Kind, from Source, name string) (id int64, err error)
	// Look gives what a source leads to, before anything is done. A code that
	// leads nowhere is fault.NotFound; one that names another member as its
	// taker fault.NotAllowed.
	Look(ctx context.Context, v Viewer, k Kind, from Source) (Sight, error)
	// TakeOver makes the stamp's member the owner of what a code offers,
	// under a new name where one is given.
	TakeOver(ctx context.Context, s Stamp, k Kind, code, name string) (id int64, err error)
	// Offers lists what may be taken over, of that kind.
	Offers(ctx context.Context, v Viewer, k Kind) ([]Sight, error)
	// Changed gives the viewer's copies whose origin is in sight and has moved
	// on past what was taken or declined: copy's id to the origin's version.
	Changed(ctx context.Context, v Viewer, k Kind) (map[int64]int, error)
	// Change gives the origin of an own copy, as it was when the copy last
	// took it and at a later version, 0 for the newest. Where it is out of
	// sight Reach is false.
	Change(ctx context.Context, v Viewer, k Kind, id int64, version int) (Change, error)
	// Follow takes note that the copy now knows that version of its origin:
	// with a profile as JSON, which becomes the copy's next version on top of
	// base; or, with none, that the change was declined.
	Follow(ctx context.Context, s Stamp, k Kind, id int64, base, version int, profile []byte) error
}

// Source is what is adopted: a record in sight, or what a code leads to.
type Source struct {
	ID   int64
	Code string // "" where ID says it
}

// Sight is what a source leads to.
type Sight struct {
	ID      int64
	Name    string // untrusted text
	Family  string
	OwnerOf string // untrusted text
	Code    string // that leads there
	Offer   bool   // it is to be taken over, not to be copied
	Version int
}

// Change is what became of a copy's origin. The profiles are JSON.
type Change struct {
	Reach    bool // the origin can be seen
	Version  int  // that was asked for
	Newest   int
	Was, Now []byte
}
