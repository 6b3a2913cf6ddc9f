package formula

import (
	"slices"
	"strings"
	"unicode"
)

// tokenKind tells the tokens of a formula apart.
type tokenKind uint8

const (
	wordToken tokenKind = iota
	literalToken
	stringToken
	signToken
	breakToken // ; or the end of a line
)

// token is a piece of the text, from its first character to behind its last.
type token struct {
	kind     tokenKind
	from, to int
	text     string // a word, a string's content, or a sign as the parser knows it
	literal  literal
}

func (t token) is(sign string) bool { return t.kind == signToken && t.text == sign }

func (t token) word(w string) bool { return t.kind == wordToken && t.text == w }

// signs that a formula may hold, longest first; those of chat keyboards stand
// for what they look like.
var signs = []string{"==", "!=", "<=", ">=", "&&", "||", "+", "-", "*", "/", "^", "(", ")", ",", "<", ">", "?", ":", "!", "="}

var looksLike = map[rune]string{'×': "*", '·': "*", '÷': "/", '−': "-", '–': "-"}

// quotes open a string; what closes it stands beside.
var quotes = map[rune]rune{'"': '"', '\'': '\'', '“': '”', '‘': '’'}

const noLoops = "there are no loops: multiply by the count, such as 12 * 6.2 ml, or write the sum out"

// refusedWords mean something to the parser, or elsewhere, and nothing to a
// formula.
var refusedWords = map[string]string{
	"in":         "to compare type == or <",
	"matches":    "to compare type ==",
	"contains":   "to compare type ==",
	"startsWith": "to compare type ==",
	"endsWith":   "to compare type ==",
	"if":         "type condition ? this : that",
	"else":       "type condition ? this : that",
	"nil":        "type 0, or leave it out",
	"for":        noLoops,
	"while":      noLoops,
	"loop":       noLoops,
}

// lexer cuts a text into tokens.
type lexer struct {
	source
	reader literalReader
	at     int
	depth  int
	tokens []token
	names  []string // set so far: a/b between two of them is no unit
}

// all cuts the text into tokens. Line ends within brackets are dropped.
func (l *lexer) all() ([]token, error) {
	for l.at < len(l.runes) {
		if err := l.next(); err != nil {
			return nil, err
		}
	}
	if l.depth > 0 {
		return nil, l.wrong(l.unclosed(), "this bracket is never closed").Hint("close it with )")
	}
	return l.tokens, nil
}

// next takes one token, or white space.
func (l *lexer) next() error {
	r := l.runes[l.at]
	switch {
	case r == '\n' || r == ';':
		if r == ';' && l.depth > 0 {
			return l.wrong(l.at, "a bracket is still open").Hint("close it with ) before the ;")
		}
		if l.depth > 0 {
			l.at++
			return nil
		}
		l.add(token{kind: breakToken, from: l.at, to: l.at + 1, text: string(r)})
	case unicode.IsSpace(r):
		l.at++
	case isDigit(r), r == '.' && l.at+1 < len(l.runes) && isDigit(l.runes[l.at+1]):
		return l.number()
	case isLetter(r):
		return l.name()
	case quotes[r] != 0:
		return l.string(quotes[r])
	default:
		return l.sign()
	}
	return nil
}

func (l *lexer) add(t token) {
	l.tokens = append(l.tokens, t)
	l.at = t.to
}

// number takes a number with the unit behind it.
func (l *lexer) number() error {
	afterSlash := len(l.tokens) > 0 && l.tokens[len(l.tokens)-1].is("/")
	lit, to, err := l.reader.read(&l.source, l.at, !afterSlash, l.names)
	if err != nil {
		return err
	}
	l.add(token{kind: literalToken, from: l.at, to: to, literal: lit})
	return nil
}

// name takes a word.
func (l *lexer) name() error {
	from := l.at
	to := from
	for to < len(l.runes) && (isLetter(l.runes[to]) || isDigit(l.runes[to]) || l.runes[to] == '_') {
		to++
	}
	word := string(l.runes[from:to])
	if hint, refused := refusedWords[word]; refused {
		return l.wrong(from, "%q has no meaning in a formula", word).Hint("%s", hint)
	}
	if to-from > maxName {
		return l.over(from, "this name has %d characters, at most %d are taken", to-from, maxName).Hint("give it a shorter name")
	}
	if n := len(l.tokens); n > 0 && (l.tokens[n-1].word("let") || l.tokens[n-1].word("input")) {
		l.names = append(l.names, word)
	}
	l.add(token{kind: wordToken, from: from, to: to, text: word})
	return nil
}

// string takes the name of a material, a mold or a ratio. Nothing in it is
// special: a backslash is a backslash.
func (l *lexer) string(closing rune) error {
	from := l.at
	if n := len(l.tokens); n > 0 && l.tokens[n-1].kind == literalToken && l.tokens[n-1].to == from {
		return l.wrong(from, "%s after a number is no unit here", string(l.runes[from])).Hint("type in for inches and ft for feet, such as 5 ft 3 in")
	}
	end := slices.Index(l.runes[from+1:], closing)
	if line := slices.Index(l.runes[from+1:], '\n'); end < 0 || line >= 0 && line < end {
		return l.wrong(from, "this quote is never closed").Hint("close it with %c", closing)
	}
	if end > maxString {
		return l.over(from, "this name has %d characters, at most %d are taken", end, maxString).Hint("type the name as /material list shows it")
	}
	content := strings.TrimSpace(string(l.runes[from+1 : from+1+end]))
	if content == "" {
		return l.wrong(from, "there is no name between the quotes").Hint(`type the name of a material or a mold, such as "demo rigid white"`)
	}
	l.add(token{kind: stringToken, from: from, to: from + end + 2, text: content})
	return nil
}

// sign takes an operator or a bracket.
func (l *lexer) sign() error {
	r := l.runes[l.at]
	if like, ok := looksLike[r]; ok {
		l.add(token{kind: signToken, from: l.at, to: l.at + 1, text: like})
		return nil
	}
	rest := string(l.runes[l.at:min(l.at+2, len(l.runes))])
	for _, s := range signs {
		if !strings.HasPrefix(rest, s) {
			continue
		}
		switch s {
		case "(":
			if l.depth++; l.depth > maxDepth {
				return l.over(l.at, "brackets stand more than %d deep", maxDepth).Hint("set parts to names with let, and use the names")
			}
		case ")":
			if l.depth--; l.depth < 0 {
				return l.wrong(l.at, "this ) closes nothing").Hint("take it out, or open a bracket before")
			}
		}
		l.add(token{kind: signToken, from: l.at, to: l.at + len(s), text: s})
		return nil
	}
	return l.stranger(r)
}

// stranger refuses a sign that a formula has no use for.
func (l *lexer) stranger(r rune) error {
	f := l.wrong(l.at, "%q has no meaning in a formula", string(r))
	switch r {
	case '%':
		return f.Hint("a percentage stands behind its number, such as 7 %%; for the rest of a division type mod(7, 3)")
	case '[', ']', '{', '}':
		return f.Hint("lists are not known; for grouping type ( and )")
	case '.':
		return f.Hint("a decimal point stands between digits, such as 2.5")
	case '&', '|':
		return f.Hint("type and, or")
	case '#':
		return f.Hint("a formula holds no comments; about says what it is for")
	}
	return f.Hint("type numbers, units, names, and + - * / ^ ( )")
}

// unclosed is where the last bracket stands that was not closed.
func (l *lexer) unclosed() int {
	depth := 0
	for i := len(l.tokens) - 1; i >= 0; i-- {
		switch t := l.tokens[i]; {
		case t.is(")"):
			depth++
		case t.is("("):
			if depth == 0 {
				return t.from
			}
			depth--
		}
	}
	return 0
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

func isLetter(r rune) bool { return unicode.IsLetter(r) }
