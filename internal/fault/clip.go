package fault

// echoMost is how much of a stranger's text a message repeats.
const echoMost = 60

// Echo keeps what somebody typed short where a message shows what was read.
func Echo(typed string) string { return Clip(typed, echoMost) }

// Clip keeps a text within so many characters.
func Clip(text string, most int) string {
	if len(text) <= most { // no text has more characters than bytes
		return text
	}
	if r := []rune(text); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return text
}
