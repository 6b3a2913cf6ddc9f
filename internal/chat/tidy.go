package chat

import (
	"strings"

	"golang.org/x/text/unicode/bidi"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// leftToRight is a mark without a shape: what follows goes on from left to
// right. It is the one character of its sort that Readable puts into a text.
const leftToRight = '\u200e'

// Readable makes a text fit to be shown by any transport, whoever wrote it: with
// nothing in it that can't be seen, and with words of scripts that are written
// from right to left ended, so that a number behind one does not jump before it
// (Unicode Standard Annex 9). Line ends stay. Readable of its own result changes
// nothing.
func Readable(s string) string {
	s = shop.Seen(s, true)
	if strings.IndexFunc(s, func(r rune) bool { return r >= firstRightToLeft }) < 0 {
		return s
	}
	return ended(s)
}

// firstRightToLeft is below every letter that is written from right to left.
const firstRightToLeft = '\u0590'

// ended puts a mark behind the last letter of each run of words that go from
// right to left, where a number, a word of the other direction or the end
// follows.
func ended(s string) string {
	var b strings.Builder
	done, last := 0, 0 // what is written, and the end of the run's last letter
	end := func() {
		if last > done {
			b.WriteString(s[done:last])
			b.WriteRune(leftToRight)
			done = last
		}
	}
	for i := 0; i < len(s); {
		props, size := bidi.LookupString(s[i:])
		if size == 0 {
			break // no whole character is left
		}
		switch props.Class() {
		case bidi.R, bidi.AL, bidi.AN:
			last = i + size
		case bidi.NSM: // a mark on the letter before
			if last == i {
				last = i + size
			}
		case bidi.L, bidi.EN, bidi.B:
			end()
		}
		i += size
	}
	end()
	return b.String() + s[done:]
}

// Hidden reports a rune that no transport shows: all that can't be seen but the
// mark that Readable makes.
func Hidden(r rune) bool { return r != leftToRight && shop.Unseen(r) }

// Tidy makes every text of a reply fit to be shown. Dispatch does it to what it
// answers; what comes by itself is tidied by whoever makes it.
func (r *Reply) Tidy() {
	tidy := func(texts ...*string) {
		for _, s := range texts {
			*s = Readable(*s)
		}
	}
	tidy(&r.Title)
	for i := range r.Facts {
		f := &r.Facts[i]
		tidy(&f.Label, &f.Text)
		if s, ok := f.Value.(string); ok {
			f.Value = shop.Seen(s, true)
		}
	}
	for _, list := range [][]string{r.Steps, r.Notes} {
		for i := range list {
			tidy(&list[i])
		}
	}
	for i := range r.Cautions {
		tidy(&r.Cautions[i].Text, &r.Cautions[i].Full)
	}
	for i := range r.Working {
		w := &r.Working[i]
		tidy(&w.What, &w.Formula, &w.Value)
	}
	for i := range r.Images {
		tidy(&r.Images[i].Alt)
	}
	tidyActions(r.Actions)
	if t := r.Table; t != nil {
		for i := range t.Things {
			tidy(&t.Things[i])
		}
		for i := range t.Rows {
			tidy(&t.Rows[i].Label)
			for j := range t.Rows[i].Cells {
				tidy(&t.Rows[i].Cells[j])
			}
		}
	}
}

func tidyActions(actions []Action) {
	for i := range actions {
		actions[i].Label = strings.ReplaceAll(Readable(actions[i].Label), "\n", " ")
	}
}

// tidyFault does the same to a refusal, which may quote what was typed.
func tidyFault(f *fault.Error) *fault.Error {
	clean := *f
	clean.Message, clean.Option = Readable(f.Message), shop.Seen(f.Option, false)
	return clean.Hint("%s", Readable(f.HintText()))
}
