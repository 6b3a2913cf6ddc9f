package library

import (
	"fmt"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// buttonsMost is how many of a list get a button.
const buttonsMost = 5

// VersionFacts lists a record's versions in the reader's own time.
func VersionFacts(c *chat.Call, versions []shop.Version) []chat.Fact {
	facts := make([]chat.Fact, len(versions))
	for i, v := range versions {
		facts[i] = chat.Fact{Key: "version", Label: fmt.Sprintf("Version %d", v.Number), Value: v.Number, Unit: "1", Text: When(c, v.At) + ", " + v.By}
	}
	return facts
}

// When writes an instant in the reader's own time.
func When(c *chat.Call, at time.Time) string {
	return at.In(c.By.Zone()).Format("2006-01-02 15:04 MST")
}

// History is the reply to `/kind history`: the versions of a thing, each with
// a button that shows it.
func History(c *chat.Call, kind, name string, id int64, versions []shop.Version) *chat.Reply {
	r := &chat.Reply{Title: fmt.Sprintf("%s: %d versions", name, len(versions)), Facts: VersionFacts(c, versions)}
	if len(versions) == 1 {
		r.Title = name + ": 1 version"
	}
	for _, v := range versions[:min(len(versions), buttonsMost)] {
		r.Actions = append(r.Actions, chat.Action{Label: fmt.Sprintf("Show version %d", v.Number),
			Line: chat.FormatLine(kind+" show", map[string]string{kind: chat.Ref(id, v.Number)}, nil)})
	}
	return r
}

// AskRemove asks before `/kind remove` does it. Who may not remove the thing is
// told so at once, not when the button is pressed: not_allowed in option.
func AskRemove(c *chat.Call, kind, option, name string, of shop.Record, note string) (*chat.Reply, error) {
	if !c.By.MayChange(of) {
		return nil, fault.New(fault.NotAllowed, "%s belongs to %s, and only its owner can remove it", name, of.OwnerOf).
			In(option).Hint("ask %s", of.OwnerOf)
	}
	return &chat.Reply{
		Title: fmt.Sprintf("Remove %q?", name),
		Notes: []string{note},
		Actions: []chat.Action{{Label: "Remove it", Do: chat.DoReplace,
			Line: chat.FormatLine(kind+" remove", map[string]string{kind: chat.Ref(of.ID, 0), "sure": "yes"}, []string{kind})}},
	}, nil
}

// LeavesShelf is what removing a versioned profile means, and VersionsStay
// what is left of it.
const (
	LeavesShelf  = "It leaves your shelf and, if shared, the shop's. Pours that used it keep their version."
	VersionsStay = "Its versions stay for the pours that used them."
)
