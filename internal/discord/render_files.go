package discord

import (
	"fmt"
	"path"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
)

// maxCards is how many cards a message may have.
const maxCards = 10

// pictures shows the first picture in the last card and each further one in a
// card of its own.
func (p *page) pictures(r *chat.Reply) {
	for n, image := range r.Images {
		name, ok := p.attach(image.Name, image.Data, orDash(plain(image.Alt)))
		if !ok {
			continue
		}
		shown := &embedImage{URL: "attachment://" + name}
		if n == 0 && len(p.cards) > 0 {
			p.cards[len(p.cards)-1].Image = shown
		} else if len(p.cards) < maxCards {
			p.cards = append(p.cards, embed{Image: shown, Color: colorAnswer})
		}
	}
}

// attach adds a file to the message. One that is too large for the place is
// left out, with a line that says so.
func (p *page) attach(name string, data []byte, alt string) (string, bool) {
	name = p.freeName(safeName(name))
	switch {
	case len(p.files) >= maxFiles:
		p.remark(fmt.Sprintf("%s is left out: a message holds %d files.", name, maxFiles))
		return "", false
	case int64(len(data)) > p.limit || p.size+int64(len(data)) > maxRequest-1<<20:
		p.remark(fmt.Sprintf("%s is left out: at %d MB it is too large to be sent here.", name, len(data)>>20))
		return "", false
	}
	p.size += int64(len(data))
	p.attachments = append(p.attachments, attachment{ID: len(p.files), Filename: name, Description: cutUnits(alt, maxAltText)})
	p.files = append(p.files, upload{name: name, data: data})
	return name, true
}

// freeName makes a name that no other file of the message has.
func (p *page) freeName(name string) string {
	free := name
	for n := 2; ; n++ {
		taken := false
		for _, f := range p.files {
			taken = taken || strings.EqualFold(f.name, free)
		}
		if !taken {
			return free
		}
		ext := path.Ext(name)
		free = fmt.Sprintf("%s-%d%s", strings.TrimSuffix(name, ext), n, ext)
	}
}

// remark adds a line to the last card, where there is room.
func (p *page) remark(line string) {
	if len(p.cards) == 0 {
		return
	}
	last := &p.cards[len(p.cards)-1]
	line = escape(line)
	if last.Description != "" {
		line = "\n" + line
	}
	if n := units(line); n <= p.left && units(last.Description)+n <= maxEmbedText {
		last.Description += line
		p.left -= n
	}
}

// plainText is a whole reply for a text file: nothing is cut and nothing
// escaped.
func plainText(r *chat.Reply) string {
	var b strings.Builder
	b.WriteString(r.Title + "\n")
	facts := r.Facts
	if r.Table != nil {
		b.WriteString(tableText(r.Table))
		facts = nil
	}
	for _, f := range facts {
		text := f.Text
		if text == "" {
			text = fmt.Sprint(f.Value, " ", f.Unit)
		}
		fmt.Fprintf(&b, "\n%s: %s", f.Label, text)
	}
	list := func(head string, lines []string) {
		if len(lines) > 0 {
			b.WriteString("\n\n" + head)
		}
		for n, line := range lines {
			fmt.Fprintf(&b, "\n%d. %s", n+1, line)
		}
	}
	list("Steps", r.Steps)
	list("Notes", r.Notes)
	list("Caution", cautionLines(r.Cautions))
	list("Working", workingLines(r))
	return b.String() + "\n"
}
