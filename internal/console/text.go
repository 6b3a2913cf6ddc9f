package console

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/working"
)

// factsShown is how many facts a person reads at once; the rest is for the
// asking.
const factsShown = 8

// Show writes an answer for a person to read. saved tells where pictures and
// files were written, by name; one that was not saved is only named.
func (s *Screen) Show(ans chat.Answer, saved map[string]string) error {
	p := page{Screen: s, saved: saved}
	switch {
	case ans.Fault != nil:
		p.fault(ans)
	case ans.Form != nil:
		p.form(ans.Form)
	default:
		p.reply(ans.Reply)
	}
	_, err := io.WriteString(s.W, p.out.String())
	if err != nil {
		return fmt.Errorf("show the answer: %w", err)
	}
	return nil
}

// ShowFacts writes every fact of a reply.
func (s *Screen) ShowFacts(r *chat.Reply) error {
	p := page{Screen: s}
	p.facts(r.Facts, len(r.Facts))
	if _, err := io.WriteString(s.W, p.out.String()); err != nil {
		return fmt.Errorf("show the facts: %w", err)
	}
	return nil
}

// page is one answer being laid out.
type page struct {
	*Screen
	out   strings.Builder
	saved map[string]string
}

func (p *page) reply(r *chat.Reply) {
	for _, line := range wrap(r.Title, p.Width) {
		p.line(p.paint(bold, line))
	}
	p.group(len(r.Facts) > 0 || r.Table != nil)
	if r.Table != nil {
		p.table(r.Table)
	} else {
		p.facts(r.Facts, factsShown)
	}
	p.group(len(r.Steps) > 0)
	p.steps(r.Steps)
	p.group(len(r.Notes)+len(r.Cautions) > 0)
	for _, n := range r.Notes {
		p.hang("Note: ", "", n)
	}
	for _, c := range r.Cautions {
		p.hang("Caution: ", warning, c.Text)
	}
	if !offersWorking(r.Actions) {
		p.group(len(r.Working) > 0)
		p.working(r.Working)
	}
	p.group(len(r.Images)+len(r.Files)+len(r.Terms)+len(r.Actions) > 0)
	for _, im := range r.Images {
		p.made("Picture", im.Name, im.Alt, len(im.Data))
		if p.Inline != nil {
			p.out.WriteString(p.Inline(im))
		}
	}
	for _, f := range r.Files {
		p.made("File", f.Name, "", len(f.Data))
	}
	if len(r.Terms) > 0 {
		p.hang("Words: ", dim, strings.Join(r.Terms, ", ")+" (/term word:… explains each)")
	}
	p.actions(r.Actions)
}

// group sets what follows apart from what came before.
func (p *page) group(follows bool) {
	if follows && p.out.Len() > 0 {
		p.line("")
	}
}

// offersWorking reports whether the working is a press away, and so need not
// stand in the way of the answer.
func offersWorking(actions []chat.Action) bool {
	return slices.ContainsFunc(actions, func(a chat.Action) bool { return a.Do == chat.DoWorking })
}

func (p *page) line(text string) { p.out.WriteString(text + "\n") }

// hang writes a text with a lead, its further lines under the first.
func (p *page) hang(lead string, st style, text string) {
	pad := strings.Repeat(" ", columns(lead))
	for i, line := range wrap(text, p.Width-columns(lead)) {
		if i == 0 {
			p.line(p.paint(st, lead) + line)
			continue
		}
		p.line(strings.TrimRight(pad+line, " "))
	}
}

// facts are two columns, the labels as wide as the widest of them.
func (p *page) facts(facts []chat.Fact, most int) {
	shown := facts[:min(len(facts), most)]
	width := 0
	for _, f := range shown {
		width = max(width, columns(oneLine(f.Label)))
	}
	width = min(width, p.Width/2)
	for _, f := range shown {
		label := oneLine(f.Label)
		lead := "  " + label + strings.Repeat(" ", max(0, width-columns(label))+2)
		p.hang(lead, "", oneLine(f.Text))
	}
	if more := len(facts) - len(shown); more > 0 {
		how := `type "more"`
		if p.Once {
			how = "--json has all"
		}
		p.line(p.paint(dim, fmt.Sprintf("  and %d more; %s", more, how)))
	}
}

func (p *page) steps(steps []string) {
	for i, step := range steps {
		lead := fmt.Sprintf("%3d. ", i+1)
		p.hang(lead, "", step)
	}
}

func (p *page) working(steps []working.Step) {
	if len(steps) == 0 {
		return
	}
	p.line(p.paint(bold, "Working"))
	for _, w := range steps {
		p.hang("  ", "", w.What)
		p.hang("    = ", "", w.Formula)
		p.hang("    = ", "", w.Value)
		p.hang("    from: ", dim, w.Source)
	}
}

// made names a picture or file and says where it is.
func (p *page) made(kind, name, alt string, bytes int) {
	text := oneLine(name)
	if alt != "" {
		text += ": " + oneLine(alt)
	}
	if path, ok := p.saved[name]; ok {
		text += "\nsaved as " + path
	} else {
		text += fmt.Sprintf(" (%s bytes, not saved)", strconv.Itoa(bytes))
	}
	p.hang(kind+": ", "", text)
}

// actions are numbered, so that a prompt can take the number; several share a
// line where they fit.
func (p *page) actions(actions []chat.Action) {
	if len(actions) == 0 {
		return
	}
	labels := make([]string, len(actions))
	for i, a := range actions {
		labels[i] = oneLine(a.Label)
	}
	if p.Once {
		p.hang("Buttons: ", dim, strings.Join(labels, ", ")+" (--json has their ids, for --press)")
		return
	}
	const gap = "   "
	line := ""
	write := func() {
		if columns(line) <= p.Width {
			p.line(line)
			return
		}
		p.hang("", "", line)
	}
	for i, label := range labels {
		lead := fmt.Sprintf("[%d] ", i+1)
		item := lead + label
		switch {
		case line == "":
			line = item
		case columns(line)+len(gap)+columns(item) <= p.Width:
			line += gap + item
		default:
			write()
			line = item
		}
	}
	write()
}

func (p *page) fault(ans chat.Answer) {
	f := ans.Fault
	lead := "Refused: "
	if broke(f) {
		lead = "Not answered: "
	}
	text := f.Message
	if f.Option != "" && !strings.HasPrefix(text, f.Option) {
		text = f.Option + ": " + text
	}
	p.hang(lead, refusal, text)
	if f.HintText() != "" {
		p.hang("Try: ", bold, f.HintText())
	}
	p.actions(ans.Actions)
}

// form tells what a form would ask; the prompt asks it field by field.
func (p *page) form(form *chat.OpenForm) {
	p.line(p.paint(bold, oneLine(form.Title)))
	for _, f := range form.Fields {
		text := f.Help
		if f.Required {
			text += " (required)"
		}
		if f.Value != "" {
			text += "; now " + f.Value
		}
		p.hang("  "+f.Name+": ", "", text)
	}
}
