package bench

import (
	"embed"
	"fmt"
	"html/template"
	"net/http"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
)

//go:embed page
var assets embed.FS

// pages are the templates by name.
type pages map[string]*template.Template

// readPages reads the templates: each page is the frame, the shared parts and
// its own file.
func readPages() (pages, error) {
	all := pages{}
	for _, name := range []string{"home", "form", "subs", "trouble"} {
		t, err := template.New("frame.html").Funcs(template.FuncMap{
			"clock": func(t time.Time) string { return t.Format("15:04") },
			"stamp": func(t time.Time) string { return t.UTC().Format(time.RFC3339) },
			// args hands several values to a shared part.
			"args": func(all ...any) []any { return all },
		}).ParseFS(assets, "page/frame.html", "page/card.html", "page/field.html", "page/"+name+".html")
		if err != nil {
			return nil, fmt.Errorf("read the page %s: %w", name, err)
		}
		all[name] = t
	}
	return all, nil
}

// frame is what every page shows around its own.
type frame struct {
	Title        string
	Base, Token  string
	Shop, Member string
	Board        bool
}

type linkView struct{ Text, Help, URL string }

// askView is a question people ask. Pressing one that only looks asks it; one
// that changes what is kept is laid into the command box first.
type askView struct {
	Question, Line, URL string
}

type guideView struct {
	linkView
	Asks []askView
}

type homeView struct {
	frame
	Line  string // what the command box holds
	Marks int    // entries added so far, for the page to know what is new
	Cards []cardView
	Guide []guideView
}

type formPage struct {
	frame
	Path, Help, About string
	Action, Suggest   string // where the form goes; what completes it, below /suggest/
	Sections          []sectionView
	Parts             bool
	Fault             *faultView
}

type subsPage struct {
	frame
	Path, Help, About string
	Subs              []linkView
}

type troubleView struct {
	frame
	Text string
}

func (b *Bench) frame(title string) frame {
	return frame{
		Title: title, Base: b.base, Token: b.token,
		Board: b.cfg.Board != nil,
		Shop:  named(b.cfg.ShopName, b.cfg.ShopKey), Member: named(b.cfg.MemberName, b.cfg.MemberKey),
	}
}

// named is a name, or else the key without its namespace.
func named(name, key string) string {
	if name != "" {
		return name
	}
	_, bare, _ := strings.Cut(key, ":")
	return bare
}

// home is the conversation, newest first, and what can be asked.
func (b *Bench) home(w http.ResponseWriter, r *http.Request) {
	v := homeView{frame: b.frame(""), Line: r.URL.Query().Get("line"), Guide: b.guide()}
	v.Marks, _ = b.said.wait() // before all: what comes between is told again
	for _, e := range b.said.all() {
		v.Cards = append(v.Cards, b.card(e))
	}
	b.render(w, http.StatusOK, "home", v)
}

// guide lists the commands with the questions that each answers.
func (b *Bench) guide() []guideView {
	var all []guideView
	for _, c := range b.cfg.Desk.Commands() {
		g := guideView{linkView: linkView{Text: "/" + c.Name, Help: c.Help, URL: b.base + "/ask/" + c.Name}}
		for _, a := range c.Asks {
			view := askView{Question: a.Question, Line: a.Line}
			if writes(c, a.Line) {
				view.URL = b.base + lineAgain(a.Line)
			}
			g.Asks = append(g.Asks, view)
		}
		all = append(all, g)
	}
	return all
}

// writes reports whether a line of the command changes what is kept.
func writes(c *chat.Command, line string) bool {
	words := append(strings.Fields(line), "")
	s, ok := c.Sub("")
	if !ok {
		s, ok = c.Sub(words[min(1, len(words)-1)])
	}
	return ok && s.Writes
}

// kinds are the media types of what comes with the page.
var kinds = map[string]string{
	"bench.css": "text/css; charset=utf-8",
	"bench.js":  "text/javascript; charset=utf-8",
	"icon.svg":  "image/svg+xml",
}

// asset serves the style, the script and the icon.
func (b *Bench) asset(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("name")
	kind, ok := kinds[name]
	if !ok {
		b.trouble(w, http.StatusNotFound, "There is no such page.")
		return
	}
	data, err := assets.ReadFile("page/" + name)
	if err != nil {
		b.cfg.Log.Error("read what comes with the page", "name", name, "error", err)
		b.refuse(w, http.StatusInternalServerError, "The page could not be made. The log says why.")
		return
	}
	b.bytes(w, kind, data)
}
