package fake

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"unicode/utf8"
)

// judgeCommands checks what the schema can't say about a list of commands
// (Application Commands, "Application Command Naming", "Option Structure",
// "Registering a Command").
func judgeCommands(commands []any) []string {
	var bad []string
	complain := func(format string, args ...any) { bad = append(bad, fmt.Sprintf(format, args...)) }
	seen := make(map[string]bool)
	perType := make(map[int]int)
	for _, one := range commands {
		c := object(one)
		kind := max(number(c["type"]), 1)
		perType[kind]++
		key := fmt.Sprint(kind, text(c["name"]))
		if seen[key] {
			complain("command %q twice", text(c["name"]))
		}
		seen[key] = true
		if n := commandText(c); n > 8000 {
			complain("command %q: APPLICATION_COMMAND_TOO_LARGE, %d characters", text(c["name"]), n)
		}
		bad = append(bad, judgeOptions(text(c["name"]), list(c["options"]))...)
	}
	for kind, most := range map[int]int{1: 100, 2: 15, 3: 15} {
		if perType[kind] > most {
			complain("%d commands of type %d, at most %d", perType[kind], kind, most)
		}
	}
	return bad
}

func judgeOptions(where string, options []any) []string {
	var bad []string
	complain := func(format string, args ...any) {
		bad = append(bad, where+": "+fmt.Sprintf(format, args...))
	}
	seen := make(map[string]bool)
	optional := false
	for _, one := range options {
		o := object(one)
		name := text(o["name"])
		if seen[name] {
			complain("option %q twice", name)
		}
		seen[name] = true
		required, _ := o["required"].(bool)
		if required && optional {
			complain("required option %q after one that is not", name)
		}
		optional = optional || !required
		for _, pair := range [][2]string{{"min_value", "max_value"}, {"min_length", "max_length"}} {
			low, hasLow := o[pair[0]].(float64)
			high, hasHigh := o[pair[1]].(float64)
			if hasLow && hasHigh && low > high {
				complain("option %q has %s above %s", name, pair[0], pair[1])
			}
		}
		values := make(map[string]bool)
		for _, ch := range list(o["choices"]) {
			n := text(object(ch)["name"])
			if values[n] {
				complain("option %q has choice %q twice", name, n)
			}
			values[n] = true
		}
		bad = append(bad, judgeOptions(where+" "+name, list(o["options"]))...)
	}
	return append(bad, judgeLocalNames(where, options, seen)...)
}

// judgeLocalNames wants a translated name to differ from all default names in
// its array but its own, and from the others in its language.
func judgeLocalNames(where string, options []any, names map[string]bool) []string {
	var bad []string
	byLocale := make(map[string]map[string]bool)
	for _, one := range options {
		o := object(one)
		for locale, v := range object(o["name_localizations"]) {
			local := text(v)
			if byLocale[locale] == nil {
				byLocale[locale] = make(map[string]bool)
			}
			if names[local] && local != text(o["name"]) || byLocale[locale][local] {
				bad = append(bad, fmt.Sprintf("%s: %s name %q twice", where, locale, local))
			}
			byLocale[locale][local] = true
		}
	}
	return bad
}

// commandText counts the characters the service counts: names, descriptions
// and choice values, of each text the longest translation.
func commandText(c map[string]any) int {
	n := longest(c, "name") + longest(c, "description")
	for _, ch := range list(c["choices"]) {
		n += longest(object(ch), "name")
		switch v := object(ch)["value"].(type) {
		case string:
			n += utf8.RuneCountInString(v)
		case float64:
			n += len(strconv.FormatFloat(v, 'f', -1, 64))
		}
	}
	for _, o := range list(c["options"]) {
		n += commandText(object(o))
	}
	return n
}

func longest(c map[string]any, key string) int {
	n := utf8.RuneCountInString(text(c[key]))
	for _, v := range object(c[key+"_localizations"]) {
		n = max(n, utf8.RuneCountInString(text(v)))
	}
	return n
}

// dailyCreates is how many new names a day are taken (error 30034).
const dailyCreates = 200

func (s *Server) getCommands(x *exchange) reply {
	if x.URL.Query().Get("with_localizations") != "true" {
		s.violate("%s: without with_localizations", x.route)
	}
	out := s.commands
	if out == nil {
		out = []json.RawMessage{}
	}
	return reply{http.StatusOK, out}
}

func (s *Server) putCommands(x *exchange) reply {
	if bad := judgeCommands(x.list); len(bad) > 0 {
		for _, b := range bad {
			s.violate("%s: %s", x.route, b)
		}
		return refuse(http.StatusBadRequest, 50035, "Invalid Form Body")
	}
	created := 0
	for _, one := range x.list {
		if !s.names[text(object(one)["name"])] {
			created++
		}
	}
	if len(s.names)+created > dailyCreates {
		return refuse(http.StatusBadRequest, 30034, "Maximum number of daily application command creates has been reached (200)")
	}
	s.puts++
	s.commands = nil
	for _, one := range x.list {
		c := object(one)
		s.names[text(c["name"])] = true
		raw, err := json.Marshal(s.stored(c))
		if err == nil {
			err = CheckOutbound("CommandList", append(append([]byte("["), raw...), ']'))
		}
		if err != nil {
			s.violate("%s: what the service would store is wrong: %v", x.route, err)
			continue
		}
		s.commands = append(s.commands, raw)
	}
	return reply{http.StatusOK, s.commands}
}

// stored is a command as the service gives it back: with ids and with the
// defaults that were left out.
func (s *Server) stored(c map[string]any) map[string]any {
	out := map[string]any{
		"id": s.id(), "application_id": ApplicationID, "version": s.id(), "type": 1, "nsfw": false,
		"default_member_permissions": nil, "dm_permission": true, "contexts": nil, "integration_types": []int{0},
		"name_localizations": nil, "description_localizations": nil,
	}
	for k, v := range c {
		if v != nil {
			out[k] = v
		}
	}
	return out
}
