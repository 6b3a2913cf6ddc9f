package discord

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"path"
	"strconv"
	"strings"
	"syscall"
	"time"
	"unicode"

	"golang.org/x/sync/semaphore"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

const (
	// maxDownload is the largest file that is fetched: a mesh of half a million
	// triangles in binary STL. maxDownloads bounds what all files at hand take.
	maxDownload  = 25 << 20
	maxDownloads = 4 * maxDownload
	downloadTime = 10 * time.Second
)

// fileHosts are where the service keeps members' files (Reference, "CDN").
var fileHosts = []string{"cdn.discordapp.com", "media.discordapp.net"}

// downloader fetches files that members attached.
type downloader struct {
	client *http.Client
	// local is host:port of a test service on this machine, or "".
	local  string
	now    func() time.Time
	memory *semaphore.Weighted
}

func newDownloader(c settled) *downloader {
	d := &downloader{now: c.Now, memory: semaphore.NewWeighted(maxDownloads)}
	if c.loopback {
		d.local = c.base.Host
	}
	dialer := &net.Dialer{Timeout: 5 * time.Second, Control: d.control}
	d.client = &http.Client{
		Timeout: downloadTime,
		Transport: &http.Transport{
			DialContext:           dialer.DialContext,
			TLSHandshakeTimeout:   5 * time.Second,
			ResponseHeaderTimeout: downloadTime,
			DisableCompression:    true,
			DisableKeepAlives:     true,
		},
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}
	return d
}

// control refuses addresses that are not public, after names are resolved.
func (d *downloader) control(_, address string, _ syscall.RawConn) error {
	addr, err := netip.ParseAddrPort(address)
	if err != nil {
		return fmt.Errorf("dial address: %w", err)
	}
	if d.local != "" {
		if addr.Addr().Unmap().IsLoopback() {
			return nil
		}
		return errors.New("not on this machine")
	}
	if !isPublic(addr.Addr()) {
		return errors.New("not a public address")
	}
	return nil
}

// notPublic are ranges of the IANA special-purpose registries (RFC 6890) that
// netip has no method for.
var notPublic = []netip.Prefix{
	netip.MustParsePrefix("0.0.0.0/8"), netip.MustParsePrefix("100.64.0.0/10"), netip.MustParsePrefix("192.0.0.0/24"),
	netip.MustParsePrefix("192.0.2.0/24"), netip.MustParsePrefix("198.18.0.0/15"), netip.MustParsePrefix("198.51.100.0/24"),
	netip.MustParsePrefix("203.0.113.0/24"), netip.MustParsePrefix("240.0.0.0/4"), netip.MustParsePrefix("64:ff9b::/96"),
	netip.MustParsePrefix("64:ff9b:1::/48"), netip.MustParsePrefix("100::/64"), netip.MustParsePrefix("2001::/23"),
	netip.MustParsePrefix("2001:db8::/32"), netip.MustParsePrefix("2002::/16"),
}

func isPublic(a netip.Addr) bool {
	a = a.Unmap()
	if !a.IsGlobalUnicast() || a.IsPrivate() || a.IsLoopback() || a.IsLinkLocalUnicast() {
		return false
	}
	for _, p := range notPublic {
		if p.Contains(a) {
			return false
		}
	}
	return true
}

// fetch downloads one file. release gives its memory back and is never nil.
// Errors are faults for the member; none holds the address.
func (d *downloader) fetch(ctx context.Context, f RemoteFile) (file chat.File, release func(), err error) {
	release = func() {}
	name := fileName(f.Name)
	if f.Size > maxDownload {
		return file, release, fault.New(fault.FileTooLarge, "%s has %d MB, at most %d MB are read", name, f.Size>>20, maxDownload>>20).
			Hint("attach a smaller file, such as a mesh with fewer triangles")
	}
	if f.Size <= 0 {
		return file, release, fault.New(fault.BadFile, "%s is empty", name).Hint("attach it again")
	}
	address, err := d.allowed(f.URL)
	if err != nil {
		return file, release, fault.New(fault.BadFile, "%s can't be fetched", name).Hint("attach it again").Because(err)
	}
	ctx, cancel := context.WithTimeout(ctx, downloadTime)
	defer cancel()
	if err := d.memory.Acquire(ctx, f.Size); err != nil {
		return file, release, fault.New(fault.Busy, "too many files are being read just now").Hint("try again in a minute").Because(err)
	}
	data, err := d.get(ctx, address, f.Size)
	if err != nil {
		d.memory.Release(f.Size)
		if fault.As(err) != nil {
			return file, release, err
		}
		return file, release, fault.New(fault.Unavailable, "%s could not be fetched", name).
			Hint("try again; if it stays, attach the file again").Because(err)
	}
	return chat.File{Name: name, Data: data}, func() { d.memory.Release(f.Size) }, nil
}

// allowed checks an address against the hosts and against its own expiry.
func (d *downloader) allowed(text string) (*url.URL, error) {
	u, err := url.Parse(text)
	if err != nil {
		return nil, errors.New("the address can't be read")
	}
	if u.User != nil || u.Opaque != "" {
		return nil, errors.New("the address has a user in it")
	}
	if d.local != "" {
		if u.Host != d.local || u.Scheme != "http" && u.Scheme != "https" {
			return nil, errors.New("the host is not the test service")
		}
		return u, nil
	}
	if u.Scheme != "https" {
		return nil, errors.New("the address is not encrypted")
	}
	for _, host := range fileHosts {
		if u.Host == host {
			return u, d.fresh(u)
		}
	}
	return nil, errors.New("the host is not one of the service's")
}

// fresh reads the expiry that signed addresses carry, in hex seconds.
func (d *downloader) fresh(u *url.URL) error {
	ex := u.Query().Get("ex")
	if ex == "" {
		return nil
	}
	at, err := strconv.ParseInt(ex, 16, 64)
	if err != nil {
		return errors.New("the address has an expiry that can't be read")
	}
	if d.now().After(time.Unix(at, 0)) {
		return errors.New("the address has expired")
	}
	return nil
}

// get reads exactly size bytes, no more than that ever.
func (d *downloader) get(ctx context.Context, u *url.URL, size int64) ([]byte, error) {
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, u.String(), nil)
	if err != nil {
		return nil, withoutURL(err)
	}
	response, err := d.client.Do(request)
	if err != nil {
		return nil, withoutURL(err)
	}
	defer response.Body.Close()
	if response.StatusCode != http.StatusOK {
		return nil, fmt.Errorf("status %d", response.StatusCode)
	}
	data := make([]byte, size)
	n, err := io.ReadFull(response.Body, data)
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return nil, fault.New(fault.BadFile, "the file arrived incomplete: %d of %d bytes", n, size).Hint("attach it again")
	case err != nil:
		return nil, err
	}
	if extra, _ := io.ReadFull(response.Body, make([]byte, 1)); extra > 0 {
		return nil, fault.New(fault.BadFile, "the file is longer than the service said (%d bytes)", size).Hint("attach it again")
	}
	return data, nil
}

// fileName is the base name of what a member called the file, without control
// characters and at most 80 characters long.
func fileName(name string) string {
	name = path.Base(strings.ReplaceAll(name, `\`, "/"))
	name = strings.Map(func(r rune) rune {
		if r == unicode.ReplacementChar || !unicode.IsPrint(r) || unicode.Is(unicode.Bidi_Control, r) {
			return -1
		}
		return r
	}, name)
	name = strings.TrimSpace(name)
	if name == "" || name == "." || name == ".." || name == "/" {
		return "file"
	}
	if runes := []rune(name); len(runes) > 80 {
		ext := []rune(path.Ext(name))
		if len(ext) > 8 {
			ext = ext[:8]
		}
		name = string(runes[:80-len(ext)]) + string(ext)
	}
	return name
}
