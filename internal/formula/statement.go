package formula

import (
	"slices"
	"strings"
)

// statement is one line of a formula: a name and what it is set to, or, of the
// last one, the result.
type statement struct {
	name   string // "" of the result
	nameAt int
	tokens []token
}

func (st statement) from() int { return st.tokens[0].from }

func (st statement) to() int { return st.tokens[len(st.tokens)-1].to }

// statements divides tokens at ; and at line ends. A line goes on where it ends
// with an operator or the next one begins with one.
func (s *source) statements(tokens []token) ([]statement, error) {
	var out []statement
	for len(tokens) > 0 {
		n := 0
		for n < len(tokens) && !s.ends(tokens, n) {
			n++
		}
		line := slices.DeleteFunc(slices.Clone(tokens[:n]), func(t token) bool { return t.kind == breakToken })
		tokens = tokens[min(n+1, len(tokens)):]
		if len(line) == 0 {
			continue
		}
		if len(out) == maxLines {
			return nil, s.over(line[0].from, "there are more than %d lines", maxLines).Hint("make several formulas of it")
		}
		st, err := s.statement(line)
		if err != nil {
			return nil, err
		}
		out = append(out, st)
	}
	if len(out) == 0 {
		return nil, s.wrong(len(s.runes), "there is nothing to work out").Hint("the last line is the result, such as 250 ml * 1.1 g/ml")
	}
	for _, st := range out[:len(out)-1] {
		if st.name == "" {
			return nil, s.wrong(st.from(), "the value of this line goes nowhere").
				Hint("set it to a name, such as let total = %s; the last line is the result", s.text(st.from(), st.to()))
		}
	}
	return out, nil
}

// ends reports whether the token is the break behind a statement.
func (s *source) ends(tokens []token, i int) bool {
	t := tokens[i]
	if t.kind != breakToken {
		return false
	}
	if t.text == ";" {
		return true
	}
	lineEnd := func(i int) bool {
		return i >= 0 && i < len(tokens) && tokens[i].kind == breakToken && tokens[i].text != ";"
	}
	last, next := i-1, i+1
	for lineEnd(last) {
		last--
	}
	for lineEnd(next) {
		next++
	}
	open := last >= 0 && tokens[last].kind == signToken && tokens[last].text != ")"
	goesOn := next < len(tokens) && tokens[next].kind == signToken && tokens[next].text != "(" && tokens[next].text != "!"
	return !open && !goesOn
}

// statement reads let name = … and name = …
func (s *source) statement(line []token) (statement, error) {
	first := line[0]
	if first.word("input") {
		return statement{}, s.wrong(first.from, "an input comes too late").Hint("inputs are the first lines of a formula")
	}
	set := len(line) > 1 && line[0].kind == wordToken && line[1].is("=")
	if !first.word("let") && !set {
		return statement{tokens: line}, s.checkTokens(line)
	}
	if !set {
		line = line[1:]
	}
	if len(line) < 2 || line[0].kind != wordToken || !line[1].is("=") {
		return statement{}, s.wrong(first.from, "let sets a name to a value").Hint("such as let total = 250 ml + 2 floz")
	}
	name := line[0]
	if err := s.mayName(name.from, name.text); err != nil {
		return statement{}, err
	}
	if len(line) == 2 {
		return statement{}, s.wrong(line[1].from, "%s is set to nothing", name.text).Hint("type a value behind the =")
	}
	return statement{name: name.text, nameAt: name.from, tokens: line[2:]}, s.checkTokens(line[2:])
}

// reserved can't be set: they are words of the language, or always there.
var reserved = []string{"let", "input", "true", "false", "and", "or", "not"}

// mayName refuses a name that can't be set.
func (s *source) mayName(at int, name string) error {
	if _, constant := constants[name]; constant || slices.Contains(reserved, name) || refusedWords[name] != "" {
		return s.wrong(at, "%s has its own meaning and can't be set", name).Hint("give it another name, such as my_%s", strings.ToLower(name))
	}
	if len([]rune(name)) > maxName {
		return s.over(at, "this name has %d characters, at most %d are taken", len([]rune(name)), maxName).Hint("give it a shorter name")
	}
	return nil
}

// runTogether are signs that mean something to the parser where they touch, each
// with what to type instead. A formula holds no comments.
var runTogether = map[string]string{
	"**": "for a power type ^, such as 2^3",
	"//": "a formula holds no comments; to divide type one /",
	"/*": "a formula holds no comments; to divide type one /",
	"??": "a choice is typed condition ? this : that",
	"?:": "a choice is typed condition ? this : that",
	"::": "a choice is typed condition ? this : that",
}

// checkTokens refuses early what would be hard to explain once it is parsed.
func (s *source) checkTokens(line []token) error {
	for i, t := range line {
		switch {
		case t.is("="):
			return s.wrong(t.from, "= sets a name at the start of a line").Hint("to compare type ==")
		case t.word("let"):
			return s.wrong(t.from, "let begins a line of its own").Hint("put a ; or a new line before it")
		}
		if i == 0 {
			continue
		}
		last := line[i-1]
		if pair := last.text + t.text; last.to == t.from && last.kind == signToken && t.kind == signToken && runTogether[pair] != "" {
			return s.wrong(last.from, "%s has no meaning in a formula", pair).Hint("%s", runTogether[pair])
		}
		call := last.kind == wordToken && t.is("(")
		if last.ends() && t.begins() && !call {
			return s.missingSign(last, t)
		}
	}
	return nil
}

// ends and begins tell whether a token is the end or the start of a value.
func (t token) ends() bool {
	return t.kind == literalToken || t.kind == stringToken || t.is(")") || t.kind == wordToken && !operatorWord(t.text)
}

func (t token) begins() bool {
	return t.kind == literalToken || t.kind == stringToken || t.is("(") || t.kind == wordToken && !operatorWord(t.text)
}

func operatorWord(w string) bool { return w == "and" || w == "or" || w == "not" }

func (s *source) missingSign(last, t token) error {
	a, b := s.text(last.from, last.to), s.text(t.from, t.to)
	if t.is("(") {
		b = "("
	}
	return s.wrong(t.from, "a sign is missing between %s and %s", a, b).Hint("to multiply type * between them; a unit needs a number, such as 1 ml")
}

// placed is the expression for the parser: every literal and string is a
// placeholder of the same length, so that places stay what they are, and all
// else is a name or a sign that was let through.
func (s *source) placed(st statement) string {
	out := []rune(strings.Repeat(" ", st.to()-st.from()))
	for _, t := range st.tokens {
		at := t.from - st.from()
		switch t.kind {
		case literalToken, stringToken:
			for i := range t.to - t.from {
				out[at+i] = '_'
			}
		default:
			copy(out[at:], []rune(t.text))
		}
	}
	return string(out)
}
