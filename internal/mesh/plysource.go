package mesh

import (
	"encoding/binary"
	"math"
)

const cutOff wrongCoordinate = "no end: the file was cut off there"

// plyBinary gives the scalars of a binary body.
type plyBinary struct {
	data  []byte
	order binary.ByteOrder
}

func (p *plyBinary) left() int { return len(p.data) }

func (p *plyBinary) value(t plyType) (float64, wrongCoordinate) {
	if len(p.data) < t.size {
		return 0, cutOff
	}
	b := p.data[:t.size]
	p.data = p.data[t.size:]
	switch {
	case t.float && t.size == 4:
		return float64(math.Float32frombits(p.order.Uint32(b))), ""
	case t.float:
		return math.Float64frombits(p.order.Uint64(b)), ""
	case t.size == 1 && t.signed:
		return float64(int8(b[0])), ""
	case t.size == 1:
		return float64(b[0]), ""
	case t.size == 2 && t.signed:
		return float64(int16(p.order.Uint16(b))), ""
	case t.size == 2:
		return float64(p.order.Uint16(b)), ""
	case t.signed:
		return float64(int32(p.order.Uint32(b))), ""
	}
	return float64(p.order.Uint32(b)), ""
}

func (p *plyBinary) skip(t plyType, n int) bool {
	if n > len(p.data)/t.size {
		return false
	}
	p.data = p.data[n*t.size:]
	return true
}

// plyText gives the scalars of a text body. Rows are told apart by their length
// and not by line ends, as some programs break long rows.
type plyText struct{ words }

func (p *plyText) left() int { return len(p.data) - p.at }

func (p *plyText) value(plyType) (float64, wrongCoordinate) {
	word := p.next()
	if word == nil {
		return 0, cutOff
	}
	x, ok := parseNumber(word)
	if !ok {
		_, wrong := parseCoordinate(word)
		return 0, wrong
	}
	return x, ""
}

func (p *plyText) skip(_ plyType, n int) bool {
	for range n {
		if p.next() == nil {
			return false
		}
	}
	return true
}
