package fake

import (
	"bytes"
	"fmt"
	"net/http"
	"strconv"
	"time"
)

// file is something that members can attach.
type file struct {
	data     []byte
	delay    time.Duration
	redirect string
	status   int
}

// FileFault changes how a file is served.
type FileFault struct {
	Delay    time.Duration
	Redirect string // where to send the client instead
	Status   int
}

// AddFile puts a file where attachments come from, and returns its address
// with the signature's parts, valid for an hour.
func (s *Server) AddFile(name string, data []byte) string {
	return s.AddBadFile(name, data, FileFault{})
}

// AddBadFile is AddFile for a file that is not served as it should be.
func (s *Server) AddBadFile(name string, data []byte, f FileFault) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.files[name] = &file{data: data, delay: f.Delay, redirect: f.Redirect, status: f.Status}
	return fmt.Sprintf("%s/files/%s?ex=%s&is=0&hm=0&", s.http.URL, name, strconv.FormatInt(time.Now().Add(time.Hour).Unix(), 16))
}

func (s *Server) serveFile(w http.ResponseWriter, r *http.Request) {
	s.mu.Lock()
	f := s.files[r.PathValue("name")]
	if r.Header.Get("Authorization") != "" {
		s.violate("a file was fetched with an Authorization header")
	}
	s.mu.Unlock()
	switch {
	case f == nil:
		http.NotFound(w, r)
		return
	case f.redirect != "":
		http.Redirect(w, r, f.redirect, http.StatusFound)
		return
	case f.status != 0:
		w.WriteHeader(f.status)
		return
	}
	select {
	case <-time.After(f.delay):
	case <-r.Context().Done():
		return
	}
	http.ServeContent(w, r, r.PathValue("name"), time.Time{}, bytes.NewReader(f.data))
}
