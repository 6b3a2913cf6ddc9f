package formula

import (
	"fmt"

	"github.com/pourwright/pourwright/internal/fault"
)

// source is the text as typed, by characters, so that every refusal can say
// where.
type source struct {
	runes []rune
}

// place is the line and column of a character, both from 1.
func (s *source) place(at int) (line, column int) {
	line, column = 1, 1
	for _, r := range s.runes[:min(at, len(s.runes))] {
		if r == '\n' {
			line, column = line+1, 1
			continue
		}
		column++
	}
	return line, column
}

// wrong refuses what stands at that character.
func (s *source) wrong(at int, format string, args ...any) *fault.Error {
	return s.refuse(fault.FormulaError, at, format, args...)
}

// over refuses what is more than a formula may have.
func (s *source) over(at int, format string, args ...any) *fault.Error {
	return s.refuse(fault.FormulaLimit, at, format, args...)
}

func (s *source) refuse(code fault.Code, at int, format string, args ...any) *fault.Error {
	line, column := s.place(at)
	return fault.New(code, "line %d, column %d: %s", line, column, fmt.Sprintf(format, args...)).In("text")
}

// text is what stands between two characters, shortened for a message.
func (s *source) text(from, to int) string {
	const most = 40
	to = min(to, len(s.runes))
	if from >= to {
		return ""
	}
	if to-from > most {
		return string(s.runes[from:from+most-1]) + "…"
	}
	return string(s.runes[from:to])
}
