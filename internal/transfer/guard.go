package transfer

import "regexp"

// guarded is a text that a spreadsheet would take for a formula, also behind
// the apostrophes that keep it from that: = + - @, and the tab and line breaks
// that some skip before looking (OWASP, "CSV Injection", from memory). Numbers
// are not guarded: they are written by this package and are no formulas.
var guarded = regexp.MustCompile(`^'*[=+\-@\t\r\n＝＋－＠]`)

// guard makes a text harmless in a spreadsheet; unguard takes that back. They
// are exact inverses.
func guard(text string) string {
	if guarded.MatchString(text) {
		return "'" + text
	}
	return text
}

func unguard(text string) string {
	if len(text) > 1 && text[0] == '\'' && guarded.MatchString(text[1:]) {
		return text[1:]
	}
	return text
}
