package discord

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"sync"
	"time"
)

// Reasons why a connection to the gateway ended.
var (
	errToldToReconnect = errors.New("the service asked to reconnect (op 7)")
	errInvalidSession  = errors.New("the service declared the session invalid (op 9)")
	errSilent          = errors.New("the service acknowledged no heartbeat for one and a half intervals")
	errBadFrame        = errors.New("the service sent a frame that can't be read")
)

// closedError is a close frame from the service.
type closedError struct{ code int }

func (e *closedError) Error() string { return fmt.Sprintf("the service closed with code %d", e.code) }

const (
	// smallFrame is the most of a frame that is looked into. All control
	// messages are far shorter; only dispatches are longer.
	smallFrame = 3 << 10
	// maxFrame bounds one message. The first one lists every guild.
	maxFrame = 16 << 20
	// helloTime bounds the time to the service's first message.
	helloTime = 20 * time.Second
	writeTime = 10 * time.Second
	// The service's interval is near 41 s (Gateway, "Sending Heartbeats").
	maxInterval = 10 * time.Minute
)

// tap stands between the network and the gateway library and follows the
// frames that the service sends. It ends the connection where the library
// would deadlock (op 7 before READY), identify again outside the budget (op 9),
// panic (a heartbeat interval of 0, a message that is no object) or wait for
// ever (no acknowledgment), and it keeps the close code, which the library
// drops.
//
// Frames are as in RFC 6455 §5.2; those of a server are never masked.
type tap struct {
	net.Conn
	in  *bufio.Reader
	now func() time.Time

	// Only Read uses these; one goroutine reads at a time.
	upgraded bool // the HTTP head has passed
	raw      bool // the upgrade was refused: hand everything on
	left     int64
	interval time.Duration

	ended  chan struct{}
	once   sync.Once
	reason error // set before ended is closed
	mu     sync.Mutex
	closed *closedError
}

func newTap(conn net.Conn, now func() time.Time) (*tap, error) {
	t := &tap{Conn: conn, in: bufio.NewReaderSize(conn, 4096), now: now, ended: make(chan struct{})}
	return t, conn.SetReadDeadline(now().Add(helloTime))
}

// end notes why the connection ends, the first time, and closes it.
func (t *tap) end(reason error) {
	t.once.Do(func() {
		t.mu.Lock()
		if t.closed != nil {
			reason = t.closed
		}
		t.mu.Unlock()
		t.reason = reason
		t.Conn.Close()
		close(t.ended)
	})
}

// Close ends the connection from our side.
func (t *tap) Close() error {
	t.end(net.ErrClosed)
	return nil
}

// Write bounds the time of each write.
func (t *tap) Write(p []byte) (int, error) {
	if err := t.Conn.SetWriteDeadline(t.now().Add(writeTime)); err != nil {
		return 0, err
	}
	return t.Conn.Write(p)
}

// Read hands on what the service sent, a frame's first bytes only after the
// frame has been judged.
func (t *tap) Read(p []byte) (int, error) {
	n, err := t.read(p)
	if err != nil {
		var timeout net.Error
		if errors.As(err, &timeout) && timeout.Timeout() {
			err = errSilent
		}
		t.end(err)
	}
	return n, err
}

func (t *tap) read(p []byte) (int, error) {
	if len(p) == 0 {
		return 0, nil
	}
	if t.left == 0 && !t.raw {
		if err := t.next(); err != nil {
			if errors.Is(err, io.EOF) && t.in.Buffered() > 0 {
				err = io.ErrUnexpectedEOF
			}
			return 0, err
		}
	}
	if !t.raw && int64(len(p)) > t.left {
		p = p[:t.left]
	}
	n, err := t.in.Read(p)
	t.left -= int64(n)
	return n, err
}

// next sets how many bytes may be handed on before the next look.
func (t *tap) next() error {
	if !t.upgraded {
		return t.headLine()
	}
	first, size, length, err := t.frameHead()
	if err != nil {
		return err
	}
	start, err := t.in.Peek(size + int(min(length, smallFrame)))
	if err != nil {
		return err
	}
	t.left = int64(size) + length
	return t.judge(first, start[size:], length)
}

// headLine passes one line of the HTTP answer. A line longer than the reader's
// buffer is none that a gateway sends.
func (t *tap) headLine() error {
	for size := 1; ; size++ {
		got, err := t.in.Peek(size)
		if err != nil {
			return err
		}
		if got[size-1] == '\n' {
			t.left = int64(size)
			t.raw = bytes.HasPrefix(got, []byte("HTTP/")) && !bytes.Contains(got, []byte(" 101 "))
			t.upgraded = len(bytes.TrimSpace(got)) == 0
			return nil
		}
	}
}

// frameHead peeks at a frame's header: its first byte, its own size (2, 4 or
// 10 bytes) and the payload's. A peek may move what an earlier one returned, so
// nothing of the buffer is kept.
func (t *tap) frameHead() (first byte, size int, length int64, err error) {
	head, err := t.in.Peek(2)
	if err != nil {
		return 0, 0, 0, err
	}
	first, size, length = head[0], 2, int64(head[1]&0x7f)
	if head[1]&0x80 != 0 {
		return 0, 0, 0, errBadFrame
	}
	switch length {
	case 126:
		size = 4
	case 127:
		size = 10
	}
	if head, err = t.in.Peek(size); err != nil {
		return 0, 0, 0, err
	}
	switch size {
	case 4:
		length = int64(binary.BigEndian.Uint16(head[2:]))
	case 10:
		length = int64(binary.BigEndian.Uint64(head[2:]))
	}
	if length < 0 || length > maxFrame {
		return 0, 0, 0, errBadFrame
	}
	return first, size, length, nil
}

const (
	frameText   = 1
	frameBinary = 2
	frameClose  = 8
	frameFinal  = 0x80
)

// judge looks at the start of a frame and says whether it may be handed on.
func (t *tap) judge(first byte, payload []byte, length int64) error {
	switch first & 0x0f {
	case frameBinary:
		// We ask for no compression, so nothing binary is due.
		return errBadFrame
	case frameClose:
		code := 1005 // RFC 6455 §7.1.5: no code was given
		if len(payload) >= 2 {
			code = int(binary.BigEndian.Uint16(payload))
		}
		t.mu.Lock()
		t.closed = &closedError{code}
		t.mu.Unlock()
	case frameText:
		if trimmed := bytes.TrimLeft(payload, " \t\r\n"); len(trimmed) == 0 || trimmed[0] != '{' {
			return errBadFrame
		}
		if first&frameFinal != 0 && length <= smallFrame {
			return t.control(payload)
		}
	}
	return nil
}

// Opcodes of the gateway (Opcodes, "Gateway Opcodes").
const (
	opReconnect      = 7
	opInvalidSession = 9
	opHello          = 10
	opHeartbeatAck   = 11
)

// control acts on the service's control messages.
func (t *tap) control(payload []byte) error {
	var m struct {
		Op   int             `json:"op"`
		Data json.RawMessage `json:"d"`
	}
	if json.Unmarshal(payload, &m) != nil {
		return errBadFrame
	}
	switch m.Op {
	case opReconnect:
		return errToldToReconnect
	case opInvalidSession:
		return errInvalidSession
	case opHello:
		var hello struct {
			Interval float64 `json:"heartbeat_interval"`
		}
		if json.Unmarshal(m.Data, &hello) != nil || hello.Interval < 1 || hello.Interval > float64(maxInterval.Milliseconds()) {
			return errBadFrame
		}
		t.interval = time.Duration(hello.Interval) * time.Millisecond
		return t.expectAck()
	case opHeartbeatAck:
		return t.expectAck()
	}
	return nil
}

// expectAck lets one and a half intervals pass until the next acknowledgment.
// Only acknowledgments move this deadline, so that a link which still brings
// events but swallows our beats is noticed too.
func (t *tap) expectAck() error {
	if t.interval == 0 {
		return errBadFrame
	}
	return t.Conn.SetReadDeadline(t.now().Add(t.interval + t.interval/2))
}
