package library

import (
	"fmt"
	"reflect"
	"strings"

	"github.com/pourwright/pourwright/internal/quantity"
)

// Difference is one line of a profile on which an origin moved on and its copy
// did not.
type Difference struct {
	Label    string
	Was, Now string // of the origin, as members read it
	Mine     string // of the copy, where its owner changed it too; else ""
}

// String writes it as a member reads it.
func (d Difference) String() string {
	text := fmt.Sprintf("%s: %s → %s", d.Label, d.Was, d.Now)
	if d.Mine != "" {
		text += fmt.Sprintf(" (yours says %s)", d.Mine)
	}
	return text
}

// longest is how many characters of a value are shown of a difference, and lead
// how many of those that all have in common.
const (
	longest = 160
	lead    = 20
)

// shorten cuts long texts, a formula's or notes, to where they part.
func (d *Difference) shorten() {
	texts := []*string{&d.Was, &d.Now}
	if d.Mine != "" {
		texts = append(texts, &d.Mine)
	}
	var runes [][]rune
	most := 0
	for _, t := range texts {
		*t = strings.Join(strings.FieldsFunc(*t, func(r rune) bool { return r == '\n' || r == '\r' }), "; ")
		runes = append(runes, []rune(*t))
		most = max(most, len([]rune(*t)))
	}
	if most <= longest {
		return
	}
	from := max(0, parting(runes)-lead)
	for i, t := range texts {
		rest := runes[i][min(from, len(runes[i])):]
		cut := ""
		if len(rest) > longest {
			rest, cut = rest[:longest], "…"
		}
		*t = string(rest) + cut
		if from > 0 {
			*t = "…" + *t
		}
	}
}

// parting is where the first of the texts is unlike another.
func parting(texts [][]rune) int {
	for i, r := range texts[0] {
		for _, other := range texts[1:] {
			if i >= len(other) || other[i] != r {
				return i
			}
		}
	}
	return len(texts[0])
}

// Merge takes into a copy what its origin changed between two versions, line by
// line. A line that the copy's owner changed too stays as it is, unless all is
// asked for. A figure and the conditions it was measured under are one line:
// they mean nothing apart.
func Merge[P any](fields []Field[P], was, now, mine P, s quantity.System, all bool) (merged P, differences []Difference) {
	merged = mine
	for _, line := range lines(fields) {
		if line.same(was, now) || line.same(now, mine) {
			continue
		}
		d := Difference{Label: line[0].label(&now, s), Was: line.text(was, now, s), Now: line.text(now, was, s)}
		own := !line.same(was, mine)
		if own {
			d.Mine = line.text(mine, now, s)
		}
		d.shorten()
		if !own || all {
			line.take(&merged, now)
		}
		differences = append(differences, d)
	}
	return merged, differences
}

// lineOf is a field with the conditions that are asked for in its list.
type lineOf[P any] []Field[P]

// lines gathers fields that are compared as one.
func lines[P any](fields []Field[P]) []lineOf[P] {
	byName := map[string]Field[P]{}
	for _, f := range fields {
		byName[f.Name] = f
	}
	var all []lineOf[P]
	for _, f := range fields {
		if f.Copy == nil || f.Folded {
			continue
		}
		line := lineOf[P]{f}
		for _, more := range f.Spread {
			if m, ok := byName[more]; ok && m.Folded && m.Copy != nil {
				line = append(line, m)
			}
		}
		all = append(all, line)
	}
	return all
}

func (l lineOf[P]) take(to *P, from P) {
	for _, f := range l {
		f.Copy(to, &from)
	}
}

// same reports whether two profiles agree on the line.
func (l lineOf[P]) same(a, b P) bool {
	var x, y P
	l.take(&x, a)
	l.take(&y, b)
	return reflect.DeepEqual(x, y)
}

// text is the line of p as members read it; in full where a rounded text would
// look the same as that of the other.
func (l lineOf[P]) text(p, other P, s quantity.System) string {
	text := l.shown(&p, s, false)
	if text == l.shown(&other, s, false) {
		text = l.shown(&p, s, true)
	}
	return text
}

func (l lineOf[P]) shown(p *P, s quantity.System, full bool) string {
	var parts []string
	for _, f := range l {
		fact, ok := f.Show(p, s)
		if !ok {
			continue
		}
		if full {
			fact.Text = strings.TrimSpace(fmt.Sprint(fact.Value) + " " + fact.Unit)
		}
		parts = append(parts, fact.Text)
	}
	if len(parts) == 0 {
		return "not said"
	}
	return strings.Join(parts, ", ")
}

func (f Field[P]) label(p *P, s quantity.System) string {
	fact, _ := f.Show(p, s)
	return fact.Label
}
