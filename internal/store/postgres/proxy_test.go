package postgres_test

import (
	"bytes"
	"io"
	"net"
	"net/url"
	"sync"
	"sync/atomic"
	"testing"
)

// proxy stands between the store and the server, and breaks connections as a
// server does that falls over.
type proxy struct {
	address string // of the database, through here
	server  string // host and port behind
	front   net.Listener
	fate    atomic.Int32
	mu      sync.Mutex
	open    map[net.Conn]bool
	all     sync.WaitGroup
}

// What becomes of the next commit.
const (
	commitGoes     int32 = iota
	commitUnheard        // it does not reach the server
	commitUnspoken       // it does, but its answer does not come back
)

func newProxy(t testing.TB, database string) *proxy {
	t.Helper()
	u, err := url.Parse(database)
	if err != nil {
		t.Fatal(err)
	}
	front, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	p := &proxy{server: u.Host, front: front, open: map[net.Conn]bool{}}
	if u.Port() == "" {
		p.server = net.JoinHostPort(u.Hostname(), "5432")
	}
	u.Host = front.Addr().String()
	q := u.Query()
	q.Set("sslmode", "disable") // what goes by has to be readable here
	u.RawQuery = q.Encode()
	p.address = u.String()
	p.all.Go(p.accept)
	t.Cleanup(func() {
		front.Close()
		p.cut()
		p.all.Wait()
	})
	return p
}

func (p *proxy) accept() {
	for {
		in, err := p.front.Accept()
		if err != nil {
			return
		}
		out, err := net.Dial("tcp", p.server)
		if err != nil {
			in.Close()
			continue
		}
		p.mu.Lock()
		p.open[in], p.open[out] = true, true
		p.mu.Unlock()
		p.all.Go(func() { p.up(in, out) })
		p.all.Go(func() { io.Copy(in, out); p.end(in, out) })
	}
}

// up carries to the server what the program says, but for an ill-fated commit.
func (p *proxy) up(in, out net.Conn) {
	defer p.end(in, out)
	buf := make([]byte, 64<<10)
	for {
		n, err := in.Read(buf)
		if err != nil {
			return
		}
		if bytes.Contains(bytes.ToLower(buf[:n]), []byte("commit\x00")) {
			switch p.fate.Swap(commitGoes) {
			case commitUnheard:
				return
			case commitUnspoken:
				in.Close()
				out.Write(buf[:n])
				io.Copy(io.Discard, out) // until the server has done it and sees that nobody listens
				return
			}
		}
		if _, err := out.Write(buf[:n]); err != nil {
			return
		}
	}
}

func (p *proxy) end(conns ...net.Conn) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, c := range conns {
		c.Close()
		delete(p.open, c)
	}
}

// cut breaks all connections that are open.
func (p *proxy) cut() {
	p.mu.Lock()
	defer p.mu.Unlock()
	for c := range p.open {
		c.Close()
	}
}
