package console

import (
	"encoding/json"
	"fmt"
	"io"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/working"
)

// The JSON of an answer is a contract with programs: keys are added, never
// renamed, and lists are there when they are empty.
type (
	answerJSON struct {
		OK       bool           `json:"ok"`
		Command  string         `json:"command"`
		Title    string         `json:"title"`
		Facts    []factJSON     `json:"facts"`
		Steps    []string       `json:"steps"`
		Notes    []string       `json:"notes"`
		Cautions []cautionJSON  `json:"cautions"`
		Working  []working.Step `json:"working"`
		Images   []imageJSON    `json:"images"`
		Files    []fileJSON     `json:"files"`
		Actions  []actionJSON   `json:"actions"`
		Private  bool           `json:"private"`
		Form     *formJSON      `json:"form,omitempty"`
	}
	factJSON struct {
		Key   string   `json:"key"`
		Label string   `json:"label"`
		Value any      `json:"value"`
		Unit  string   `json:"unit"`
		Low   *float64 `json:"low,omitempty"`
		High  *float64 `json:"high,omitempty"`
		Text  string   `json:"text"`
	}
	cautionJSON struct {
		ID   string `json:"id"`
		Text string `json:"text"`
	}
	imageJSON struct {
		Name  string `json:"name"`
		Alt   string `json:"alt"`
		Bytes int    `json:"bytes"`
	}
	fileJSON struct {
		Name  string `json:"name"`
		Bytes int    `json:"bytes"`
	}
	actionJSON struct {
		ID    string `json:"id"`
		Label string `json:"label"`
	}
	formJSON struct {
		ID     string      `json:"id"`
		Fields []fieldJSON `json:"fields"`
	}
	fieldJSON struct {
		Name     string `json:"name"`
		Help     string `json:"help"`
		Required bool   `json:"required"`
		Value    string `json:"value"`
	}
	refusalJSON struct {
		OK    bool      `json:"ok"`
		Error errorJSON `json:"error"`
		// Actions are the same call with what would have been taken.
		Actions []actionJSON `json:"actions,omitempty"`
	}
	errorJSON struct {
		Code    string `json:"code"`
		Option  string `json:"option"`
		Message string `json:"message"`
		Hint    string `json:"hint"`
	}
)

// WriteJSON writes the answer as one object on one line. Texts are as the
// answer has them: encoding takes care of control characters.
func WriteJSON(w io.Writer, ans chat.Answer) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	var v any
	switch {
	case ans.Fault != nil:
		f := ans.Fault
		v = refusalJSON{Error: errorJSON{Code: string(f.Code), Option: f.Option, Message: f.Message, Hint: f.HintText()}, Actions: actions(ans.Actions)}
	case ans.Form != nil:
		v = formAnswer(ans)
	default:
		v = replyAnswer(ans)
	}
	if err := enc.Encode(v); err != nil {
		return fmt.Errorf("write the answer as JSON: %w", err)
	}
	return nil
}

func replyAnswer(ans chat.Answer) answerJSON {
	r := ans.Reply
	a := empty(ans.Command, r.Title, r.Private)
	for _, f := range r.Facts {
		a.Facts = append(a.Facts, factJSON{f.Key, f.Label, f.Value, f.Unit, f.Low, f.High, f.Text})
	}
	a.Steps = append(a.Steps, r.Steps...)
	a.Notes = append(a.Notes, r.Notes...)
	for _, c := range r.Cautions {
		a.Cautions = append(a.Cautions, cautionJSON{c.ID, c.Text})
	}
	a.Working = append(a.Working, r.Working...)
	for _, im := range r.Images {
		a.Images = append(a.Images, imageJSON{im.Name, im.Alt, len(im.Data)})
	}
	for _, f := range r.Files {
		a.Files = append(a.Files, fileJSON{f.Name, len(f.Data)})
	}
	a.Actions = append(a.Actions, actions(r.Actions)...)
	return a
}

func actions(of []chat.Action) (out []actionJSON) {
	for _, act := range of {
		out = append(out, actionJSON{act.ID, act.Label})
	}
	return out
}

// formAnswer is what a pressed button comes to that opens a form: nothing is
// answered yet, and the fields say what to send in with the form's id.
func formAnswer(ans chat.Answer) answerJSON {
	a := empty(ans.Command, ans.Form.Title, true)
	a.Form = &formJSON{ID: ans.Form.ID, Fields: []fieldJSON{}}
	for _, f := range ans.Form.Fields {
		a.Form.Fields = append(a.Form.Fields, fieldJSON{f.Name, f.Help, f.Required, f.Value})
	}
	return a
}

func empty(command, title string, private bool) answerJSON {
	return answerJSON{
		OK: true, Command: command, Title: title, Private: private,
		Facts: []factJSON{}, Steps: []string{}, Notes: []string{}, Cautions: []cautionJSON{}, Working: []working.Step{},
		Images: []imageJSON{}, Files: []fileJSON{}, Actions: []actionJSON{},
	}
}
