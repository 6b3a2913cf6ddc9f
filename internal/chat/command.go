package chat

import (
	"context"

	"github.com/pourwright/pourwright/internal/quantity"
)

// Command is one slash command: its declaration and what runs. Everything a
// member sees of it (registration, autocomplete, checks, console help, web
// form, the README's table) follows from this value.
type Command struct {
	Name  string // lower case
	Help  string // one line, at most 100 characters
	About string // a paragraph for the help page; may be empty
	Asks  []Ask  // what people ask that this answers
	Subs  []Sub  // a bare command is one Sub without a name
}

// Ask is a question as people put it, and the line that answers it in the demo
// shop.
type Ask struct {
	Question string
	Line     string
}

// Run answers one call. It returns a *fault.Error for what the member can
// mend, any other error for what is ours.
type Run func(ctx context.Context, c *Call) (*Reply, error)

// Sub is one thing a command does.
type Sub struct {
	Name     string // "" for a bare command
	Help     string // one line, at most 100 characters
	Options  []Option
	OneOf    [][]string // of each group exactly one option must be given
	Forms    []Form     // the first opens when the sub is called without options, unless it is Pressed
	Computes bool       // its reply has working; adds the option show
	Public   bool       // seen by the channel unless show:no
	Slow     bool       // may take longer than a second
	Writes   bool       // changes what is stored
	Run      Run
}

// Kind is how an option's text is read.
type Kind uint8

// The kinds. Text is also the kind of names, with Suggest for completion.
const (
	Text    Kind = iota
	Measure      // a quantity of one of Dims
	Parts        // a ratio A:B with its basis
	Count        // a whole number of things
	OneWord      // one of Choices
	YesNo
	Attachment
	Person // a member; the edge gives a member key
)

// Option is one named input.
type Option struct {
	Name     string
	Help     string // one line, at most 100 characters
	Kind     Kind
	Required bool
	Like     string // an example value, shown in forms and hints

	Dims     []quantity.Dim // Measure: accepted dimensions, the first for a bare number
	Bare     string         // Measure: unit of a bare number; "" is the shop's default
	Min, Max float64        // Measure in base units, Count; both 0: the dimension's own
	Percent  bool           // Measure: a bare 10 is 10 %
	Negative bool           // Measure: may be below zero
	Zero     bool           // Measure, Count: may be zero
	None     bool           // Measure: the word none takes away what is kept

	Choices []Choice // OneWord
	Suggest Suggest  // Text: completion
	Length  int      // Text: most characters, 0 is 200
	Long    bool     // Text: a paragraph in a form

	// Folded keeps the option out of the chat service's registration, which
	// holds 25: there it is filled by another option's list or by a form.
	Folded bool

	// Spread names options that take the further members of a list typed
	// here, "3 min, 100 g, 23 C", each by its dimension, else in order.
	Spread []string
}

// Bounds are the least and the most that a Count takes.
func (o Option) Bounds() (low, high int) {
	low, high = 1, 100000
	if o.Zero {
		low = 0
	}
	if o.Min != 0 {
		low = int(o.Min)
	}
	if o.Max != 0 {
		high = int(o.Max)
	}
	return low, high
}

// Choice is a value and how it is shown.
//
// Also are other ways to type the value; they are not offered.
type Choice struct {
	Value, Label string
	Also         []string
}

// Suggest completes what was typed so far, best first.
type Suggest func(ctx context.Context, c *Call, typed string) ([]Choice, error)

// Form asks for some of a sub's options at once: five at most, as many as a
// chat form holds.
type Form struct {
	Name    string // names it in a button, "" for the first
	Title   string // at most 45 characters
	Options []string
	Pressed bool // opens from a button alone: called without options the sub runs
	// Fill gives the present values, to edit; what the call gave itself wins.
	Fill func(ctx context.Context, c *Call) (map[string]string, error)
}

// showOption is added to every computing or public sub.
var showOption = Option{Name: "show", Kind: YesNo, Help: "yes posts the answer to the channel, no keeps it to you"}

// Option finds an option by name.
func (s *Sub) Option(name string) (Option, bool) {
	for _, o := range s.Options {
		if o.Name == name {
			return o, true
		}
	}
	return Option{}, false
}

// Sub finds a sub by name.
func (c *Command) Sub(name string) (*Sub, bool) {
	for i := range c.Subs {
		if c.Subs[i].Name == name {
			return &c.Subs[i], true
		}
	}
	return nil, false
}

// asks reports that the sub opens its first form when it is called without
// options.
func (s *Sub) asks() bool { return len(s.Forms) > 0 && !s.Forms[0].Pressed }

// Path is how the sub is typed, without the slash: "volume mesh", "batch".
func (c *Command) Path(s *Sub) string {
	if s.Name == "" {
		return c.Name
	}
	return c.Name + " " + s.Name
}
