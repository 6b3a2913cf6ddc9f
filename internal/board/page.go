package board

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"net/http"
	"strconv"
)

//go:embed page
var assets embed.FS

// kinds are the media types of what comes with the page.
var kinds = map[string]string{
	"board.css": "text/css; charset=utf-8",
	"board.js":  "text/javascript; charset=utf-8",
	"icon.svg":  "image/svg+xml",
}

// page are the templates: the whole page, and what changes on it.
type page struct{ all *template.Template }

func readPage() (*page, error) {
	t, err := template.ParseFS(assets, "page/board.html")
	if err != nil {
		return nil, fmt.Errorf("read the page of the board: %w", err)
	}
	return &page{t}, nil
}

// live is what changes on the page.
func (p *page) live(v view) ([]byte, error) { return p.made("live", v) }

// wholeView is the page around what changes.
type wholeView struct {
	view
	Mark string
	Live template.HTML
}

// whole is the page. What changes was made by the same templates, so it is
// safe as it is.
func (p *page) whole(s still) ([]byte, error) {
	return p.made("whole", wholeView{view: s.view, Mark: s.mark, Live: template.HTML(s.html)}) //nolint:gosec // our own template's
}

func (p *page) made(name string, v any) ([]byte, error) {
	var out bytes.Buffer
	if err := p.all.ExecuteTemplate(&out, name, v); err != nil {
		return nil, fmt.Errorf("fill the template %s: %w", name, err)
	}
	return out.Bytes(), nil
}

func write(w http.ResponseWriter, kind string, data []byte) {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Length", strconv.Itoa(len(data)))
	_, _ = w.Write(data) // a reader that is gone needs no answer
}
