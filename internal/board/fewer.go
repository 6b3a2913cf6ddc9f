package board

import (
	"net"
	"sync"
)

// fewer is a listener that holds so many connections at most; further ones
// wait to be taken.
type fewer struct {
	net.Listener
	room  chan struct{}
	ended chan struct{}
	once  sync.Once
}

func newFewer(ln net.Listener, most int) *fewer {
	return &fewer{Listener: ln, room: make(chan struct{}, most), ended: make(chan struct{})}
}

// Accept takes the next connection once there is room.
func (f *fewer) Accept() (net.Conn, error) {
	select {
	case f.room <- struct{}{}:
	case <-f.ended:
		return nil, net.ErrClosed
	}
	c, err := f.Listener.Accept()
	if err != nil {
		<-f.room
		return nil, err
	}
	return &held{Conn: c, leave: sync.OnceFunc(func() { <-f.room })}, nil
}

// Close ends the wait of Accept too.
func (f *fewer) Close() error {
	f.once.Do(func() { close(f.ended) })
	return f.Listener.Close()
}

// held is a connection that makes room when it is closed.
type held struct {
	net.Conn
	leave func()
}

// Close closes the connection.
func (h *held) Close() error {
	defer h.leave()
	return h.Conn.Close()
}
