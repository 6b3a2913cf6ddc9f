package bench

import (
	"net/http"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
)

// fieldView is one option as an input of a form.
type fieldView struct {
	ID, Name, Label, Help, Like, Value string
	Input                              string // text, number, long, radio, select or file
	Needed                             bool
	Wrong                              bool // the refusal above is about this one
	Choices                            []choiceView
	List                               []suggestion // what completes the text
	Suggests                           bool
}

type choiceView struct {
	Value, Label string
	On           bool
}

// sectionView is fields that belong together. A folded one is closed until
// something stands in it.
type sectionView struct {
	Legend       string
	Folded, Open bool
	Fields       []fieldView
}

// radiosMost is how many choices are laid out side by side; more go into a
// list that opens.
const radiosMost = 5

// restMost is how many optional fields are shown unfolded.
const restMost = 4

// fieldOf makes the input for an option. id is unlike any other on the page.
func fieldOf(o chat.Option, id, value string) fieldView {
	f := fieldView{
		ID: id, Name: optionPrefix + o.Name, Label: label(o.Name),
		Help: o.Help, Like: o.Like, Value: value, Input: "text", Needed: o.Required,
	}
	switch o.Kind {
	case chat.Text:
		f.Suggests = o.Suggest != nil
		if o.Long {
			f.Input = "long"
		}
	case chat.Person:
		f.Suggests = o.Suggest != nil
	case chat.Count:
		f.Input = "number"
	case chat.OneWord:
		f.pick(o.Choices)
	case chat.YesNo:
		f.pick([]chat.Choice{{Value: "yes", Label: "Yes"}, {Value: "no", Label: "No"}})
	case chat.Attachment:
		f.Input, f.Value = "file", ""
	}
	return f
}

// pick makes the field a choice. One that is not needed can be left out.
func (f *fieldView) pick(choices []chat.Choice) {
	f.Input = "radio"
	if len(choices) > radiosMost {
		f.Input = "select"
	}
	all := choices
	if !f.Needed || f.Input == "select" {
		all = append([]chat.Choice{{Label: "not given"}}, choices...)
	}
	for _, c := range all {
		text := c.Label
		if text == "" {
			text = c.Value
		}
		on := chat.Fold(c.Value) == chat.Fold(f.Value) && (f.Value != "" || !f.Needed)
		f.Choices = append(f.Choices, choiceView{Value: c.Value, Label: text, On: on})
	}
}

// label is an option's name as people read it: "density_a" is Density A.
func label(option string) string {
	words := strings.FieldsFunc(option, func(r rune) bool { return r == '_' || r == '-' })
	for i, w := range words {
		if i == 0 || len(w) == 1 {
			words[i] = strings.ToUpper(w[:1]) + w[1:]
		}
	}
	return strings.Join(words, " ")
}

// sections lays out a sub's options: what is needed, then the groups of which
// one is needed, then the rest.
func (b *Bench) sections(r *http.Request, cmd *chat.Command, sub *chat.Sub, typed map[string]string, wrong string) []sectionView {
	placed := map[string]bool{}
	field := func(o chat.Option) fieldView {
		placed[o.Name] = true
		f := fieldOf(o, "f-"+o.Name, typed[o.Name])
		f.Wrong = o.Name == wrong
		if f.Suggests {
			f.List = b.values(r, cmd.Name, sub.Name, o.Name, map[string]string{})
		}
		return f
	}
	needed := sectionView{}
	for _, o := range sub.Options {
		if o.Required {
			needed.Fields = append(needed.Fields, field(o))
		}
	}
	all := []sectionView{needed}
	for _, group := range sub.OneOf {
		s := sectionView{Legend: "Give one of these"}
		for _, name := range group {
			if o, ok := sub.Option(name); ok && !placed[name] {
				s.Fields = append(s.Fields, field(o))
			}
		}
		all = append(all, s)
	}
	rest := sectionView{Legend: "May be left out"}
	for _, o := range sub.Options {
		if !placed[o.Name] {
			rest.Open = rest.Open || typed[o.Name] != "" || o.Name == wrong
			rest.Fields = append(rest.Fields, field(o))
		}
	}
	rest.Folded = len(rest.Fields) > restMost
	all = append(all, rest)
	return slices.DeleteFunc(all, func(s sectionView) bool { return len(s.Fields) == 0 })
}

// takesFile reports whether a form must be sent in parts.
func takesFile(sections []sectionView) bool {
	return slices.ContainsFunc(sections, func(s sectionView) bool {
		return slices.ContainsFunc(s.Fields, func(f fieldView) bool { return f.Input == "file" })
	})
}

// askPage shows a command's form, or the list of its subs.
func (b *Bench) askPage(w http.ResponseWriter, r *http.Request) {
	cmd, sub := b.declared(r)
	if cmd == nil || sub == nil && r.PathValue("sub") != "" {
		b.trouble(w, http.StatusNotFound, "There is no such command.")
		return
	}
	if sub == nil {
		b.showSubs(w, cmd)
		return
	}
	typed := map[string]string{}
	query := r.URL.Query()
	for name := range query {
		if o, ok := strings.CutPrefix(name, optionPrefix); ok {
			typed[o] = query.Get(name)
		}
	}
	b.showForm(w, r, http.StatusOK, cmd, sub, typed, nil)
}

func (b *Bench) showForm(w http.ResponseWriter, r *http.Request, status int, cmd *chat.Command, sub *chat.Sub, typed map[string]string, ans *chat.Answer) {
	v := formPage{
		frame:  b.frame("/" + cmd.Path(sub)),
		Path:   cmd.Path(sub),
		Help:   helpOf(cmd, sub),
		About:  cmd.About,
		Action: b.base + formPath(cmd, sub),
	}
	wrong := ""
	if ans != nil {
		v.Fault = faultOf(*ans)
		v.Fault.For, wrong = "f-"+ans.Fault.Option, ans.Fault.Option
		if _, declared := sub.Option(wrong); !declared {
			v.Fault.For = ""
		}
	}
	v.Sections = b.sections(r, cmd, sub, typed, wrong)
	v.Parts = takesFile(v.Sections)
	v.Suggest = strings.TrimPrefix(formPath(cmd, sub), "/ask/")
	b.render(w, status, "form", v)
}

func helpOf(cmd *chat.Command, sub *chat.Sub) string {
	if sub.Help != "" {
		return sub.Help
	}
	return cmd.Help
}

func (b *Bench) showSubs(w http.ResponseWriter, cmd *chat.Command) {
	v := subsPage{frame: b.frame("/" + cmd.Name), Path: cmd.Name, Help: cmd.Help, About: cmd.About}
	for i := range cmd.Subs {
		s := &cmd.Subs[i]
		v.Subs = append(v.Subs, linkView{Text: "/" + cmd.Path(s), Help: s.Help, URL: b.base + formPath(cmd, s)})
	}
	b.render(w, http.StatusOK, "subs", v)
}
