package transfer

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// The lists of a pour. Numbers come first in each entry, so that a name may
// hold anything but a line break.

var fillEntry = regexp.MustCompile(`^(\d{1,6}) x ([\d.eE+-]{1,30}) ml: (.+)$`)

// fills lists the molds of a pour that filled several, "6 x 6.2 ml: pawn".
func fills() column[pour] {
	return list("fills", `molds, where several were filled, one a line: parts x mL of one cavity: name, such as 6 x 6.2 ml: harbor pawn`,
		func(p *pour) (all []string) {
			for _, f := range p.Fills {
				all = append(all, fmt.Sprintf("%d x %s ml: %s", f.Count, numberText(f.Volume), f.Name))
			}
			return all
		},
		func(p *pour, item string) error {
			m := fillEntry.FindStringSubmatch(item)
			if m == nil {
				return fault.New(fault.BadQuantity, "%s is no mold that was filled", shown(item)).Hint("write it like 6 x 6.2 ml: harbor pawn")
			}
			volume, err := float(m[2])
			n, _ := strconv.Atoi(m[1]) // six digits
			if err == nil && volume < 0 {
				err = fault.New(fault.OutOfRange, "a cavity of %s mL holds nothing", m[2]).Hint("write it like 6 x 6.2 ml: harbor pawn")
			}
			p.Fills = append(p.Fills, shop.Fill{Name: m[3], Volume: volume, Count: n})
			return err
		})
}

var doseEntry = regexp.MustCompile(`^([\d.eE+-]{1,30}) (.+)$`)

// doses lists the tints of a mix, "0.005 brick red".
func doses() column[pour] {
	return list("doses", "tints of the mix, one a line: fraction of the mix, name, such as 0.005 brick red",
		func(p *pour) (all []string) {
			for _, d := range p.Doses {
				all = append(all, numberText(d.Share)+" "+d.Name)
			}
			return all
		},
		func(p *pour, item string) error {
			m := doseEntry.FindStringSubmatch(item)
			if m == nil {
				return fault.New(fault.BadQuantity, "%s is no dose of a tint", shown(item)).Hint("write it like 0.005 brick red")
			}
			share, err := float(m[1])
			if err == nil && !(share > 0 && share <= 1) {
				err = fault.New(fault.OutOfRange, "a dose of %s is no part of the mix", m[1]).Hint("write a fraction: 0.005 is 0.5 %%")
			}
			p.Doses = append(p.Doses, shop.Dose{Name: m[2], Share: share})
			return err
		})
}

var answerEntry = regexp.MustCompile(`^(soft|ready) ([\d.eE+-]{1,30})$`)

// answersColumn lists what was found, "soft 540", "ready 905.5". When an
// answer was given follows from it.
func answersColumn() column[pour] {
	return list("answers", "what was found, one a line: soft or ready, seconds after the start",
		func(p *pour) (all []string) {
			for _, a := range p.Answers {
				word, after := "soft ", a.SoftAt
				if a.ReadyBy > 0 {
					word, after = "ready ", a.ReadyBy
				}
				all = append(all, word+numberText(after))
			}
			return all
		},
		func(p *pour, item string) error {
			m := answerEntry.FindStringSubmatch(item)
			if m == nil {
				return fault.New(fault.BadQuantity, "%s is no answer", shown(item)).Hint("write it like soft 540 or ready 900")
			}
			after, err := float(m[2])
			switch {
			case err != nil:
				return err
			case after < 1 || after > 366*86400:
				return fault.New(fault.OutOfRange, "%s seconds after the start are outside 1 s to a year", m[2]).Hint("write seconds after the start, such as ready 900")
			}
			a := shop.Answer{SoftAt: after}
			if m[1] == "ready" {
				a = shop.Answer{ReadyBy: after}
			}
			p.Answers = append(p.Answers, a)
			return nil
		})
}

// answerTimes fills in when answers were given; the start may stand in a later
// column.
func (p *pour) answerTimes() {
	for i, a := range p.Answers {
		p.Answers[i].At = p.Started.Add(time.Duration(math.Round((a.ReadyBy + a.SoftAt) * 1e9))).Truncate(time.Millisecond)
	}
}

// entries are what a pour's log can say.
var entries = []string{shop.EventReady, shop.EventSoft, shop.EventDone, shop.EventFailed, shop.EventCanceled, shop.EventCoat, shop.EventNote}

// logColumn lists what happened to a pour, an entry a line: the time, what it
// was, and what was said, `2026-11-20T10:45:00Z done good=5 spoiled=1 why="bubbles"`.
func logColumn() column[pour] {
	return list("log", `what happened, one a line: time, ready, soft, done, failed, canceled, coat or note, then good= spoiled= pulls= readied why="" text="" photo=""`,
		func(p *pour) (all []string) {
			for _, e := range p.Log {
				all = append(all, eventText(e))
			}
			return all
		},
		func(p *pour, item string) error {
			e, err := readEvent(item)
			p.Log = append(p.Log, e)
			return err
		})
}

func eventText(e shop.PourEvent) string {
	text := e.At.UTC().Format(time.RFC3339Nano) + " " + e.What
	for _, n := range []struct {
		word string
		n    int
	}{{"good", e.Good}, {"spoiled", e.Spoiled}, {"pulls", e.Pulls}} {
		if n.n != 0 {
			text += fmt.Sprintf(" %s=%d", n.word, n.n)
		}
	}
	if e.Readied {
		text += " readied"
	}
	for _, s := range []struct{ word, text string }{{"why", e.Why}, {"text", e.Text}, {"photo", e.Photo}} {
		if s.text != "" {
			text += " " + s.word + "=" + strconv.Quote(s.text)
		}
	}
	return text
}

// readEvent reads what eventText wrote.
func readEvent(item string) (e shop.PourEvent, err error) {
	bad := func(what string) error {
		return fault.New(fault.BadQuantity, "%s is no entry of a pour's log: %s", shown(item), what).
			Hint(`write it like 2026-11-20T10:45:00Z done good=5 spoiled=1 why="bubbles"`)
	}
	at, rest, _ := strings.Cut(item, " ")
	if e.At, err = (cell{text: at}).instant(); err != nil {
		return e, bad("it does not begin with its time")
	}
	e.What, rest, _ = strings.Cut(rest, " ")
	if !slices.Contains(entries, e.What) {
		return e, bad("it does not say what happened")
	}
	for rest = strings.TrimSpace(rest); rest != ""; rest = strings.TrimSpace(rest) {
		if rest, err = readDetail(&e, rest); err != nil {
			return e, bad(err.Error())
		}
	}
	return e, nil
}

// readDetail takes one detail off the front.
func readDetail(e *shop.PourEvent, text string) (rest string, err error) {
	if rest, ok := strings.CutPrefix(text, "readied"); ok && (rest == "" || rest[0] == ' ') {
		e.Readied = true
		return rest, nil
	}
	word, rest, ok := strings.Cut(text, "=")
	if !ok {
		return "", fmt.Errorf("%s has no value", shown(text))
	}
	if at, isText := map[string]*string{"why": &e.Why, "text": &e.Text, "photo": &e.Photo}[word]; isText {
		quoted, err := strconv.QuotedPrefix(rest)
		if err != nil || quoted[0] != '"' {
			return "", fmt.Errorf("%s is not in quotation marks", word)
		}
		said, err := strconv.Unquote(quoted)
		if err == nil {
			*at, err = (cell{text: said}).words(maxNotes, true)
		}
		return rest[len(quoted):], err
	}
	number, rest, _ := strings.Cut(rest, " ")
	n, err := strconv.Atoi(number)
	at, known := map[string]*int{"good": &e.Good, "spoiled": &e.Spoiled, "pulls": &e.Pulls}[word]
	if err != nil || !known || n < 0 || n > mostPulls {
		return "", fmt.Errorf("%s is not one that is known", shown(word+"="+number))
	}
	*at = n
	return rest, nil
}
