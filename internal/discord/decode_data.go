package discord

import (
	"encoding/json"
	"fmt"
	"strconv"
)

// CommandData is a command as it was called. The names of groups and
// subcommands are taken out of the options.
type CommandData struct {
	Name  string
	Kind  int    // 1 slash, 2 user menu, 3 message menu
	Group string // "" without a group
	Sub   string // "" without a subcommand
	// Options by name, as text: true and false as "yes" and "no", files,
	// users, roles and channels by their ids.
	Options []OptionValue
	// Focused is the option being typed, "" when none is.
	Focused string
}

// OptionValue is one option that was filled in.
type OptionValue struct {
	Name string
	Type int
	Text string
}

// ComponentData is a press of a button or a choice in a select.
type ComponentData struct {
	ID     string
	Type   int
	Values []string // of a select
}

// FormData is a form that was sent in.
type FormData struct {
	ID     string
	Fields []FieldValue
}

// FieldValue is one input of a form; a text has one value, also when empty,
// and a choice not made has none.
type FieldValue struct {
	ID     string
	Type   int
	Values []string
}

// RemoteFile is a file the service keeps for a short while. Nothing but its id
// is to be trusted.
type RemoteFile struct {
	ID, Name, URL string
	Size          int64
}

type wireCommand struct {
	ID       json.RawMessage `json:"id"`
	Name     string          `json:"name"`
	Type     int             `json:"type"`
	GuildID  json.RawMessage `json:"guild_id"`
	Version  json.RawMessage `json:"version"`
	TargetID json.RawMessage `json:"target_id"`
	Resolved *wireResolved   `json:"resolved"`
	Options  json.RawMessage `json:"options"`
}

type wireResolved struct {
	Attachments map[string]wireFile `json:"attachments"`
}

type wireFile struct {
	ID       string `json:"id"`
	Filename string `json:"filename"`
	Size     int64  `json:"size"`
	URL      string `json:"url"`
}

type wireOption struct {
	Name    string          `json:"name"`
	Type    int             `json:"type"`
	Value   json.RawMessage `json:"value"`
	Options json.RawMessage `json:"options"`
	Focused bool            `json:"focused"`
}

func (r *wireResolved) files() map[string]RemoteFile {
	if r == nil || len(r.Attachments) == 0 {
		return nil
	}
	files := make(map[string]RemoteFile, len(r.Attachments))
	for key, f := range r.Attachments {
		files[key] = RemoteFile{ID: key, Name: f.Filename, URL: f.URL, Size: f.Size}
	}
	return files
}

func (d *decoder) command(raw json.RawMessage) (*CommandData, map[string]RemoteFile, error) {
	var w wireCommand
	if err := d.object(raw, "data", &w); err != nil {
		return nil, nil, fmt.Errorf("decode command: %w", err)
	}
	c := &CommandData{Name: w.Name, Kind: w.Type}
	d.options(w.Options, "data.options", c, 0)
	return c, w.Resolved.files(), nil
}

// options walks down groups and subcommands to the values.
func (d *decoder) options(raw json.RawMessage, where string, c *CommandData, depth int) {
	for n, one := range d.list(raw, where) {
		at := where + "." + strconv.Itoa(n)
		var w wireOption
		if err := d.object(one, at, &w); err != nil {
			d.note(at + " is not an option")
			continue
		}
		switch {
		case w.Type == optionGroup && depth == 0:
			c.Group = w.Name
			d.options(w.Options, at, c, depth+1)
		case w.Type == optionSub && depth <= 1:
			c.Sub = w.Name
			d.options(w.Options, at, c, depth+2)
		default:
			d.optionValue(w, at, c)
		}
	}
}

func (d *decoder) optionValue(w wireOption, at string, c *CommandData) {
	switch w.Type {
	case optionString, optionInteger, optionNumber, optionBoolean,
		optionUser, optionChannel, optionRole, optionMention, optionAttachment:
	default:
		d.note(fmt.Sprintf("%s has option type %d", at, w.Type))
		return
	}
	text, ok := scalar(w.Value)
	if !ok {
		d.note(at + " has no readable value")
		return
	}
	c.Options = append(c.Options, OptionValue{Name: w.Name, Type: w.Type, Text: text})
	if w.Focused {
		c.Focused = w.Name
	}
}

// scalar is a JSON string, number or boolean as text. While a number is being
// typed the service sends it as a string such as "12.", which stays as it is.
func scalar(raw json.RawMessage) (string, bool) {
	if len(raw) == 0 {
		return "", false
	}
	switch raw[0] {
	case '"':
		var s string
		err := json.Unmarshal(raw, &s)
		return s, err == nil
	case 't':
		return "yes", true
	case 'f':
		return "no", true
	case 'n', '{', '[':
		return "", false
	}
	return string(raw), true
}

type wireComponent struct {
	ID       json.RawMessage `json:"id"`
	CustomID string          `json:"custom_id"`
	Type     int             `json:"component_type"`
	Values   []string        `json:"values"`
	Resolved json.RawMessage `json:"resolved"`
}

func (d *decoder) component(raw json.RawMessage) (*ComponentData, error) {
	var w wireComponent
	if err := d.object(raw, "data", &w); err != nil {
		return nil, fmt.Errorf("decode component: %w", err)
	}
	return &ComponentData{ID: w.CustomID, Type: w.Type, Values: w.Values}, nil
}

type wireForm struct {
	CustomID   string          `json:"custom_id"`
	Components json.RawMessage `json:"components"`
	Resolved   *wireResolved   `json:"resolved"`
}

type wireField struct {
	Type       int             `json:"type"`
	ID         json.RawMessage `json:"id"`
	CustomID   string          `json:"custom_id"`
	Value      json.RawMessage `json:"value"`
	Values     json.RawMessage `json:"values"`
	Component  json.RawMessage `json:"component"`
	Components json.RawMessage `json:"components"`
}

// Types of components in a form.
const (
	componentRow           = 1
	componentButton        = 2
	componentSelect        = 3
	componentText          = 4
	componentUserSelect    = 5
	componentRoleSelect    = 6
	componentMentionSelect = 7
	componentChannelSelect = 8
	componentTextDisplay   = 10
	componentLabel         = 18
	componentUpload        = 19
	componentRadio         = 21
	componentCheckGroup    = 22
	componentCheckbox      = 23
)

func (d *decoder) form(raw json.RawMessage) (*FormData, map[string]RemoteFile, error) {
	var w wireForm
	if err := d.object(raw, "data", &w); err != nil {
		return nil, nil, fmt.Errorf("decode form: %w", err)
	}
	f := &FormData{ID: w.CustomID}
	for n, one := range d.list(w.Components, "data.components") {
		d.field(one, "data.components."+strconv.Itoa(n), f, 0)
	}
	return f, w.Resolved.files(), nil
}

// field reads an input, or those inside a label or a row.
func (d *decoder) field(raw json.RawMessage, at string, f *FormData, depth int) {
	var w wireField
	if err := d.object(raw, at, &w); err != nil {
		d.note(at + " is not a component")
		return
	}
	switch w.Type {
	case componentLabel:
		if depth == 0 {
			d.field(w.Component, at+".component", f, 1)
		}
	case componentRow:
		if depth == 0 {
			for n, one := range d.list(w.Components, at+".components") {
				d.field(one, at+".components."+strconv.Itoa(n), f, 1)
			}
		}
	case componentTextDisplay:
	case componentText, componentSelect, componentUserSelect, componentRoleSelect, componentMentionSelect,
		componentChannelSelect, componentUpload, componentRadio, componentCheckGroup, componentCheckbox:
		f.Fields = append(f.Fields, FieldValue{ID: w.CustomID, Type: w.Type, Values: d.values(w, at)})
	default:
		d.note(fmt.Sprintf("%s has component type %d", at, w.Type))
	}
}

func (d *decoder) values(w wireField, at string) []string {
	if text, ok := scalar(w.Value); ok {
		return []string{text}
	}
	values := []string{}
	for n, one := range d.list(w.Values, at+".values") {
		text, ok := scalar(one)
		if !ok {
			d.note(fmt.Sprintf("%s.values.%d is no text", at, n))
			continue
		}
		values = append(values, text)
	}
	return values
}
