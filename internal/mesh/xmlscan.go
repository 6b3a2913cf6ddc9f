package mesh

import (
	"bytes"
	"errors"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/pourwright/pourwright/internal/fault"
)

// xmlScan walks over the tags of an XML part without holding it in memory. It
// is stricter than it is complete: no DTD, no own entities, no other encoding
// than UTF-8, each attribute once, every element closed. Text between tags is
// passed over, for 3MF keeps nothing there that is needed here.
//
// It stands in for encoding/xml, which takes about ten times as long on the
// long lists of a mesh and has no bound on depth or on the size of a tag.
type xmlScan struct {
	src  io.Reader
	part string // for refusals
	lim  Limits
	done <-chan struct{}

	buf   []byte
	at    int // next byte to look at
	end   int // bytes in buf
	eof   bool
	line  int
	tags  int
	names []byte // names of the open elements, joined
	open  []int  // where each begins in names
	begun bool   // the root element was seen
	space []xmlSpace
	attrs []xmlAttr
}

type xmlAttr struct{ name, value []byte }

// xmlSpace binds a namespace prefix for elements at least this deep.
type xmlSpace struct {
	prefix string
	uri    string
	depth  int
}

// xmlTag is one tag. Its bytes are good until the next one is read.
type xmlTag struct {
	name  []byte // without prefix
	space string // namespace address, "" if none
	attrs []xmlAttr
	start bool // <a> or <a/>
	end   bool // </a> or <a/>
	depth int  // of the element, the root is 1
}

// The most attributes that one tag may have.
const xmlMaxAttrs = 64

func newXMLScan(src io.Reader, part string, lim Limits, done <-chan struct{}) *xmlScan {
	return &xmlScan{src: src, part: part, lim: lim, done: done, line: 1, buf: make([]byte, 2*lim.Line+4096)}
}

func (s *xmlScan) bad(format string, args ...any) *fault.Error {
	return bad("part %s, line %d: "+format, append([]any{s.part, s.line}, args...)...)
}

// fill moves what is left to the front and reads on.
func (s *xmlScan) fill() error {
	if s.eof {
		return io.EOF
	}
	s.end = copy(s.buf, s.buf[s.at:s.end])
	s.at = 0
	n, err := s.src.Read(s.buf[s.end:])
	s.end += n
	if err == io.EOF {
		s.eof = true
		if n == 0 {
			return io.EOF
		}
		return nil
	}
	return err
}

// skipTo moves behind the next sep, however far away, and counts lines.
func (s *xmlScan) skipTo(sep string) error {
	for {
		window := s.buf[s.at:s.end]
		if i := bytes.Index(window, []byte(sep)); i >= 0 {
			s.line += bytes.Count(window[:i], newline)
			s.at += i + len(sep)
			return nil
		}
		keep := min(len(window), len(sep)-1)
		s.line += bytes.Count(window[:len(window)-keep], newline)
		s.at = s.end - keep
		if err := s.fill(); err != nil {
			return err
		}
	}
}

var newline = []byte("\n")

// next is the next tag, or io.EOF behind a whole document.
func (s *xmlScan) next() (xmlTag, error) {
	if s.tags++; s.tags%4096 == 0 && stopped(s.done) {
		return xmlTag{}, ErrStopped
	}
	for {
		err := s.skipTo("<")
		if err == io.EOF {
			if len(s.open) > 0 || !s.begun {
				return xmlTag{}, s.bad("the XML was cut off")
			}
			return xmlTag{}, io.EOF
		}
		if err != nil {
			return xmlTag{}, s.readError(err)
		}
		raw, special, err := s.tag()
		if err != nil {
			return xmlTag{}, err
		}
		if special {
			continue
		}
		t, err := s.parse(raw)
		s.line += bytes.Count(raw, newline)
		return t, err
	}
}

func (s *xmlScan) readError(err error) error {
	var f *fault.Error
	if errors.As(err, &f) {
		return f
	}
	return bad("part %s is damaged inside the archive", s.part).Because(err)
}

// tag gives the bytes between < and >. Comments, CDATA and instructions are
// passed over; a DTD is refused.
func (s *xmlScan) tag() (raw []byte, special bool, err error) {
	for s.end-s.at < 9 && !s.eof {
		if err := s.fill(); err != nil && err != io.EOF {
			return nil, false, s.readError(err)
		}
	}
	head := s.buf[s.at:s.end]
	skip := ""
	switch {
	case bytes.HasPrefix(head, []byte("!--")):
		s.at += 3
		skip = "-->"
	case bytes.HasPrefix(head, []byte("![CDATA[")):
		s.at += 8
		skip = "]]>"
	case bytes.HasPrefix(head, []byte("?")):
		skip = "?>"
	case bytes.HasPrefix(head, []byte("!")):
		return nil, false, hostile("part %s has a DTD, which 3MF forbids", s.part)
	}
	if skip != "" {
		err := s.skipTo(skip)
		if err == io.EOF {
			return nil, false, s.bad("the XML was cut off")
		}
		if err != nil {
			return nil, false, s.readError(err)
		}
		return nil, true, nil
	}
	from, quote := s.at, byte(0)
	for i := from; ; i++ {
		if i == s.end {
			used := i - s.at
			if used > s.lim.Line {
				return nil, false, s.longTag()
			}
			err := s.fill()
			if err == io.EOF {
				return nil, false, s.bad("the XML was cut off")
			}
			if err != nil {
				return nil, false, s.readError(err)
			}
			from, i = s.at, s.at+used
			if i == s.end {
				i--
				continue
			}
		}
		switch c := s.buf[i]; {
		case quote != 0:
			if c == quote {
				quote = 0
			} else if c == '<' {
				return nil, false, s.bad("a '<' inside a value")
			}
		case c == '"' || c == '\'':
			quote = c
		case c == '<':
			return nil, false, s.bad("a '<' inside a tag")
		case c == '>':
			s.at = i + 1
			if i-from > s.lim.Line {
				return nil, false, s.longTag()
			}
			return s.buf[from:i], false, nil
		}
	}
}

func (s *xmlScan) longTag() error {
	return hostile("part %s, line %d: a tag of more than %d kB", s.part, s.line, s.lim.Line>>10)
}

// parse reads name and attributes and keeps the stack of open elements.
func (s *xmlScan) parse(raw []byte) (xmlTag, error) {
	if len(raw) > 0 && raw[0] == '/' {
		return s.close(bytes.TrimRight(raw[1:], " \t\r\n"))
	}
	t := xmlTag{start: true}
	if n := len(raw); n > 0 && raw[n-1] == '/' {
		t.end = true
		raw = raw[:n-1]
	}
	i := 0
	for i < len(raw) && !isSpace(raw[i]) {
		i++
	}
	full := raw[:i]
	if len(full) == 0 || !utf8.Valid(full) || bytes.ContainsAny(full, "=\"'&/") {
		return t, s.bad("a tag without a name")
	}
	if s.begun && len(s.open) == 0 {
		return t, s.bad("a second element after the root")
	}
	s.begun = true
	t.depth = len(s.open) + 1
	if t.depth > s.lim.XMLDepth {
		return t, hostile("part %s, line %d: elements nested more than %d deep", s.part, s.line, s.lim.XMLDepth)
	}
	if err := s.attributes(raw[i:], t.depth); err != nil {
		return t, err
	}
	t.attrs = s.attrs
	prefix, local, found := bytes.Cut(full, []byte(":"))
	if !found {
		prefix, local = nil, full
	}
	t.name, t.space = local, s.lookup(prefix)
	if t.end {
		s.unbind(t.depth)
	} else {
		s.open = append(s.open, len(s.names))
		s.names = append(s.names, full...)
	}
	return t, nil
}

func (s *xmlScan) close(full []byte) (xmlTag, error) {
	n := len(s.open)
	if n == 0 || !bytes.Equal(s.names[s.open[n-1]:], full) {
		return xmlTag{}, s.bad("the closing tag '%s' fits no open element", clean(full, 24))
	}
	prefix, local, found := bytes.Cut(full, []byte(":"))
	if !found {
		prefix, local = nil, full
	}
	t := xmlTag{name: local, space: s.lookup(prefix), end: true, depth: n}
	s.names = s.names[:s.open[n-1]]
	s.open = s.open[:n-1]
	s.unbind(n)
	return t, nil
}

// attributes splits name="value" pairs into s.attrs and binds namespaces.
func (s *xmlScan) attributes(raw []byte, depth int) error {
	s.attrs = s.attrs[:0]
	for {
		i := 0
		for i < len(raw) && isSpace(raw[i]) {
			i++
		}
		if i == len(raw) {
			return nil
		}
		if i == 0 {
			return s.bad("attributes that are not parted by a space")
		}
		raw = raw[i:]
		eq := bytes.IndexByte(raw, '=')
		if eq < 1 {
			return s.bad("an attribute without a value")
		}
		name := bytes.TrimRight(raw[:eq], " \t\r\n")
		rest := bytes.TrimLeft(raw[eq+1:], " \t\r\n")
		if len(name) == 0 || bytes.ContainsAny(name, " \t\r\n\"'") || len(rest) == 0 || rest[0] != '"' && rest[0] != '\'' {
			return s.bad("an attribute without a quoted value")
		}
		close := bytes.IndexByte(rest[1:], rest[0])
		if close < 0 {
			return s.bad("an attribute whose value does not end")
		}
		value := rest[1 : 1+close]
		raw = rest[close+2:]
		if bytes.IndexByte(value, '&') >= 0 {
			var ok bool
			if value, ok = unescape(value); !ok {
				return s.bad("an entity that XML does not have")
			}
		}
		for _, a := range s.attrs {
			if bytes.Equal(a.name, name) {
				return s.bad("the attribute '%s' stands twice in one tag", clean(name, 24))
			}
		}
		if len(s.attrs) == xmlMaxAttrs {
			return hostile("part %s, line %d: a tag with more than %d attributes", s.part, s.line, xmlMaxAttrs)
		}
		s.attrs = append(s.attrs, xmlAttr{name, value})
		if p, ok := bytes.CutPrefix(name, []byte("xmlns")); ok && (len(p) == 0 || p[0] == ':') {
			s.space = append(s.space, xmlSpace{strings.TrimPrefix(string(p), ":"), string(value), depth})
		}
	}
}

func (s *xmlScan) lookup(prefix []byte) string {
	for i := len(s.space) - 1; i >= 0; i-- {
		if s.space[i].prefix == string(prefix) {
			return s.space[i].uri
		}
	}
	return ""
}

func (s *xmlScan) unbind(depth int) {
	n := len(s.space)
	for n > 0 && s.space[n-1].depth >= depth {
		n--
	}
	s.space = s.space[:n]
}

// attr is the value of the attribute with that name, or nil.
func (t *xmlTag) attr(name string) []byte {
	for i := range t.attrs {
		if string(t.attrs[i].name) == name {
			return t.attrs[i].value
		}
	}
	return nil
}

// attrIn is the value of an attribute in a namespace, or nil.
func (s *xmlScan) attrIn(t *xmlTag, space, name string) []byte {
	for i := range t.attrs {
		prefix, local, ok := bytes.Cut(t.attrs[i].name, []byte(":"))
		if ok && string(local) == name && s.lookup(prefix) == space {
			return t.attrs[i].value
		}
	}
	return nil
}

// unescape replaces the five entities of XML and character numbers.
func unescape(v []byte) ([]byte, bool) {
	var out []byte
	for {
		i := bytes.IndexByte(v, '&')
		if i < 0 {
			return append(out, v...), true
		}
		out = append(out, v[:i]...)
		name, rest, ok := bytes.Cut(v[i+1:], []byte(";"))
		if !ok {
			return nil, false
		}
		switch n := string(name); {
		case n == "amp":
			out = append(out, '&')
		case n == "lt":
			out = append(out, '<')
		case n == "gt":
			out = append(out, '>')
		case n == "quot":
			out = append(out, '"')
		case n == "apos":
			out = append(out, '\'')
		case strings.HasPrefix(n, "#"):
			base, digits := 10, n[1:]
			if strings.HasPrefix(digits, "x") {
				base, digits = 16, digits[1:]
			}
			r, err := strconv.ParseUint(digits, base, 21)
			if err != nil || !utf8.ValidRune(rune(r)) {
				return nil, false
			}
			out = utf8.AppendRune(out, rune(r))
		default:
			return nil, false
		}
		v = rest
	}
}
