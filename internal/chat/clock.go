package chat

import "time"

// Clock is a time as it stands in the texts of a reply, by the clock of whoever
// asked, and the instant it means. A transport whose readers live in several
// zones shows each of them their own time in its place; the others leave it.
type Clock struct {
	Text string // "15:04", "Mon 2 Jan 15:04"
	At   time.Time
}

// Clock notes that a text of this reply means an instant, and gives it back.
func (c *Call) Clock(text string, at time.Time) string {
	for _, known := range c.clocks {
		if known.Text == text {
			return text
		}
	}
	c.clocks = append(c.clocks, Clock{text, at})
	return text
}
