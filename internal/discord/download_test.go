package discord

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/discord/fake"
	"github.com/pourwright/pourwright/internal/fault"
)

// meshCall is /volume mesh with a file of that address and announced size.
func meshCall(t *testing.T, r *running, url string, size int) []byte {
	t.Helper()
	return r.Fresh(fake.With(t, fake.Example(t, "03_slash_attachment"), map[string]any{
		"data.resolved.attachments.715000000000000501.url":  url,
		"data.resolved.attachments.715000000000000501.size": size,
	}))
}

// TestAttachments fetches files as members send them, and refuses in words
// what must not be fetched.
func TestAttachments(t *testing.T) { bothWays(t, testAttachments) }

func testAttachments(t *testing.T, begin way) {
	s := fake.Start(t)
	r := begin(t, s, nil)
	stranger := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { t.Error("a stranger's server was asked") }))
	t.Cleanup(stranger.Close)
	data := []byte(strings.Repeat("facet ", 1000))
	cases := map[string]struct {
		url  string
		size int
		want string
	}{
		"good":            {s.AddFile("good.stl", data), len(data), fmt.Sprintf("viaduct\\_pier.stl has %d bytes", len(data))},
		"too large":       {s.AddFile("large.stl", data), maxDownload + 1, "at most 25 MB"},
		"empty":           {s.AddFile("empty.stl", nil), 0, "is empty"},
		"shorter":         {s.AddFile("short.stl", data), len(data) + 1, "arrived incomplete"},
		"longer":          {s.AddFile("long.stl", data), len(data) - 1, "longer than the service said"},
		"missing":         {"http://" + s.Host() + "/files/none", 10, "could not be fetched"},
		"redirect":        {s.AddBadFile("away.stl", data, fake.FileFault{Redirect: stranger.URL}), len(data), "could not be fetched"},
		"failing":         {s.AddBadFile("fail.stl", data, fake.FileFault{Status: 500}), len(data), "could not be fetched"},
		"another host":    {stranger.URL + "/x", 10, "can't be fetched"},
		"a file address":  {"file:///etc/passwd", 10, "can't be fetched"},
		"the real host":   {"https://cdn.discordapp.com/x", 10, "can't be fetched"},
		"unreadable":      {"http://%zz", 10, "can't be fetched"},
		"user in address": {"http://a@" + s.Host() + "/files/good.stl", 10, "can't be fetched"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			e := r.Send(meshCall(t, r, c.url, c.size))
			shown := e.Await()
			if e.Kind() != fake.Defer || !shown.Ephemeral || !strings.Contains(shown.Text(), c.want) {
				t.Errorf("answer %d: %q, want %q", e.Kind(), shown.Text(), c.want)
			}
		})
	}
}

// TestAttachmentInForm fetches a file that came with a form.
func TestAttachmentInForm(t *testing.T) { bothWays(t, testAttachmentInForm) }

func testAttachmentInForm(t *testing.T, begin way) {
	s := fake.Start(t)
	r := begin(t, s, nil)
	opened := r.Send(slash(t, r, "mold", sub("add"))).Await()
	url := s.AddFile("photo.jpg", []byte("picture"))
	sent := s.Submit(opened, map[string]any{"name": "pier", "photo": "715000000000000502"})
	sent = fake.With(t, sent, map[string]any{"data.resolved": map[string]any{"attachments": map[string]any{"715000000000000502": map[string]any{
		"id": "715000000000000502", "filename": "bench photo.jpg", "size": 7, "url": url, "proxy_url": url, "ephemeral": true}}}})
	r.Send(sent).Await()
	if f := r.bench.last(t).File("photo"); f.Name != "bench photo.jpg" || string(f.Data) != "picture" {
		t.Errorf("file %q of %d bytes", f.Name, len(f.Data))
	}
}

// TestDownloadHosts checks addresses as they come from the service itself.
func TestDownloadHosts(t *testing.T) {
	c, err := Config{Token: "x", Now: func() time.Time { return testTime }}.settle()
	if err != nil {
		t.Fatal(err)
	}
	d := newDownloader(c)
	ex := func(offset time.Duration) string { return fmt.Sprintf("?ex=%x&is=0&hm=0", testTime.Add(offset).Unix()) }
	for url, ok := range map[string]bool{
		"https://cdn.discordapp.com/ephemeral-attachments/1/2/a.stl" + ex(time.Hour): true,
		"https://media.discordapp.net/a b.stl" + ex(time.Hour):                       true,
		"https://cdn.discordapp.com/a":                                               true,
		"https://cdn.discordapp.com/a" + ex(-time.Second):                            false,
		"https://cdn.discordapp.com/a?ex=zz":                                         false,
		"http://cdn.discordapp.com/a":                                                false,
		"https://cdn.discordapp.com:444/a":                                           false,
		"https://cdn.discordapp.com.example.org/a":                                   false,
		"https://xcdn.discordapp.com/a":                                              false,
		"https://CDN.discordapp.com@example.org/a":                                   false,
		"https://user@cdn.discordapp.com/a":                                          false,
		"http://127.0.0.1/a":                                                         false,
		"https://169.254.169.254/latest":                                             false,
		"cdn.discordapp.com/a":                                                       false,
		"":                                                                           false,
	} {
		if _, err := d.allowed(url); (err == nil) != ok {
			t.Errorf("%q: %v", url, err)
		}
	}
}

// TestDownloadPrivate refuses addresses inside networks even where a name of
// the service's leads there. The ranges are those of the IANA special-purpose
// address registries (RFC 6890 and its updates).
func TestDownloadPrivate(t *testing.T) {
	for addr, public := range map[string]bool{
		"93.184.216.34": true, "2606:4700::1111": true,
		"127.0.0.1": false, "10.0.0.1": false, "172.16.5.4": false, "192.168.0.1": false, "169.254.169.254": false, "0.0.0.0": false,
		"100.64.0.1": false, "224.0.0.1": false, "255.255.255.255": false, "192.0.2.1": false, "198.18.0.1": false, "203.0.113.9": false,
		"::1": false, "::": false, "fe80::1": false, "fc00::1": false, "ff02::1": false, "2001:db8::1": false, "::ffff:10.0.0.1": false,
		"64:ff9b::a00:1": false, "2002:a00:1::": false,
	} {
		if got := isPublic(netip.MustParseAddr(addr)); got != public {
			t.Errorf("%s: public %v, want %v", addr, got, public)
		}
	}
	c, err := Config{Token: "x"}.settle()
	if err != nil {
		t.Fatal(err)
	}
	if err := newDownloader(c).control("tcp", "10.0.0.1:443", nil); err == nil {
		t.Error("a private address was dialed")
	}
}

// TestDownloadMemory hands no more bytes out at once than are allowed, and
// takes them back.
func TestDownloadMemory(t *testing.T) {
	s := fake.Start(t)
	c, err := Config{Token: "x", APIBase: s.APIBase()}.settle()
	if err != nil {
		t.Fatal(err)
	}
	d := newDownloader(c)
	data := make([]byte, 1<<20)
	f := RemoteFile{Name: "a.stl", URL: s.AddFile("a.stl", data), Size: int64(len(data))}
	if !d.memory.TryAcquire(maxDownloads - 1<<20) {
		t.Fatal("no memory to begin with")
	}
	_, release, err := d.fetch(t.Context(), f)
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := d.fetch(within(t, 50*time.Millisecond), f); !fault.Is(err, fault.Busy) {
		t.Errorf("past the limit: %v", err)
	}
	release()
	if _, release, err = d.fetch(t.Context(), f); err != nil {
		t.Errorf("after giving back: %v", err)
	}
	release()
}

func TestFileName(t *testing.T) {
	for in, want := range map[string]string{
		"viaduct pier.stl": "viaduct pier.stl", "../../x.stl": "x.stl", `..\..\x.stl`: "x.stl", "/etc/passwd": "passwd", "": "file", "..": "file",
		"a\u202egnp.stl": "agnp.stl", "a\x00b\n.stl": "ab.stl", strings.Repeat("é", 100) + ".stl": strings.Repeat("é", 76) + ".stl",
	} {
		if got := fileName(in); got != want {
			t.Errorf("fileName(%q) = %q, want %q", in, got, want)
		}
	}
}
