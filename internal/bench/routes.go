package bench

import (
	"bytes"
	"encoding/json"
	"errors"
	"mime"
	"net/http"
	"strconv"
	"strings"
)

// handler is every page there is, behind the guard.
func (b *Bench) handler() http.Handler {
	mux := http.NewServeMux()
	on := func(pattern string, h http.HandlerFunc) {
		method, path, _ := strings.Cut(pattern, " ")
		mux.HandleFunc(method+" "+b.base+path, h)
	}
	on("GET /{$}", b.home)
	on("GET /ask/{command}", b.askPage)
	on("GET /ask/{command}/{sub}", b.askPage)
	on("POST /ask/{command}", b.ask)
	on("POST /ask/{command}/{sub}", b.ask)
	on("POST /line", b.line)
	on("POST /press", b.press)
	on("POST /fill", b.fill)
	on("GET /news", b.news)
	on("GET /complete", b.complete)
	on("GET /suggest/{command}", b.suggest)
	on("GET /suggest/{command}/{sub}", b.suggest)
	on("GET /picture/{key}", b.picture)
	on("GET /file/{key}", b.file)
	on("GET /page/{name}", b.asset)
	if b.cfg.Board != nil {
		at := b.base + "/board"
		mux.Handle("GET "+at+"/", http.StripPrefix(at, b.cfg.Board))
		mux.Handle("GET "+at, http.RedirectHandler(at+"/", http.StatusSeeOther))
	}
	on("GET /", func(w http.ResponseWriter, r *http.Request) {
		b.trouble(w, http.StatusNotFound, "There is no such page.")
	})
	mux.Handle("GET "+b.base, http.RedirectHandler(b.base+"/", http.StatusSeeOther))
	return b.guard(mux)
}

// render writes a page, or nothing of it if it can't be made whole.
func (b *Bench) render(w http.ResponseWriter, status int, name string, view any) {
	var page bytes.Buffer
	if err := b.pages[name].Execute(&page, view); err != nil {
		b.cfg.Log.Error("make a page", "page", name, "error", err)
		b.refuse(w, http.StatusInternalServerError, "The page could not be made. The log says why.")
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = page.WriteTo(w) // a reader that is gone needs no answer
}

// trouble is a page for a request that is no call.
func (b *Bench) trouble(w http.ResponseWriter, status int, text string) {
	b.render(w, status, "trouble", troubleView{frame: b.frame("Not done"), Text: text})
}

// troubleBody answers a form that could not be read.
func (b *Bench) troubleBody(w http.ResponseWriter, err error) {
	switch {
	case errors.Is(err, errToken):
		b.trouble(w, http.StatusForbidden, "This page is from another run of the program. Load it again, then send the form.")
	case errors.Is(err, errLarge):
		b.trouble(w, http.StatusRequestEntityTooLarge, "That is more than is read here. Shorten the text or send a smaller file.")
	default:
		b.trouble(w, http.StatusBadRequest, "The form did not come through whole. Go back and send it again.")
	}
}

// picture serves a picture of an answer.
func (b *Bench) picture(w http.ResponseWriter, r *http.Request) {
	p, ok := b.said.blob(r.PathValue("key"))
	if !ok || p.kind != "image/png" {
		b.trouble(w, http.StatusNotFound, "This picture is no longer kept. Ask again.")
		return
	}
	b.bytes(w, p.kind, p.data)
}

// file serves a file of an answer, always to be saved and never to be shown:
// its bytes may be a stranger's.
func (b *Bench) file(w http.ResponseWriter, r *http.Request) {
	f, ok := b.said.blob(r.PathValue("key"))
	if !ok {
		b.trouble(w, http.StatusNotFound, "This file is no longer kept. Ask again.")
		return
	}
	w.Header().Set("Content-Disposition", attachment(f.name))
	b.bytes(w, "application/octet-stream", f.data)
}

// attachment names a download; a name that no header can hold is left out.
func attachment(name string) string {
	if d := mime.FormatMediaType("attachment", map[string]string{"filename": name}); d != "" {
		return d
	}
	return "attachment"
}

func (b *Bench) bytes(w http.ResponseWriter, kind string, data []byte) {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Length", strconv.Itoa(len(data)))
	_, _ = w.Write(data) // a reader that is gone needs no answer
}

func (b *Bench) json(w http.ResponseWriter, v any) {
	data, err := json.Marshal(v)
	if err != nil {
		b.cfg.Log.Error("write a suggestion", "error", err)
		b.refuse(w, http.StatusInternalServerError, "The suggestions could not be made. The log says why.")
		return
	}
	b.bytes(w, "application/json", data)
}
