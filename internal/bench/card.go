package bench

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/working"
)

// cardView is an entry of the conversation as the templates show it.
type cardView struct {
	ID      int
	Mark    int
	At      time.Time
	Asked   string
	File    string
	Again   string
	Private bool
	Called  bool
	Reply   *replyView
	Fault   *faultView
	Form    *openView
}

// replyView is a reply in the order of reading. What chat keeps behind the
// buttons Show working and Cautions in full is in the page already, so it
// opens in place.
type replyView struct {
	Title        string
	Lead         []factView // the first, set large
	Facts        []factView // the rest of the first eight
	More         []factView
	Rows         bool // a fact is too long to stand beside others
	All          int
	Steps, Notes [][]span
	Cautions     []chat.Caution
	Working      []working.Step
	Pictures     []blobRef
	Files        []fileView
	Buttons      []buttonView
	Table        *chat.Table
	Words        []span // trade words that stand in no text of the card
}

type factView struct {
	Key   string
	Label []span
	Text  string
	At    string // RFC 3339 when the fact is an instant
}

type fileView struct{ Name, Key, Size string }

type buttonView struct{ ID, Label string }

type faultView struct {
	Code, Option, Message, Hint string
	For                         string // the input it is about, if it is on the page
	Buttons                     []buttonView
}

// openView is a form that an answer opened.
type openView struct {
	ID, Title string
	Fields    []fieldView
	Parts     bool
}

// factsMost is how many facts every transport shows, leadMost how many of
// them lead. The lengths are what fits the width of each at 360 px.
const (
	factsMost = 8
	leadMost  = 3
	leadRunes = 20
	rowRunes  = 32
)

// card makes the view of an entry.
func (b *Bench) card(e entry) cardView {
	v := cardView{ID: e.id, Mark: e.mark, At: e.at, Asked: chat.Readable(e.asked), File: chat.Readable(e.file), Private: e.ans.Private, Called: e.called}
	if e.again != "" {
		v.Again = b.base + e.again
	}
	if e.ans.Fault != nil {
		v.Fault = faultOf(e.ans)
	}
	if form := e.open(); form != nil {
		v.Form = openOf(e, form)
		if v.Fault != nil {
			v.Fault.For = fieldID(e, e.ans.Fault.Option)
		}
	}
	if e.ans.Reply != nil {
		v.Reply = replyOf(e)
	}
	return v
}

func faultOf(ans chat.Answer) *faultView {
	return &faultView{
		Code: string(ans.Fault.Code), Option: ans.Fault.Option,
		Message: ans.Fault.Message, Hint: ans.Fault.HintText(),
		Buttons: buttonsOf(ans.Actions),
	}
}

// buttonsOf leaves out what the page has opened in place.
func buttonsOf(actions []chat.Action) []buttonView {
	var out []buttonView
	for _, a := range actions {
		if a.Do != chat.DoWorking && a.Do != chat.DoFull {
			out = append(out, buttonView{ID: a.ID, Label: a.Label})
		}
	}
	return out
}

func fieldID(e entry, option string) string {
	return fmt.Sprintf("e%d-%s", e.id, option)
}

func openOf(e entry, form *chat.OpenForm) *openView {
	v := &openView{ID: form.ID, Title: form.Title}
	for _, field := range form.Fields {
		value := field.Value
		if e.typed != nil {
			value = e.typed[field.Name]
		}
		f := fieldOf(field.Option, fieldID(e, field.Name), value)
		f.Suggests = false // a form of an answer does not know its command
		f.Wrong = e.ans.Fault != nil && e.ans.Fault.Option == field.Name
		v.Parts = v.Parts || f.Input == "file"
		v.Fields = append(v.Fields, f)
	}
	return v
}

func replyOf(e entry) *replyView {
	r := e.ans.Reply
	terms := newTerms(r.Terms)
	v := &replyView{
		Title: r.Title, All: len(r.Facts),
		Cautions: r.Cautions, Working: r.Working,
		Pictures: e.pictures, Buttons: buttonsOf(r.Actions),
	}
	facts := make([]factView, len(r.Facts))
	for i, f := range r.Facts {
		facts[i] = factOf(f, terms)
	}
	if v.Table = r.Table; v.Table == nil {
		v.share(facts)
	}
	for _, s := range r.Steps {
		v.Steps = append(v.Steps, terms.mark(s))
	}
	for _, n := range r.Notes {
		v.Notes = append(v.Notes, terms.mark(n))
	}
	for _, f := range e.files {
		v.Files = append(v.Files, fileView{Name: f.Name, Key: f.Key, Size: size(f.Bytes)})
	}
	v.Words = terms.rest()
	return v
}

// share deals out the facts by their place and their length: what is set large
// is a figure or a word or two.
func (v *replyView) share(facts []factView) {
	eight := min(factsMost, len(facts))
	lead := 0
	for lead < min(leadMost, eight) && utf8.RuneCountInString(facts[lead].Text) <= leadRunes {
		lead++
	}
	v.Lead, v.Facts, v.More = facts[:lead], facts[lead:eight], facts[eight:]
	v.Rows = slices.ContainsFunc(facts[lead:], func(f factView) bool {
		return utf8.RuneCountInString(f.Text) > rowRunes
	})
}

func factOf(f chat.Fact, terms *terms) factView {
	v := factView{Key: f.Key, Label: terms.mark(f.Label), Text: f.Text}
	if s, ok := f.Value.(string); ok {
		if at, err := time.Parse(time.RFC3339, s); err == nil {
			v.At = at.UTC().Format(time.RFC3339)
		}
	}
	return v
}

// size is a number of bytes as file lists show it.
func size(n int) string {
	switch {
	case n >= 1<<20:
		return strconv.FormatFloat(float64(n)/(1<<20), 'f', 1, 64) + " MiB"
	case n >= 1<<10:
		return strconv.Itoa((n+512)>>10) + " KiB"
	}
	return strconv.Itoa(n) + " bytes"
}

// Folded reports whether any caution has more to say than it shows.
func (v *replyView) Folded() bool {
	for _, c := range v.Cautions {
		if c.Full != "" && strings.TrimSpace(c.Full) != strings.TrimSpace(c.Text) {
			return true
		}
	}
	return false
}
