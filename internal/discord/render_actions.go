package discord

import (
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
)

// shownButtons is how many actions become buttons when there are too many for
// buttons alone; the others go into one list.
const shownButtons = 10

// buttons lays out the actions: up to five in a row and 25 in all, or ten and
// a list with up to 25 more. Ids are unique in a message, so of two actions
// with the same one the first stays.
func (p *page) buttons(actions []chat.Action) {
	var unique []chat.Action
	taken := make(map[string]bool)
	for _, a := range actions {
		if a.ID == "" || taken[a.ID] || len(a.ID) > maxCustomID || plain(a.Label) == "" {
			continue
		}
		taken[a.ID] = true
		unique = append(unique, a)
	}
	asButtons := unique
	if len(unique) > maxRows*maxButtonsInRow {
		asButtons = unique[:shownButtons]
	}
	for len(asButtons) > 0 {
		n := min(len(asButtons), maxButtonsInRow)
		r := row{Type: componentRow}
		for _, a := range asButtons[:n] {
			r.Components = append(r.Components, button{Type: componentButton, Style: style(a.Do),
				Label: cutUnits(plain(a.Label), maxButtonLabel), CustomID: a.ID})
		}
		p.rows = append(p.rows, r)
		asButtons = asButtons[n:]
	}
	if len(unique) > maxRows*maxButtonsInRow {
		p.rows = append(p.rows, moreList(unique[shownButtons:]))
	}
}

// moreList is a select whose values are the actions' ids.
func moreList(actions []chat.Action) row {
	list := messageSelect{Type: componentSelect, CustomID: moreID, Placeholder: "More…"}
	for _, a := range actions[:min(len(actions), maxChoices)] {
		list.Options = append(list.Options, selectOption{Label: cutUnits(plain(a.Label), 100), Value: a.ID})
	}
	return row{Type: componentRow, Components: []any{list}}
}

// style sets apart what leads on from what explains.
func style(do chat.Verb) int {
	switch do {
	case chat.DoWorking, chat.DoFull, chat.DoPost:
		return buttonSecondary
	}
	return buttonPrimary
}

// renderForm makes a modal. Each input's id is the option's name.
func renderForm(f *chat.OpenForm) form {
	out := form{CustomID: f.ID, Title: cutUnits(orDash(plain(f.Title)), maxFormTitle)}
	for _, field := range f.Fields[:min(len(f.Fields), maxFormFields)] {
		out.Components = append(out.Components, label{
			Type: componentLabel, Label: cutUnits(caption(field.Name), maxFormLabel),
			Description: cutUnits(plain(field.Help), maxFormDescription), Component: input(field),
		})
	}
	return out
}

// caption is an option's name as words; "density_a" is of part A.
func caption(name string) string {
	words := strings.Split(plain(name), "_")
	for i, w := range words {
		if len(w) == 1 {
			words[i] = strings.ToUpper(w)
		}
	}
	return sentence(strings.Join(words, " "))
}

func input(f chat.Field) any {
	switch f.Kind {
	case chat.Attachment:
		return fileUpload{Type: componentUpload, CustomID: f.Name, Required: f.Required}
	case chat.YesNo:
		return choose(f, []chat.Choice{{Value: "yes", Label: "yes"}, {Value: "no", Label: "no"}})
	case chat.OneWord:
		return choose(f, f.Choices)
	}
	most := f.Length
	if most == 0 {
		most = 200
	}
	most = min(max(most, units(f.Value)), maxFormText)
	shape := inputLine
	if f.Long {
		shape = inputParagraph
	}
	return textInput{
		Type: componentText, CustomID: f.Name, Style: shape, Value: cutUnits(f.Value, maxFormText),
		Placeholder: cutUnits(plain(f.Like), maxPlaceholder), Required: f.Required, MaxLength: most,
	}
}

func choose(f chat.Field, choices []chat.Choice) formSelect {
	s := formSelect{Type: componentSelect, CustomID: f.Name, Placeholder: cutUnits(plain(f.Like), maxPlaceholder), Required: f.Required}
	for _, c := range choices[:min(len(choices), maxChoices)] {
		s.Options = append(s.Options, selectOption{
			Label: cutUnits(plain(orElse(c.Label, c.Value)), 100), Value: c.Value, Default: f.Value != "" && c.Value == f.Value,
		})
	}
	return s
}

// renderChoices makes suggestions. A value longer than the service takes can't
// be shortened without changing what it means, so it is left out.
func renderChoices(choices []chat.Choice) suggestions {
	out := suggestions{Choices: []stringChoice{}}
	for _, c := range choices {
		name := cutUnits(plain(orElse(c.Label, c.Value)), 100)
		if name == "" || c.Value == "" || units(c.Value) > 100 || len(out.Choices) == maxChoices {
			continue
		}
		out.Choices = append(out.Choices, stringChoice{Name: name, Value: c.Value})
	}
	return out
}

func orElse(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}
