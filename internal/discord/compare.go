package discord

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
)

// compare lists what registering wanted would change, one line each, nothing
// when all is as it should be.
func compare(have, wanted []command) []string {
	key := func(c command) string { return fmt.Sprint(max(c.Type, defaultCommandType), " ", c.Name) }
	old := make(map[string]command, len(have))
	for _, c := range have {
		old[key(c)] = c
	}
	var lines []string
	for _, c := range wanted {
		before, ok := old[key(c)]
		delete(old, key(c))
		if !ok {
			lines = append(lines, "+ /"+c.Name)
			continue
		}
		lines = append(lines, changed(before, c)...)
	}
	for _, k := range sortedKeys(old) {
		lines = append(lines, "- /"+printable(old[k].Name))
	}
	return lines
}

// changed lists the differences inside one command.
func changed(before, after command) []string {
	was, is := flatten(before), flatten(after)
	var lines []string
	for _, line := range was {
		if !slices.Contains(is, line) {
			lines = append(lines, "  - "+printable(line))
		}
	}
	for _, line := range is {
		if !slices.Contains(was, line) {
			lines = append(lines, "  + "+printable(line))
		}
	}
	if len(lines) == 0 {
		return nil
	}
	return append([]string{"~ /" + after.Name}, lines...)
}

// flatten writes a command as one line for each thing it says. Defaults that
// the service fills in say nothing.
func flatten(c command) []string {
	lines := []string{"description = " + c.Description}
	lines = append(lines, flattenWords("name", c.NameLocal)...)
	lines = append(lines, flattenWords("description", c.DescriptionLocal)...)
	lines = append(lines, fmt.Sprint("contexts = ", sorted(c.Contexts)), fmt.Sprint("integration_types = ", sorted(c.IntegrationTypes)))
	if c.Permissions != nil {
		lines = append(lines, "default_member_permissions = "+*c.Permissions)
	}
	if c.AgeLimited {
		lines = append(lines, "nsfw")
	}
	return append(lines, flattenOptions("", c.Options)...)
}

func flattenOptions(path string, options []option) []string {
	if len(options) == 0 {
		return nil
	}
	names := make([]string, len(options))
	for i, o := range options {
		names[i] = o.Name
	}
	lines := []string{path + "order = " + strings.Join(names, ", ")}
	for _, o := range options {
		at := path + o.Name + "."
		lines = append(lines, fmt.Sprint(at, "type = ", o.Type), at+"description = "+o.Description)
		lines = append(lines, flattenWords(at+"name", o.NameLocal)...)
		lines = append(lines, flattenWords(at+"description", o.DescriptionLocal)...)
		if o.Required {
			lines = append(lines, at+"required")
		}
		if o.Autocomplete {
			lines = append(lines, at+"autocomplete")
		}
		lines = append(lines, flattenLimits(at, o)...)
		lines = append(lines, flattenOptions(at, o.Options)...)
	}
	return lines
}

func flattenLimits(at string, o option) []string {
	var lines []string
	if o.MinValue != nil {
		lines = append(lines, fmt.Sprint(at, "min_value = ", *o.MinValue))
	}
	if o.MaxValue != nil {
		lines = append(lines, fmt.Sprint(at, "max_value = ", *o.MaxValue))
	}
	if o.MinLength != nil {
		lines = append(lines, fmt.Sprint(at, "min_length = ", *o.MinLength))
	}
	if o.MaxLength != nil {
		lines = append(lines, fmt.Sprint(at, "max_length = ", *o.MaxLength))
	}
	if len(o.ChannelTypes) > 0 {
		lines = append(lines, fmt.Sprint(at, "channel_types = ", sorted(o.ChannelTypes)))
	}
	if len(o.FileTypes) > 0 {
		lines = append(lines, at+"file_types = "+strings.Join(o.FileTypes, " "))
	}
	if len(o.Choices) > 0 {
		// Choices are shown in their order, so they make one line.
		if text, err := json.Marshal(o.Choices); err == nil {
			lines = append(lines, at+"choices = "+string(text))
		}
	}
	return lines
}

func flattenWords(at string, words map[string]string) []string {
	var lines []string
	for _, locale := range sortedKeys(words) {
		lines = append(lines, at+" ("+locale+") = "+words[locale])
	}
	return lines
}

func sorted(list []int) []int {
	list = slices.Clone(list)
	slices.Sort(list)
	return list
}
