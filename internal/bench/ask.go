package bench

import (
	"context"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

// optionPrefix sets options apart from the fields of a form that are ours.
const optionPrefix = "o."

// call is what all invocations from this page have in common.
func (b *Bench) call() chat.Invocation {
	return chat.Invocation{
		At:        b.cfg.Now(),
		MemberKey: b.cfg.MemberKey, MemberName: b.cfg.MemberName,
		ShopKey: b.cfg.ShopKey, ShopName: b.cfg.ShopName,
		Founds: true,
		Forms:  true,
		Alone:  true,
	}
}

// do calls the desk, with an end to it.
func (b *Bench) do(r *http.Request, inv chat.Invocation) chat.Answer {
	ctx, cancel := context.WithTimeout(r.Context(), callMost)
	defer cancel()
	return b.cfg.Desk.Do(ctx, inv)
}

// show keeps an entry and sends the browser to it, so that loading the page
// again asks nothing again.
func (b *Bench) show(w http.ResponseWriter, r *http.Request, e entry, replace int) {
	id, err := b.say(r.Context(), e, replace)
	if err != nil {
		b.cfg.Log.Error("keep an answer", "error", err)
		b.trouble(w, http.StatusInternalServerError, "The answer could not be kept. The log says why.")
		return
	}
	http.Redirect(w, r, b.base+"/#a"+strconv.Itoa(id), http.StatusSeeOther)
}

// line answers the command box.
func (b *Bench) line(w http.ResponseWriter, r *http.Request) {
	got, release, err := b.readBody(w, r)
	defer release()
	if err != nil {
		b.troubleBody(w, err)
		return
	}
	inv := b.call()
	inv.Line = strings.TrimSpace(got.fields["line"])
	if inv.Line == "" && len(got.files) == 0 {
		http.Redirect(w, r, b.base+"/", http.StatusSeeOther)
		return
	}
	e := entry{asked: inv.Line, again: lineAgain(inv.Line)}
	if f, ok := got.files["file"]; ok {
		inv.Files = map[string]chat.File{"": f}
		e.file = f.Name
	}
	if got.tooLarge != "" {
		e.ans = chat.Answer{Fault: b.faultTooLarge("")}
	} else {
		e.ans = b.do(r, inv)
	}
	b.show(w, r, e, 0)
}

// lineAgain is where the command box holds the line, to be changed.
func lineAgain(line string) string {
	if !strings.HasPrefix(line, "/") {
		return ""
	}
	return "/?line=" + url.QueryEscape(line)
}

// press answers a button. An answer that takes the place of the pressed one
// does so here too; a refusal only takes the place of another refusal.
func (b *Bench) press(w http.ResponseWriter, r *http.Request) {
	got, release, err := b.readBody(w, r)
	defer release()
	if err != nil {
		b.troubleBody(w, err)
		return
	}
	of, _ := strconv.Atoi(got.fields["of"]) // not a number: of no entry
	old, known := b.said.find(of)
	inv := b.call()
	inv.Press = got.fields["id"]
	ans := b.do(r, inv)
	e := entry{asked: old.label(inv.Press, ans), ans: ans}
	replace := 0
	if known && ans.Replace && (ans.Fault == nil || old.ans.Fault != nil) {
		replace = of
	}
	b.show(w, r, e, replace)
}

// label is what stands on the button, or else what was run by it.
func (e entry) label(id string, ans chat.Answer) string {
	actions := e.ans.Actions
	if e.ans.Reply != nil {
		actions = append(slices.Clip(actions), e.ans.Reply.Actions...)
	}
	for _, a := range actions {
		if a.ID == id {
			return a.Label
		}
	}
	return "/" + ans.Command
}

// fill answers a form that an answer opened.
func (b *Bench) fill(w http.ResponseWriter, r *http.Request) {
	got, release, err := b.readBody(w, r)
	defer release()
	if err != nil {
		b.troubleBody(w, err)
		return
	}
	of, _ := strconv.Atoi(got.fields["of"]) // not a number: of no entry
	old, _ := b.said.find(of)
	inv := b.call()
	inv.Press, inv.Filled, inv.Files = got.fields["id"], got.options(true), got.optionFiles()
	e := entry{asked: old.asked, again: old.again, ans: b.answerTo(r, inv, got)}
	if e.asked == "" {
		e.asked = "/" + e.ans.Command
	}
	if e.ans.Fault != nil {
		e.form, e.typed = old.open(), inv.Filled
	}
	b.show(w, r, e, of)
}

// open is the form that the entry shows.
func (e entry) open() *chat.OpenForm {
	if e.ans.Form != nil {
		return e.ans.Form
	}
	return e.form
}

// answerTo calls the desk unless a file was too large to be handed on.
func (b *Bench) answerTo(r *http.Request, inv chat.Invocation, got body) chat.Answer {
	if got.tooLarge == "" {
		return b.do(r, inv)
	}
	return chat.Answer{Fault: b.faultTooLarge(strings.TrimPrefix(got.tooLarge, optionPrefix)), Private: true}
}

// ask answers a command's own form.
func (b *Bench) ask(w http.ResponseWriter, r *http.Request) {
	cmd, sub := b.declared(r)
	if sub == nil {
		b.trouble(w, http.StatusNotFound, "There is no such command.")
		return
	}
	got, release, err := b.readBody(w, r)
	defer release()
	if err != nil {
		b.troubleBody(w, err)
		return
	}
	inv := b.call()
	inv.Command, inv.Sub, inv.Forms = cmd.Name, sub.Name, false
	inv.Raw, inv.Files = got.options(false), got.optionFiles()
	typed := inv.Raw
	ans := b.answerTo(r, inv, got)
	if ans.Fault != nil {
		status := http.StatusUnprocessableEntity
		if ans.Fault.Code == fault.Internal {
			status = http.StatusInternalServerError
		}
		b.showForm(w, r, status, cmd, sub, typed, &ans)
		return
	}
	b.show(w, r, entry{asked: askedLine(cmd, sub, typed), again: askAgain(cmd, sub, typed, inv.Files), ans: ans}, 0)
}

func askedLine(cmd *chat.Command, sub *chat.Sub, raw map[string]string) string {
	order := make([]string, len(sub.Options))
	for i, o := range sub.Options {
		order[i] = o.Name
	}
	return chat.FormatLine(cmd.Path(sub), raw, order)
}

// askAgain is the form with its fields filled. A file can't be filled in.
func askAgain(cmd *chat.Command, sub *chat.Sub, raw map[string]string, files map[string]chat.File) string {
	q := url.Values{}
	for name, v := range raw {
		if _, isFile := files[name]; !isFile {
			q.Set(optionPrefix+name, v)
		}
	}
	return formPath(cmd, sub) + "?" + q.Encode()
}

// formPath is where the form of a sub is, below base.
func formPath(cmd *chat.Command, sub *chat.Sub) string {
	if sub.Name == "" {
		return "/ask/" + cmd.Name
	}
	return "/ask/" + cmd.Name + "/" + sub.Name
}

// declared finds the command and sub that the path names, nil if none.
func (b *Bench) declared(r *http.Request) (*chat.Command, *chat.Sub) {
	for _, c := range b.cfg.Desk.Commands() {
		if c.Name == r.PathValue("command") {
			s, _ := c.Sub(r.PathValue("sub"))
			return c, s
		}
	}
	return nil, nil
}

// options are the option fields that were sent in, with or without the empty
// ones. A file stands there by its name.
func (g body) options(empty bool) map[string]string {
	raw := map[string]string{}
	for name, v := range g.fields {
		o, ok := strings.CutPrefix(name, optionPrefix)
		if ok && (empty || strings.TrimSpace(v) != "") {
			// A form sends a new line as CR LF (HTML standard, 4.10.22.4).
			raw[o] = strings.ReplaceAll(v, "\r\n", "\n")
		}
	}
	for o, f := range g.optionFiles() {
		raw[o] = f.Name
	}
	return raw
}

func (g body) optionFiles() map[string]chat.File {
	files := map[string]chat.File{}
	for name, f := range g.files {
		if o, ok := strings.CutPrefix(name, optionPrefix); ok {
			files[o] = f
		}
	}
	return files
}
