package shop

// Who may do what, in one place. MaySee and MayChange are the rules that the
// store carries out; this is what follows from them for every thing and every
// act, as a table that tests hold the commands, the store and the transports
// against, cell by cell.

// Role is what somebody is to a thing. The owner of one is any member, and
// manages nothing; a manager is one of the shop, and owns none of its things.
type Role string

// The roles.
const (
	AsOwner    Role = "owner"
	AsMember   Role = "member of the shop"
	AsManager  Role = "manager of the shop"
	AsStranger Role = "anyone elsewhere" // also one who manages another shop
)

// Roles lists them.
func Roles() []Role { return []Role{AsOwner, AsMember, AsManager, AsStranger} }

// Verdict is what comes of an act.
type Verdict string

// The verdicts. Gone is said of what is private and of what is not there alike:
// nobody learns what others keep for themselves.
const (
	Yes      Verdict = "yes"
	Refused  Verdict = "no"        // fault.NotAllowed
	Gone     Verdict = "not there" // fault.NotFound, or the unknown_… of the thing
	OwnAlone Verdict = "own"       // it acts on the caller's own, or the caller's own shop, alone
	NoMatter Verdict = "–"         // nobody can be that to such a thing
)

// Right is a line of the table: what each role may do to a thing that is shared
// with the shop, and to one that is private.
type Right struct {
	Thing   string
	Act     string
	Shared  Verdicts
	Private Verdicts
}

// Verdicts are those of Roles, in that order.
type Verdicts [4]Verdict

// Of is the verdict for a role.
func (v Verdicts) Of(r Role) Verdict {
	for i, role := range Roles() {
		if role == r {
			return v[i]
		}
	}
	return NoMatter
}

// The usual lines.
var (
	private   = Verdicts{Yes, Gone, Gone, Gone}
	seen      = Verdicts{Yes, Yes, Yes, Gone}
	changed   = Verdicts{Yes, Refused, Refused, Gone}
	adopted   = Verdicts{Refused, Yes, Yes, Gone}
	curated   = Verdicts{Refused, Refused, Yes, Gone}
	notOnIt   = Verdicts{Refused, Gone, Gone, Gone} // it is not on the shelf, or is one's own
	byCode    = Verdicts{Refused, Yes, Yes, Yes}
	offered   = Verdicts{Refused, Yes, Refused, Refused}
	managed   = Verdicts{NoMatter, Refused, Yes, OwnAlone}
	looked    = Verdicts{NoMatter, Yes, Yes, OwnAlone}
	onesOwn   = Verdicts{Yes, OwnAlone, OwnAlone, OwnAlone}
	unshared  = Verdicts{NoMatter, NoMatter, NoMatter, NoMatter}
	deletable = []string{"edit", "remove", "share", "share by link", "unshare", "give"}
)

// Rights is the table. What is hidden from the shelf is to members as if it
// were private, and to its owner and the managers as it was.
func Rights() []Right {
	var all []Right
	for _, k := range Kinds() {
		thing := string(k)
		all = append(all, Right{thing, "see", seen, private}, Right{thing, "see its history", seen, private}, Right{thing, "use", seen, private})
		for _, act := range deletable {
			all = append(all, Right{thing, act, changed, private})
		}
		all = append(all, Right{thing, "adopt", adopted, notOnIt})
		for _, act := range []string{"hide", "unhide", "pin", "unpin"} {
			all = append(all, Right{thing, act, curated, notOnIt})
		}
	}
	for _, k := range Kinds() {
		// A code is good in any shop; an offer's for the member it names alone,
		// who here is a member of the shop.
		all = append(all, Right{string(k), "adopt by its code", byCode, byCode}, Right{string(k), "take over what is offered", offered, offered})
	}
	add := func(thing, act string, shared, alone Verdicts) { all = append(all, Right{thing, act, shared, alone}) }
	for _, act := range []string{"count a pull", "count a coat", "take a count back", "retire"} {
		add("mold", act, changed, private)
	}
	add("mold", "see its pulls", seen, private)
	add("pour", "see", seen, private)
	for _, act := range []string{"found ready", "found soft", "done", "fail", "note", "share", "unshare", "cancel", "ask why it failed"} {
		add("pour", act, changed, private)
	}
	add("pour", "undo", private, private)                // it looks for one's own last word
	add("pour", "learn from its answers", seen, private) // shared ones count by half for others
	for _, act := range []string{"see", "open", "take from", "check"} {
		add("container", act, seen, private)
	}
	for _, act := range []string{"finish", "share", "unshare", "remove", "take back"} { // one's own last act is taken back
		add("container", act, changed, private)
	}
	for _, act := range []string{"snooze", "done", "cancel"} {
		add("due", act, unshared, private)
	}
	add("due", "list", unshared, onesOwn)
	add("shop", "see its settings", looked, unshared)
	add("shop", "set it up", managed, unshared)
	add("shop", "name managers", managed, unshared)
	add("shop", "read an answer", looked, unshared)
	add("shop", "write an answer", managed, unshared)
	add("shop", "remove an answer", managed, unshared)
	add("shop", "make a board", managed, unshared)
	add("shop", "revoke a board", managed, unshared)
	for _, act := range []string{"see", "set", "export", "export as a table", "erase"} {
		add("own data", act, unshared, onesOwn)
	}
	return all
}
