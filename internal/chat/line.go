package chat

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/pourwright/pourwright/internal/fault"
)

// maxLine bounds a typed line in bytes; a chat message holds 2000 characters.
const maxLine = 8000

// typed is a line taken apart, before anything is known of its command.
type typed struct {
	words   []string // "batch", or "volume", "mesh"
	options []pair
}

type pair struct{ name, value string }

// parseLine reads `/command [sub] name:value …`. A value with spaces stands in
// double quotes, with \" and \\ inside, or in the curly ones that phones put
// in their place; unquoted it ends at a space.
func parseLine(line string) (typed, error) {
	if len(line) > maxLine {
		return typed{}, fault.New(fault.LimitReached, "the line has %d bytes, at most %d are read", len(line), maxLine)
	}
	s := strings.TrimSpace(line)
	if !strings.HasPrefix(s, "/") {
		return typed{}, fault.New(fault.UnknownCommand, "a line begins with a slash and a command").Hint("try /help")
	}
	s = s[1:]
	var t typed
	for s = strings.TrimLeftFunc(s, unicode.IsSpace); s != ""; s = strings.TrimLeftFunc(s, unicode.IsSpace) {
		end := strings.IndexFunc(s, func(r rune) bool { return unicode.IsSpace(r) || r == ':' })
		if end < 0 || s[end] != ':' {
			if end < 0 {
				end = len(s)
			}
			word := s[:end]
			if len(t.options) > 0 {
				last := t.options[len(t.options)-1]
				return t, fault.New(fault.UnknownOption, "%q stands alone after the options", word).
					Hint("quote a value that has spaces: %s:%s", last.name, quote(strings.TrimSpace(strings.TrimLeft(last.value, "'‘’`")+" "+word)))
			}
			t.words = append(t.words, strings.ToLower(word))
			s = s[end:]
			continue
		}
		if end == 0 {
			return t, fault.New(fault.UnknownOption, "%q has no option's name before the colon", fault.Echo(s)).
				Hint("options are written name:value, such as volume:250ml")
		}
		name := strings.ToLower(s[:end])
		value, rest, err := parseValue(name, s[end+1:])
		if err != nil {
			return t, err
		}
		if slices.ContainsFunc(t.options, func(p pair) bool { return p.name == name }) {
			return t, fault.New(fault.TooManyOptions, "%s is given twice", name).In(name).Hint("give it once")
		}
		t.options = append(t.options, pair{name, value})
		s = rest
	}
	return t, nil
}

// curly are the quotes of phones and word processors, opening and closing.
const curly = "“”„"

func parseValue(name, s string) (value, rest string, err error) {
	if open, size := utf8.DecodeRuneInString(s); strings.ContainsRune(curly, open) && size > 1 {
		if end := strings.IndexAny(s[size:], curly+`"`); end >= 0 {
			_, closing := utf8.DecodeRuneInString(s[size+end:])
			return s[size : size+end], s[size+end+closing:], nil
		}
	}
	if !strings.HasPrefix(s, `"`) {
		end := strings.IndexFunc(s, unicode.IsSpace)
		if end < 0 {
			end = len(s)
		}
		return s[:end], s[end:], nil
	}
	var b strings.Builder
	for i := 1; i < len(s); i++ {
		switch {
		case s[i] == '\\' && i+1 < len(s) && (s[i+1] == '"' || s[i+1] == '\\'):
			i++
			b.WriteByte(s[i])
		case s[i] == '"':
			return b.String(), s[i+1:], nil
		default:
			b.WriteByte(s[i])
		}
	}
	return "", "", fault.New(fault.UnknownOption, "the quote after %s: is not closed", name).In(name).Hint(`end the value with "`)
}

// FormatLine writes a line that parseLine reads back; order holds the option
// names that come first.
func FormatLine(path string, raw map[string]string, order []string) string {
	names := make([]string, 0, len(raw))
	for _, n := range order {
		if _, ok := raw[n]; ok {
			names = append(names, n)
		}
	}
	rest := make([]string, 0)
	for n := range raw {
		if !slices.Contains(names, n) {
			rest = append(rest, n)
		}
	}
	slices.Sort(rest)
	var b strings.Builder
	b.WriteByte('/')
	b.WriteString(path)
	for _, n := range append(names, rest...) {
		b.WriteByte(' ')
		b.WriteString(n)
		b.WriteByte(':')
		b.WriteString(quote(raw[n]))
	}
	return b.String()
}

var escaper = strings.NewReplacer(`\`, `\\`, `"`, `\"`)

func quote(v string) string {
	first, _ := utf8.DecodeRuneInString(v)
	if v != "" && !strings.ContainsRune(curly+`"`, first) && strings.IndexFunc(v, unicode.IsSpace) < 0 {
		return v
	}
	return `"` + escaper.Replace(v) + `"`
}
