package discord

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"net"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// frame builds an unmasked frame as a server sends it (RFC 6455 §5.2).
func frame(opcode byte, payload string) []byte {
	head := []byte{frameFinal | opcode}
	switch n := len(payload); {
	case n < 126:
		head = append(head, byte(n))
	case n < 1<<16:
		head = binary.BigEndian.AppendUint16(append(head, 126), uint16(n))
	default:
		head = binary.BigEndian.AppendUint64(append(head, 127), uint64(n))
	}
	return append(head, payload...)
}

const upgradeHead = "HTTP/1.1 101 Switching Protocols\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n\r\n"

// script is a connection that yields bytes in chunks and then an error.
type script struct {
	net.Conn
	data     []byte
	chunk    int
	end      error
	deadline time.Time
	closed   bool
}

func (s *script) Read(p []byte) (int, error) {
	if len(s.data) == 0 {
		return 0, s.end
	}
	n := copy(p[:min(len(p), s.chunk)], s.data)
	s.data = s.data[n:]
	return n, nil
}

func (s *script) SetReadDeadline(t time.Time) error { s.deadline = t; return nil }
func (s *script) Close() error                      { s.closed = true; return nil }

func tapOver(t testing.TB, s *script) *tap {
	t.Helper()
	tap, err := newTap(s, func() time.Time { return testTime })
	if err != nil {
		t.Fatal(err)
	}
	return tap
}

func TestTapJudges(t *testing.T) {
	hello := frame(frameText, `{"t":null,"s":null,"op":10,"d":{"heartbeat_interval":41250}}`)
	good := frame(frameText, `{"op":0,"t":"SOMETHING_NEW","s":15,"d":{"x":1}}`)
	cases := map[string]struct {
		bad  []byte
		want error
	}{
		"op 7":              {frame(frameText, `{"op":7,"d":null}`), errToldToReconnect},
		"op 9":              {frame(frameText, ` {"t":null,"op":9,"d":true}`), errInvalidSession},
		"null":              {frame(frameText, `null`), errBadFrame},
		"blank":             {frame(frameText, `  `), errBadFrame},
		"broken":            {frame(frameText, `{"op":`), errBadFrame},
		"binary":            {frame(frameBinary, `{"op":0}`), errBadFrame},
		"masked":            {[]byte{frameFinal | frameText, 0x81, 1, 2, 3, 4, 5}, errBadFrame},
		"huge":              {binary.BigEndian.AppendUint64([]byte{frameFinal | frameText, 127}, 1<<40), errBadFrame},
		"negative":          {binary.BigEndian.AppendUint64([]byte{frameFinal | frameText, 127}, 1<<63), errBadFrame},
		"hello of zero":     {frame(frameText, `{"op":10,"d":{"heartbeat_interval":0}}`), errBadFrame},
		"hello of a year":   {frame(frameText, `{"op":10,"d":{"heartbeat_interval":31557600000}}`), errBadFrame},
		"hello without any": {frame(frameText, `{"op":10,"d":null}`), errBadFrame},
	}
	for name, c := range cases {
		for _, chunk := range []int{1, 7, 1 << 20} {
			pass := bytes.Join([][]byte{[]byte(upgradeHead), hello, good}, nil)
			s := &script{data: append(bytes.Clone(pass), c.bad...), chunk: chunk, end: io.EOF}
			tap := tapOver(t, s)
			got, err := io.ReadAll(tap)
			if !errors.Is(err, c.want) || !errors.Is(tap.reason, c.want) {
				t.Errorf("%s in chunks of %d: %v (%v), want %v", name, chunk, err, tap.reason, c.want)
			}
			if !bytes.Equal(got, pass) {
				t.Errorf("%s in chunks of %d: %d bytes handed on, want the %d before it", name, chunk, len(got), len(pass))
			}
			if !s.closed {
				t.Errorf("%s: the connection stays open", name)
			}
		}
	}
}

// TestTapKeepsCloseCode wants the code although the frame itself is handed on.
func TestTapKeepsCloseCode(t *testing.T) {
	for payload, code := range map[string]int{"\x0f\xa4bye": 4004, "\x03\xe8": 1000, "": 1005} {
		s := &script{data: append([]byte(upgradeHead), frame(frameClose, payload)...), chunk: 3, end: io.EOF}
		tap := tapOver(t, s)
		if got, err := io.ReadAll(tap); err != nil || !bytes.HasSuffix(got, frame(frameClose, payload)) {
			t.Errorf("%d: read %q, %v", code, got, err)
		}
		var closed *closedError
		if !errors.As(tap.reason, &closed) || closed.code != code {
			t.Errorf("reason %v, want code %d", tap.reason, code)
		}
	}
}

// TestTapDeadline moves with acknowledgments and nothing else.
func TestTapDeadline(t *testing.T) {
	now := testTime
	hello := frame(frameText, `{"op":10,"d":{"heartbeat_interval":40000}}`)
	event := frame(frameText, `{"op":0,"t":"X","s":1,"d":{}}`)
	ack := frame(frameText, `{"op":11}`)
	s := &script{chunk: 1 << 20, end: timeoutError{}}
	tap, err := newTap(s, func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	if want := testTime.Add(helloTime); !s.deadline.Equal(want) {
		t.Errorf("before the first message: %v, want %v", s.deadline, want)
	}
	for _, step := range []struct {
		send []byte
		at   time.Duration
		want time.Duration
	}{
		{[]byte(upgradeHead), 0, helloTime},
		{hello, time.Second, 61 * time.Second},
		{event, 30 * time.Second, 61 * time.Second},
		{ack, 40 * time.Second, 100 * time.Second},
		{event, 90 * time.Second, 100 * time.Second},
	} {
		now = testTime.Add(step.at)
		s.data = step.send
		for left := len(step.send); left > 0; {
			n, err := tap.Read(make([]byte, left))
			if err != nil {
				t.Fatal(err)
			}
			left -= n
		}
		if want := testTime.Add(step.want); !s.deadline.Equal(want) {
			t.Errorf("after %q at %v: deadline %v, want %v", step.send, step.at, s.deadline.Sub(testTime), step.want)
		}
	}
	if _, err := tap.Read(make([]byte, 1)); !errors.Is(err, errSilent) {
		t.Errorf("past the deadline: %v, want %v", err, errSilent)
	}
}

type timeoutError struct{}

func (timeoutError) Error() string   { return "i/o timeout" }
func (timeoutError) Timeout() bool   { return true }
func (timeoutError) Temporary() bool { return true }

// TestTapChangesNothing wants any sequence of harmless frames to come through
// byte for byte, however it is cut.
func TestTapChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stream := []byte(upgradeHead)
		for range rapid.IntRange(0, 6).Draw(t, "frames") {
			size := rapid.SampledFrom([]int{0, 1, 125 - 20, 126, 3000, smallFrame, smallFrame + 1, 66000}).Draw(t, "size")
			stream = append(stream, frame(frameText, `{"op":0,"d":"`+strings.Repeat("x", size)+`"}`)...)
			if rapid.Bool().Draw(t, "ping") {
				stream = append(stream, frame(9, "ping")...)
			}
		}
		s := &script{data: bytes.Clone(stream), chunk: rapid.IntRange(1, 5000).Draw(t, "chunk"), end: io.EOF}
		tap, err := newTap(s, time.Now)
		if err != nil {
			t.Fatal(err)
		}
		got, err := io.ReadAll(tap)
		if err != nil || !bytes.Equal(got, stream) {
			t.Fatalf("%d of %d bytes, %v", len(got), len(stream), err)
		}
	})
}

// TestTapRefusedUpgrade hands on an answer that is no upgrade, so that the
// library can report its status.
func TestTapRefusedUpgrade(t *testing.T) {
	answer := "HTTP/1.1 503 Service Unavailable\r\nContent-Length: 7\r\n\r\nnot now"
	tap := tapOver(t, &script{data: []byte(answer), chunk: 5, end: io.EOF})
	if got, err := io.ReadAll(tap); err != nil || string(got) != answer {
		t.Errorf("got %q, %v", got, err)
	}
}

func FuzzTap(f *testing.F) {
	f.Add([]byte(upgradeHead), 4)
	f.Add(append([]byte(upgradeHead), frame(frameText, `{"op":7}`)...), 1)
	f.Add(append([]byte(upgradeHead), frame(frameClose, "\x0f\xa4")...), 100)
	f.Add([]byte("HTTP/1.1 200 OK\r\n\r\n{}"), 3)
	f.Fuzz(func(t *testing.T, data []byte, chunk int) {
		s := &script{data: bytes.Clone(data), chunk: min(max(chunk, 1), 1<<16), end: io.EOF}
		tap := tapOver(t, s)
		got, err := io.ReadAll(tap)
		if !bytes.HasPrefix(data, got) {
			t.Errorf("handed on what was not sent")
		}
		if err == nil && len(got) != len(data) {
			t.Errorf("%d of %d bytes without an error", len(got), len(data))
		}
	})
}
