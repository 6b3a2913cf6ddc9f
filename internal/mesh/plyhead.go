package mesh

import (
	"bytes"
	"strconv"
)

func isPLY(data []byte) bool {
	return bytes.HasPrefix(data, []byte("ply\n")) || bytes.HasPrefix(data, []byte("ply\r"))
}

// plyType is a scalar type: its size in bytes and how to read it.
type plyType struct {
	size          int
	float, signed bool
}

var plyTypes = map[string]plyType{
	"char": {1, false, true}, "int8": {1, false, true}, "uchar": {1, false, false}, "uint8": {1, false, false},
	"short": {2, false, true}, "int16": {2, false, true}, "ushort": {2, false, false}, "uint16": {2, false, false},
	"int": {4, false, true}, "int32": {4, false, true}, "uint": {4, false, false}, "uint32": {4, false, false},
	"float": {4, true, true}, "float32": {4, true, true}, "double": {8, true, true}, "float64": {8, true, true},
}

// plyProperty is one column of an element. For a list, count is the type of the
// length that goes before its items.
type plyProperty struct {
	name  string
	list  bool
	count plyType
	item  plyType
}

type plyElement struct {
	name  string
	count int
	props []plyProperty
}

// minSize is the least number of bytes that one row takes.
func (e *plyElement) minSize(text bool) int {
	n := 0
	for _, p := range e.props {
		switch {
		case text:
			n += 2 // a digit and what parts it from the next
		case p.list:
			n += p.count.size
		default:
			n += p.item.size
		}
	}
	return n
}

// find is the column with one of the names, or -1.
func (e *plyElement) find(names ...string) int {
	for i, p := range e.props {
		for _, n := range names {
			if p.name == n {
				return i
			}
		}
	}
	return -1
}

type plyHead struct {
	format   string
	elements []plyElement
	comment  []byte
	body     []byte
	line     int // lines in the header
}

// The header of an honest file names a handful of elements and columns.
const plyMaxColumns = 256

func parsePLYHead(data []byte, lim Limits) (*plyHead, error) {
	h := &plyHead{}
	s := lineScan{data: data}
	s.next() // "ply"
	columns := 0
	for {
		line := s.next()
		if line == nil {
			return nil, bad("the file was cut off: its header has no 'end_header'")
		}
		if len(line) > lim.Line {
			return nil, hostile("line %d is longer than %d kB", s.line, lim.Line>>10)
		}
		f := bytes.Fields(line)
		if len(f) == 0 {
			continue
		}
		if columns++; columns > plyMaxColumns {
			return nil, hostile("the header has more than %d lines", plyMaxColumns)
		}
		switch string(f[0]) {
		case "comment", "obj_info":
			if h.comment == nil {
				h.comment = bytes.TrimPrefix(line, f[0])
			}
		case "format":
			if len(f) < 2 {
				return nil, bad("line %d: the format has no name", s.line)
			}
			h.format = string(f[1])
		case "element":
			if err := h.element(f, s.line); err != nil {
				return nil, err
			}
		case "property":
			if err := h.property(f, s.line); err != nil {
				return nil, err
			}
		case "end_header":
			h.body, h.line = data[min(s.at, len(data)):], s.line
			return h, nil
		default:
			return nil, bad("line %d: '%s' is no line of a PLY header", s.line, clean(f[0], 24))
		}
	}
}

func (h *plyHead) element(f [][]byte, line int) error {
	if len(f) != 3 {
		return bad("line %d: an element needs a name and a count", line)
	}
	n, err := strconv.ParseUint(string(f[2]), 10, 48)
	if err != nil {
		return bad("line %d: '%s' is not a count", line, clean(f[2], 24))
	}
	h.elements = append(h.elements, plyElement{name: string(f[1]), count: int(n)})
	return nil
}

func (h *plyHead) property(f [][]byte, line int) error {
	if len(h.elements) == 0 {
		return bad("line %d: a property before any element", line)
	}
	p := plyProperty{name: string(f[len(f)-1])}
	var ok, okCount bool
	switch {
	case len(f) == 5 && string(f[1]) == "list":
		p.list = true
		p.count, okCount = plyTypes[string(f[2])]
		p.item, ok = plyTypes[string(f[3])]
		ok = ok && okCount && !p.count.float
	case len(f) == 3:
		p.item, ok = plyTypes[string(f[1])]
	}
	if !ok {
		return bad("line %d: a property with a type that PLY does not have", line)
	}
	e := &h.elements[len(h.elements)-1]
	e.props = append(e.props, p)
	return nil
}
