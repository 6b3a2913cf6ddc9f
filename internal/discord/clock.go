package discord

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
)

// clocks puts stamps that each reader sees in their own zone in the place of
// the times in a reply's texts. A time is marked by a letter of the private use
// area while the text is escaped: whoever writes such letters loses them.
type clocks struct {
	mark, stamp *strings.Replacer
}

const (
	firstMark = '\ue000'
	mostMarks = 64 // a reply with more times keeps the rest as they are
)

func newClocks(all []chat.Clock) clocks {
	if len(all) == 0 {
		return clocks{}
	}
	all = slices.Clone(all[:min(len(all), mostMarks)])
	// "Mon 2 Jan 15:04" before "15:04"
	slices.SortStableFunc(all, func(a, b chat.Clock) int { return cmp.Compare(len(b.Text), len(a.Text)) })
	var marks, stamps []string
	for i := range mostMarks {
		marks = append(marks, string(rune(firstMark+i)), "")
	}
	for i, c := range all {
		style := "f" // a date and a time
		if len(c.Text) <= len("15:04") {
			style = "t"
		}
		mark := string(rune(firstMark + i))
		marks = append(marks, c.Text, mark)
		stamps = append(stamps, mark, fmt.Sprintf("<t:%d:%s>", c.At.Unix(), style))
	}
	return clocks{strings.NewReplacer(marks...), strings.NewReplacer(stamps...)}
}

// escape is the text with its times as stamps, and everything else shown as it
// was typed.
func (c clocks) escape(s string) string {
	if c.mark == nil {
		return escape(s)
	}
	return c.stamp.Replace(escape(c.mark.Replace(s)))
}

// tells reports whether a text holds a time.
func (c clocks) tells(s string) bool {
	return c.mark != nil && strings.ContainsFunc(c.mark.Replace(s), func(r rune) bool { return r >= firstMark && r < firstMark+mostMarks })
}
