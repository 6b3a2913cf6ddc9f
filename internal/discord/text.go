package discord

import (
	"cmp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"
)

// sortedKeys gives a map's keys in order, so that what is made from it does
// not change from run to run.
func sortedKeys[K cmp.Ordered, V any](m map[K]V) []K {
	keys := make([]K, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// units counts UTF-16 code units, the measure in which the service's limits
// are safe: it counts at least as many as characters.
func units(s string) int {
	n := 0
	for _, r := range s {
		if l := utf16.RuneLen(r); l > 0 {
			n += l
		} else {
			n++
		}
	}
	return n
}

// cutUnits shortens s to at most limit UTF-16 units, ending in "…" when
// something was cut, and never inside a character. It prefers to end at a
// space in the last quarter.
func cutUnits(s string, limit int) string {
	if limit <= 0 {
		return ""
	}
	if units(s) <= limit {
		return s
	}
	n, end := 0, 0
	for i, r := range s {
		l := max(utf16.RuneLen(r), 1)
		if n+l > limit-1 {
			break
		}
		n += l
		end = i + utf8.RuneLen(r)
		if r == utf8.RuneError {
			_, size := utf8.DecodeRuneInString(s[i:])
			end = i + size
		}
	}
	head := s[:end]
	if space := strings.LastIndexAny(head, " \n"); space > end*3/4 {
		head = head[:space]
	}
	// Half a time stamp would show as what it is written with.
	if open := strings.LastIndexByte(head, '<'); open > strings.LastIndexByte(head, '>') &&
		(strings.HasPrefix(head[open:], "<t:") || strings.HasPrefix("<t:", head[open:])) {
		head = strings.TrimRight(head[:open], " ")
	}
	// A lone backslash before the ellipsis would escape nothing or hide it.
	head = strings.TrimRight(head, " \n")
	if trailing := len(head) - len(strings.TrimRight(head, `\`)); trailing%2 == 1 {
		head = head[:len(head)-1]
	}
	return head + "…"
}

// cutBytes shortens a log text to at most limit bytes, between characters.
func cutBytes(s string, limit int) string {
	if len(s) <= limit {
		return s
	}
	for limit > 0 && !utf8.RuneStart(s[limit]) {
		limit--
	}
	return s[:limit]
}

// printable replaces what could break a log line or a terminal.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if r == utf8.RuneError || !unicode.IsPrint(r) {
			return '?'
		}
		return r
	}, s)
}
