package fake

import (
	"fmt"
	"path"
	"strings"
	"unicode/utf16"
)

// Limits of messages that the schema does not hold (Message, "Embed Limits";
// Component Reference; Reference, "Uploading Files").
const (
	embedSum      = 6000
	v2Components  = 40
	v2Text        = 4000
	flagNoEmbeds  = 1 << 2
	flagEphemeral = 1 << 6
	flagLoading   = 1 << 7
	flagSilent    = 1 << 12
	flagV2        = 1 << 15
	fileSize      = 10 << 20
)

// judgeMessage checks what the schema can't say about a message's content.
func judgeMessage(m map[string]any, files []File) []string {
	var bad []string
	complain := func(format string, args ...any) { bad = append(bad, fmt.Sprintf(format, args...)) }
	if mentions, ok := m["allowed_mentions"].(map[string]any); !ok {
		complain("no allowed_mentions")
	} else if _, ok := mentions["parse"].([]any); !ok {
		complain("allowed_mentions without parse")
	}
	flags := number(m["flags"])
	if odd := flags &^ (flagNoEmbeds | flagEphemeral | flagSilent | flagV2); odd != 0 {
		complain("flags hold %d", odd)
	}
	if n := units(text(m["content"])); n > 2000 {
		complain("content of %d UTF-16 units", n)
	}
	bad = append(bad, judgeEmbeds(list(m["embeds"]))...)
	bad = append(bad, judgeComponents(list(m["components"]), flags&flagV2 != 0)...)
	bad = append(bad, judgeFiles(m, files)...)
	return bad
}

func judgeEmbeds(embeds []any) []string {
	var bad []string
	sum := 0
	count := func(what string, s string, most int) {
		n := units(s)
		sum += n
		if n > most {
			bad = append(bad, fmt.Sprintf("%s of %d UTF-16 units, at most %d", what, n, most))
		}
	}
	for _, one := range embeds {
		e := object(one)
		count("embed title", text(e["title"]), 256)
		count("embed description", text(e["description"]), 4096)
		count("footer", text(object(e["footer"])["text"]), 2048)
		count("author", text(object(e["author"])["name"]), 256)
		for _, f := range list(e["fields"]) {
			count("field name", text(object(f)["name"]), 256)
			count("field value", text(object(f)["value"]), 1024)
			if strings.TrimSpace(text(object(f)["name"])) == "" || strings.TrimSpace(text(object(f)["value"])) == "" {
				bad = append(bad, "a field of spaces only")
			}
		}
		if len(e) == 0 || len(e) == 1 && e["color"] != nil {
			bad = append(bad, "an empty embed")
		}
	}
	if sum > embedSum {
		bad = append(bad, fmt.Sprintf("embeds of %d UTF-16 units in sum, at most %d", sum, embedSum))
	}
	return bad
}

// judgeComponents wants ids unique in the message and v2 within its limits.
func judgeComponents(top []any, v2 bool) []string {
	var bad []string
	ids := make(map[string]bool)
	total, chars := 0, 0
	walk(top, func(c map[string]any) {
		total++
		chars += units(text(c["content"]))
		id, ok := c["custom_id"].(string)
		if !ok {
			return
		}
		if ids[id] {
			bad = append(bad, fmt.Sprintf("custom_id %q twice", id))
		}
		ids[id] = true
		if units(id) > 100 {
			bad = append(bad, fmt.Sprintf("custom_id of %d UTF-16 units", units(id)))
		}
		values := make(map[string]bool)
		for _, o := range list(c["options"]) {
			v := text(object(o)["value"])
			if values[v] {
				bad = append(bad, fmt.Sprintf("select value %q twice", v))
			}
			values[v] = true
		}
	})
	if v2 && total > v2Components {
		bad = append(bad, fmt.Sprintf("%d components, at most %d", total, v2Components))
	}
	if v2 && chars > v2Text {
		bad = append(bad, fmt.Sprintf("components with %d UTF-16 units of text, at most %d", chars, v2Text))
	}
	if !v2 && len(top) > 5 {
		bad = append(bad, fmt.Sprintf("%d rows, at most 5", len(top)))
	}
	return bad
}

// walk visits components and those inside them.
func walk(components []any, visit func(map[string]any)) {
	for _, one := range components {
		c := object(one)
		visit(c)
		walk(list(c["components"]), visit)
		for _, key := range []string{"component", "accessory"} {
			if inner, ok := c[key].(map[string]any); ok {
				walk([]any{inner}, visit)
			}
		}
	}
}

// judgeFiles wants each upload described by an attachment of its number, each
// picture with a text for those who can't see it, and each reference to an
// attachment to lead to one.
func judgeFiles(m map[string]any, files []File) []string {
	var bad []string
	complain := func(format string, args ...any) { bad = append(bad, fmt.Sprintf(format, args...)) }
	described := list(m["attachments"])
	names := make(map[string]bool)
	for n, f := range files {
		if n >= len(described) || number(object(described[n])["id"]) != n {
			complain("file %d has no attachment of its number", n)
			continue
		}
		a := object(described[n])
		if text(a["filename"]) != f.Name {
			complain("file %d is named %q and %q", n, f.Name, text(a["filename"]))
		}
		if names[f.Name] {
			complain("two files named %q", f.Name)
		}
		names[f.Name] = true
		if path.Ext(f.Name) == ".png" && strings.TrimSpace(text(a["description"])) == "" {
			complain("picture %q without alt text", f.Name)
		}
		if len(f.Data) > fileSize {
			complain("file %q of %d bytes", f.Name, len(f.Data))
		}
	}
	for _, one := range list(m["embeds"]) {
		for _, key := range []string{"image", "thumbnail"} {
			url := text(object(object(one)[key])["url"])
			if name, ok := strings.CutPrefix(url, "attachment://"); ok && !names[name] {
				complain("%s refers to %q, which is not sent", key, name)
			}
		}
	}
	return bad
}

// judgeForm checks a modal: its inputs' ids are unique and labels are filled.
func judgeForm(m map[string]any) []string {
	bad := judgeComponents(list(m["components"]), true)
	walk(list(m["components"]), func(c map[string]any) {
		if _, ok := c["disabled"]; ok {
			bad = append(bad, "a form's input can't be disabled")
		}
		if most := number(c["max_length"]); most > 0 && units(text(c["value"])) > most {
			bad = append(bad, "a form's text is longer than its own limit")
		}
	})
	return bad
}

func object(v any) map[string]any {
	m, _ := v.(map[string]any)
	return m
}

func list(v any) []any {
	l, _ := v.([]any)
	return l
}

func text(v any) string {
	s, _ := v.(string)
	return s
}

func number(v any) int {
	f, _ := v.(float64)
	return int(f)
}

// units counts UTF-16 code units.
func units(s string) int { return len(utf16.Encode([]rune(s))) }
