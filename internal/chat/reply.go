package chat

import (
	"github.com/pourwright/pourwright/internal/caution"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/working"
)

// Reply is an answer as data; each transport renders it in its own way. All
// text is plain: transports escape it, whoever wrote it.
type Reply struct {
	Title    string // the answer in one sentence
	Facts    []Fact // the ones that matter first lead; transports show eight
	Table    *Table // shown in place of the facts
	Steps    []string
	Notes    []string // how sure, and every default that was used
	Cautions []Caution
	Working  []working.Step
	Images   []Image
	Files    []File
	Actions  []Action
	Terms    []string // trade words used, first use first; Dispatch fills it
	Private  bool     // Dispatch decides it
	Quiet    bool     // no "Post here" button: nothing others could use
	Live     *Live    // it is the card of something under way
	Clocks   []Clock  // the times in its texts; Dispatch fills it
}

// Fact is one figure or word of the answer. Value is a float64, int, string or
// bool in the base unit of the contract, unrounded (an amount to weigh:
// rounded to the scale step). Low and High bound what is uncertain.
type Fact struct {
	Key, Label string
	Value      any
	Unit       string
	Low, High  *float64
	Text       string
}

// Num is a fact with a quantity in its base unit.
func Num(key, label string, v float64, d quantity.Dim, s quantity.System) Fact {
	return Fact{Key: key, Label: label, Value: v, Unit: quantity.BaseUnit(d), Text: quantity.Text(v, d, s)}
}

// Share is a fact that is a fraction, shown in percent.
func Share(key, label string, v float64) Fact {
	return Fact{Key: key, Label: label, Value: v, Unit: "1", Text: quantity.Percent(v)}
}

// Whole is a fact that counts things.
func Whole(key, label string, n int, text string) Fact {
	return Fact{Key: key, Label: label, Value: n, Unit: "1", Text: text}
}

// Between adds the bounds of an uncertain fact.
func (f Fact) Between(low, high float64) Fact {
	f.Low, f.High = &low, &high
	return f
}

// Says replaces the text that members read.
func (f Fact) Says(text string) Fact {
	f.Text = text
	return f
}

// Caution is one warning that the reply calls for. Full stands behind a button.
type Caution struct{ ID, Text, Full string }

// Cautions takes what a situation calls for into a reply.
func Cautions(list []caution.Caution) []Caution {
	out := make([]Caution, len(list))
	for i, c := range list {
		out[i] = Caution{ID: string(c.ID), Text: c.Text, Full: c.Full}
	}
	return out
}

// Image is a PNG with its text for those who cannot see it.
type Image struct {
	Name, Alt string
	Data      []byte
}

// File is bytes with a name, attached or made.
type File struct {
	Name string
	Data []byte
}

// Verb is what a press of an action does.
type Verb byte

// The verbs. Their letters are in stored buttons and never change meaning.
const (
	DoRun     Verb = 'r' // run Line
	DoReplace Verb = 'e' // run Line, the answer takes the message's place
	DoForm    Verb = 'f' // open the form named Form for Line
	DoWorking Verb = 'w' // the working of Line
	DoFull    Verb = 'c' // the cautions of Line in full
	DoPost    Verb = 'p' // the answer of Line for the channel
)

// Action is something to press. A handler gives Label, Line and what to do;
// Dispatch fills in ID, which holds across restarts.
type Action struct {
	ID    string
	Label string // at most 40 characters
	Do    Verb   // zero is DoRun
	Line  string // a command line, "/batch material:… volume:…"
	Form  string // the form of the line's sub that DoForm opens
}
