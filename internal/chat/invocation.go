// Package chat is the layer between a transport and the commands: it holds
// what a command declares, what a transport hands in (Invocation), what comes
// back (Answer), and Dispatch between the two. No transport and no command
// name is known here, and nothing is kept between calls but rate counters.
//
//	desk, err := chat.New(chat.Config{Commands: commands.All(deps), People: db, …})
//	answer := desk.Do(ctx, chat.Invocation{At: now, MemberKey: "local:ada", …, Line: `/batch …`})
package chat

import (
	"time"

	"github.com/pourwright/pourwright/internal/shop"
)

// Invocation is one call as a transport decoded it. Exactly one of Command,
// Line and Press says what is called.
type Invocation struct {
	ID         string    // the event's own id, "" for a local call
	At         time.Time // stamped once, by the edge
	MemberKey  string    // "local:ada", "discord:ID"
	MemberName string
	ShopKey    string // "local:kettle-lane", "discord:ID"
	ShopName   string
	Manager    bool   // the service says the member may manage the shop
	Founds     bool   // a shop that this call makes is the caller's to manage
	Locale     string // BCP 47 or ""
	Place      string // the channel it came from, if we may post there later; else ""
	Forms      bool   // the transport can show a form
	Alone      bool   // nobody but the member sees the answer, whatever it says
	Renewal    bool   // made by the program, to show an answer as it is now: it takes no turn of the member's

	Command, Sub string
	Raw          map[string]string // option values as typed; attachments hold the file's name

	Line  string // a typed line, in place of Command
	Press string // the id of an action, in place of Command
	// Filled has a form's fields when the press is a form sent in.
	Filled map[string]string

	// Files by option name. A typed line's first file option takes Files[""].
	Files map[string]File
}

// Call is an invocation whose options are read and whose caller is known.
type Call struct {
	Invocation
	By   shop.Viewer
	Done <-chan struct{} // closed when nobody waits for the answer any more
	// Public says that others see the answer: what is the caller's alone is
	// left out of it.
	Public bool

	sub    *Sub
	args   map[string]arg
	notes  []string
	pins   map[string]string
	clocks []Clock
}

// Stamp marks a write of this call.
func (c *Call) Stamp() shop.Stamp {
	return shop.Stamp{By: c.By, At: c.At, Interaction: c.ID}
}

// Note adds a sentence on how sure the answer is or which default it used.
func (c *Call) Note(text string) {
	for _, n := range c.notes {
		if n == text {
			return
		}
	}
	c.notes = append(c.notes, text)
}

// Pin replaces an option's text in the buttons of this reply by one that means
// the same thing for ever, such as "#12@3" for a material's third version.
func (c *Call) Pin(option, text string) { c.pins[option] = text }

// Meant is an option's text as the buttons of this reply write it: pinned where
// it was, else as typed; "" if not given.
func (c *Call) Meant(option string) string {
	if pinned, ok := c.pins[option]; ok {
		return pinned
	}
	return c.Raw[option]
}
