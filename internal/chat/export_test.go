package chat

// ParseLine is parseLine for tests from outside: its words and its options in
// order, names and values by turns.
func ParseLine(line string) (words, options []string, err error) {
	t, err := parseLine(line)
	for _, p := range t.options {
		options = append(options, p.name, p.value)
	}
	return t.words, options, err
}

// Distances is distances, Tabled the same by the whole table.
func Distances(a, b string) []int { return Near(a).distances([]rune(b)) }
func Tabled(a, b string) []int    { return Near(a).tabled([]rune(b)) }
