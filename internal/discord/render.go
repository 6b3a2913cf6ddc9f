package discord

import (
	"fmt"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

// shownFacts is how many facts a card shows; the JSON of `ask` has them all.
// Their texts are kept shorter than the service would take, so that eight of
// them can't use up the room for steps and cautions.
const (
	shownFacts = 8
	factName   = 80
	factValue  = 300
)

// Colors of a card's edge. They repeat what the words say.
const (
	colorAnswer  = 0x2E6E6A
	colorCaution = 0xB7791F
	colorRefusal = 0xA63D40
)

// rendered is an answer as a message.
type rendered struct {
	message message
	files   []upload
	private bool
	cut     bool
}

// rendered is render, and counts what did not fit.
func (r *rest) rendered(ans chat.Answer, limit int64) rendered {
	out := render(ans, limit)
	if out.cut {
		r.watch.Cut()
	}
	return out
}

// render makes a message of an answer that is no form. limit is the size of a
// file that may be sent there, in bytes; 0 is the service's usual one.
func render(ans chat.Answer, limit int64) rendered {
	if limit <= 0 {
		limit = maxUpload
	}
	p := page{left: maxEmbedSum, limit: limit}
	if ans.Fault != nil {
		p.refusal(ans.Fault)
		p.buttons(ans.Actions)
		return p.message(true)
	}
	p.reply(ans.Reply)
	p.buttons(ans.Reply.Actions)
	return p.message(ans.Private)
}

// page is a message being made. left is what the texts of all its cards may
// still take, in UTF-16 units.
type page struct {
	left        int
	limit       int64
	cards       []embed
	rows        []row
	attachments []attachment
	files       []upload
	size        int64
	cut         bool
	clocks      clocks
}

// take returns as much of a text as fits, and notes if that is not all.
func (p *page) take(s string, limit int) string {
	short := cutUnits(s, min(limit, p.left))
	if short != s {
		p.cut = true
	}
	p.left -= units(short)
	return short
}

func (p *page) reply(r *chat.Reply) {
	p.clocks = newClocks(r.Clocks)
	card := embed{Color: colorAnswer}
	if title := orDash(plain(r.Title)); p.clocks.tells(title) {
		// A title of the service shows no stamp, its text does (from memory).
		card.Description = "**" + p.take(p.clocks.escape(title), maxEmbedTitle) + "**"
		p.left -= units("****")
	} else {
		card.Title = p.take(escape(title), maxEmbedTitle)
	}
	if len(r.Cautions) > 0 {
		card.Color = colorCaution
	}
	facts := r.Facts[:min(len(r.Facts), shownFacts)]
	if r.Table != nil {
		p.table(&card, r.Table)
		facts = nil
	}
	for _, f := range facts {
		name, value := p.take(escape(orDash(plain(f.Label))), factName), p.take(p.factText(f), factValue)
		if name != "" && value != "" {
			card.Fields = append(card.Fields, embedField{Name: name, Value: value, Inline: true})
		}
	}
	footer := ""
	if len(r.Terms) > 0 {
		words := "/term " + strings.Join(r.Terms[:min(len(r.Terms), 4)], " · /term ")
		footer = p.take(plain("New words: "+words), 300)
	}
	text := p.text(r)
	if text == "" {
		if footer != "" {
			card.Footer = &embedFooter{Text: footer}
		}
		p.cards = append(p.cards, card)
	} else {
		second := embed{Description: text, Color: card.Color}
		if footer != "" {
			second.Footer = &embedFooter{Text: footer}
		}
		p.cards = append(p.cards, card, second)
	}
	p.pictures(r)
	for _, f := range r.Files {
		p.attach(f.Name, f.Data, "")
	}
	if p.cut {
		p.attach("full-answer.txt", []byte(plainText(r)), "The whole answer as text")
	}
}

// text is what stands below the facts. Cautions are measured first, so that a
// long answer never pushes them out.
func (p *page) text(r *chat.Reply) string {
	room := maxEmbedText
	section := func(head string, lines []string, numbered bool) string {
		block := p.block(head, lines, numbered, room)
		room -= units(block) + 2
		return block
	}
	cautions := section("Caution", cautionLines(r.Cautions), false)
	steps := section("Steps", r.Steps, true)
	notes := section("", r.Notes, false)
	worked := ""
	if showsWorking(r) {
		worked = section("", workingLines(r), true)
	}
	var parts []string
	for _, part := range []string{steps, worked, notes, cautions} {
		if part != "" {
			parts = append(parts, part)
		}
	}
	p.left -= max(len(parts)-1, 0) * 2
	return strings.Join(parts, "\n\n")
}

// showsWorking says whether the steps of working stand in the message itself:
// where no button leads to them.
func showsWorking(r *chat.Reply) bool {
	for _, a := range r.Actions {
		if a.Do == chat.DoWorking {
			return false
		}
	}
	return len(r.Working) > 0
}

// block is a headed list, as many whole lines of it as fit and the start of
// the next.
func (p *page) block(head string, lines []string, numbered bool, room int) string {
	// Two units for the empty line between blocks.
	room = min(room, p.left) - 2
	if len(lines) == 0 || room < 40 {
		p.cut = p.cut || len(lines) > 0
		return ""
	}
	var b strings.Builder
	if head != "" {
		b.WriteString("**" + head + "**")
	}
	used := units(b.String())
	number := 0
	for _, line := range lines {
		text := p.clocks.escape(strings.Join(strings.Fields(plain(line)), " "))
		if text == "" {
			continue
		}
		number++
		mark := "\n- "
		if numbered {
			mark = fmt.Sprintf("\n%d. ", number)
		}
		if b.Len() == 0 {
			mark = mark[1:]
		}
		short := cutUnits(text, room-used-units(mark))
		if short == "" {
			p.cut = true
			break
		}
		b.WriteString(mark + short)
		used += units(mark) + units(short)
		if short != text {
			p.cut = true
			break
		}
	}
	if number == 0 {
		return ""
	}
	p.left -= used
	return b.String()
}

func cautionLines(cautions []chat.Caution) []string {
	lines := make([]string, len(cautions))
	for i, c := range cautions {
		lines[i] = c.Text
	}
	return lines
}

func workingLines(r *chat.Reply) []string {
	lines := make([]string, len(r.Working))
	for i, w := range r.Working {
		lines[i] = sentence(w.What) + ": " + w.Formula + " → " + w.Value
		if w.Source != "" {
			lines[i] += " (" + w.Source + ")"
		}
	}
	return lines
}

// factText is a fact's text; an instant becomes a stamp that each reader sees
// in their own time zone.
func (p *page) factText(f chat.Fact) string {
	if s, ok := f.Value.(string); ok {
		if at, err := time.Parse(time.RFC3339, s); err == nil {
			return fmt.Sprintf("<t:%d:F> (<t:%d:R>)", at.Unix(), at.Unix())
		}
	}
	text := plain(f.Text)
	if text == "" && f.Value != nil {
		text = plain(fmt.Sprint(f.Value, " ", f.Unit))
	}
	return p.clocks.escape(orDash(text))
}

func orDash(s string) string {
	if strings.TrimSpace(s) == "" {
		return "–"
	}
	return s
}

// refusal says what was wrong, where, and what to type instead.
func (p *page) refusal(f *fault.Error) {
	card := embed{Title: p.take(escape(sentence(orDash(plain(f.Message)))), maxEmbedTitle), Color: colorRefusal}
	var lines []string
	if f.Option != "" {
		lines = append(lines, "**Option:** "+escape(plain(f.Option)))
	}
	if hint := plain(f.HintText()); hint != "" {
		lines = append(lines, "**Try:** "+escape(hint))
	}
	card.Description = p.take(strings.Join(lines, "\n"), maxEmbedText)
	p.cards = append(p.cards, card)
}

func (p *page) message(private bool) rendered {
	m := message{Embeds: p.cards, Mentions: nobody(), Components: p.rows, Attachments: p.attachments}
	if m.Components == nil {
		m.Components = []row{}
	}
	if m.Attachments == nil {
		m.Attachments = []attachment{}
	}
	return rendered{message: m, files: p.files, private: private, cut: p.cut}
}
