package library_test

import (
	"net/url"
	"strings"
	"testing"
	"unicode"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
)

func TestLink(t *testing.T) {
	for link, ok := range map[string]bool{
		"https://example.org/x.jpg": true, "https://example.org:8443/a_b*c.jpg?size=2&of=1#top": true, "https://[2001:db8::1]/x": true,
		"": false, "https://": false, "https://:80/": false, "https:/example.org": false, "HTTPS://example.org": false, "http://example.org": false,
		"https://ada@example.org": false, "https://ex ample.org": false, "https://example.org/\n": false, "https://ex\u0430mple.org/": false,
		"https://example.org/)](javascript:alert(1)": true, // text, wherever it is shown
		"https://example.org/<@1>":                   false, "https://example.org/%zz": false,
	} {
		err := library.Link("photo", link)
		if f := fault.As(err); ok != (err == nil) || err != nil && (f == nil || f.Code != fault.BadFile || f.Option != "photo" || f.HintText() == "") {
			t.Errorf("%q: got %v, want taken %v", link, err, ok)
		}
	}
}

// What is taken as a link is one to a named host over https and nothing else.
func FuzzLink(f *testing.F) {
	for _, seed := range []string{"https://example.org/x.jpg", "https://a@b/", "https://b\\c", "https://%41.example/", "https://[::1]:1/", "javascript:1", "https://x/\u202e"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, link string) {
		if library.Link("photo", link) != nil {
			return
		}
		u, err := url.Parse(link)
		if err != nil || u.Scheme != "https" || u.Hostname() == "" || u.User != nil || strings.ContainsFunc(link, func(r rune) bool { return unicode.IsSpace(r) || unicode.IsControl(r) || r > unicode.MaxASCII }) {
			t.Errorf("%q was taken: %+v, %v", link, u, err)
		}
	})
}
