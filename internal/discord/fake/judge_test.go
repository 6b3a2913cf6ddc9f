package fake

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
)

// TestJudgeAnswer breaks one rule at a time. A judge that finds nothing wrong
// would make every other test worthless.
func TestJudgeAnswer(t *testing.T) {
	const allowed = `"allowed_mentions":{"parse":[]}`
	button := func(id string) string { return `{"type":2,"style":2,"label":"x","custom_id":"` + id + `"}` }
	row := func(inner string) string { return `{"type":1,"components":[` + inner + `]}` }
	long := func(n int) string { return strings.Repeat("x", n) }
	msg := func(rest string) string { return `{"type":4,"data":{` + allowed + `,` + rest + `}}` }
	png := []File{{Name: "a.png", Data: []byte("x")}}
	cases := map[string]struct {
		body  string
		files []File
		want  string // "" is good
	}{
		"good":                     {body: msg(`"content":"hi"`)},
		"good with everything":     {body: msg(`"embeds":[{"title":"t","image":{"url":"attachment://a.png"}}],"components":[` + row(button("a")) + `],"attachments":[{"id":0,"filename":"a.png","description":"alt"}],"flags":64`), files: png},
		"good form":                {body: `{"type":9,"data":{"custom_id":"f","title":"t","components":[{"type":18,"label":"l","component":{"type":4,"custom_id":"a","style":1}}]}}`},
		"good deferral":            {body: `{"type":5,"data":{"flags":64}}`},
		"good empty suggestions":   {body: `{"type":8,"data":{"choices":[]}}`},
		"no mentions rule":         {body: `{"type":4,"data":{"content":"hi"}}`, want: "allowed_mentions"},
		"mentions without a list":  {body: `{"type":4,"data":{"content":"hi","allowed_mentions":{}}}`, want: "without parse"},
		"unknown field":            {body: msg(`"content":"hi","later":1`), want: "later"},
		"nothing in it":            {body: msg(`"embeds":[]`), want: "InteractionCallback"},
		"empty embed":              {body: msg(`"embeds":[{"color":1}]`), want: "empty embed"},
		"long title":               {body: msg(`"embeds":[{"title":"` + long(257) + `"}]`), want: "title"},
		"title of wide characters": {body: msg(`"embeds":[{"title":"` + strings.Repeat("🧪", 129) + `"}]`), want: "258 UTF-16"},
		"embeds in sum":            {body: msg(`"embeds":[{"description":"` + long(3500) + `"},{"description":"` + long(2501) + `"}]`), want: "6001 UTF-16"},
		"blank field":              {body: msg(`"embeds":[{"fields":[{"name":" ","value":"x"}]}]`), want: "spaces only"},
		"same id twice":            {body: msg(`"content":"a","components":[` + row(button("a")+","+button("a")) + `]`), want: `"a" twice`},
		"long id":                  {body: msg(`"content":"a","components":[` + row(button(long(101))) + `]`), want: "InteractionCallback"},
		"six rows":                 {body: msg(`"content":"a","components":[` + rows(6, row, button) + `]`), want: "InteractionCallback"},
		"six buttons":              {body: msg(`"content":"a","components":[` + row(button("a")+","+button("b")+","+button("c")+","+button("d")+","+button("e")+","+button("f")) + `]`), want: "InteractionCallback"},
		"same value twice":         {body: msg(`"content":"a","components":[` + row(`{"type":3,"custom_id":"s","options":[{"label":"a","value":"v"},{"label":"b","value":"v"}]}`) + `]`), want: "select value"},
		"strange flag":             {body: msg(`"content":"a","flags":2`), want: "flags hold 2"},
		"v2 with content":          {body: msg(`"content":"a","components":[{"type":10,"content":"x"}],"flags":32768`), want: "InteractionCallback"},
		"v2 with much text":        {body: msg(`"components":[{"type":10,"content":"` + long(2001) + `"},{"type":10,"content":"` + long(2000) + `"}],"flags":32768`), want: "4001 UTF-16"},
		"v2 with many parts":       {body: msg(`"components":[` + strings.TrimSuffix(strings.Repeat(row(button("@"))+",", 21), ",") + `],"flags":32768`), want: "42 components"},
		"file without attachment":  {body: msg(`"content":"a"`), files: png, want: "no attachment"},
		"file of another name":     {body: msg(`"content":"a","attachments":[{"id":0,"filename":"b.png","description":"alt"}]`), files: png, want: "is named"},
		"picture without words":    {body: msg(`"content":"a","attachments":[{"id":0,"filename":"a.png"}]`), files: png, want: "alt text"},
		"picture that is not sent": {body: msg(`"embeds":[{"image":{"url":"attachment://b.png"}}]`), want: "not sent"},
		"large file":               {body: msg(`"content":"a","attachments":[{"id":0,"filename":"a.bin"}]`), files: []File{{"a.bin", make([]byte, fileSize+1)}}, want: "10485761 bytes"},
		"deferral with content":    {body: `{"type":5,"data":{"content":"x"}}`, want: "InteractionCallback"},
		"suggestions null":         {body: `{"type":8,"data":{"choices":null}}`, want: "null"},
		"form with equal ids": {body: `{"type":9,"data":{"custom_id":"f","title":"t","components":[` +
			`{"type":18,"label":"l","component":{"type":4,"custom_id":"a","style":1}},{"type":18,"label":"m","component":{"type":4,"custom_id":"a","style":1}}]}}`, want: `"a" twice`},
		"form with a long value": {body: `{"type":9,"data":{"custom_id":"f","title":"t","components":[` +
			`{"type":18,"label":"l","component":{"type":4,"custom_id":"a","style":1,"value":"abc","max_length":2}}]}}`, want: "longer than its own limit"},
	}
	for name, c := range cases {
		bad := JudgeAnswer([]byte(c.body), c.files)
		switch {
		case c.want == "" && len(bad) > 0:
			t.Errorf("%s: %v", name, bad)
		case c.want != "" && !strings.Contains(strings.Join(bad, "\n"), c.want):
			t.Errorf("%s: found %q, want %q", name, bad, c.want)
		}
	}
}

func rows(n int, row, button func(string) string) string {
	var all []string
	for i := range n {
		all = append(all, row(button(fmt.Sprint("b", i))))
	}
	return strings.Join(all, ",")
}

func TestJudgeCommands(t *testing.T) {
	cmd := func(name, rest string) string {
		return `{"type":1,"name":"` + name + `","description":"d"` + rest + `}`
	}
	opt := func(name, rest string) string {
		return `{"type":3,"name":"` + name + `","description":"d"` + rest + `}`
	}
	big := strings.TrimSuffix(strings.Repeat("@,", 25), ",")
	for n := range 25 {
		big = strings.Replace(big, "@", opt(fmt.Sprint("o", n), `,"choices":[{"name":"`+strings.Repeat("n", 100)+`","value":"`+strings.Repeat("v", 100)+`"},{"name":"`+strings.Repeat("m", 100)+`","value":"`+strings.Repeat("w", 100)+`"}]`), 1)
	}
	cases := map[string]struct{ list, want string }{
		"good":                      {cmd("a", `,"options":[`+opt("b", `,"required":true`)+`,`+opt("c", ``)+`]`), ""},
		"good translation":          {cmd("a", `,"options":[`+opt("b", `,"name_localizations":{"fr":"bé"}`)+`,`+opt("c", `,"name_localizations":{"fr":"cé"}`)+`]`), ""},
		"twice":                     {cmd("a", "") + "," + cmd("a", ""), "twice"},
		"option twice":              {cmd("a", `,"options":[`+opt("b", "")+`,`+opt("b", "")+`]`), `"b" twice`},
		"required last":             {cmd("a", `,"options":[`+opt("b", ``)+`,`+opt("c", `,"required":true`)+`]`), "required option"},
		"required last in a sub":    {cmd("a", `,"options":[{"type":1,"name":"s","description":"d","options":[`+opt("b", ``)+`,`+opt("c", `,"required":true`)+`]}]`), "a s: required option"},
		"upper case":                {cmd("A", ""), "CommandBulkOverwrite"},
		"no description":            {`{"type":1,"name":"a"}`, "CommandBulkOverwrite"},
		"long description":          {`{"type":1,"name":"a","description":"` + strings.Repeat("x", 101) + `"}`, "CommandBulkOverwrite"},
		"26 options":                {cmd("a", `,"options":[`+strings.TrimSuffix(strings.Repeat(opt("b", "")+",", 26), ",")+`]`), "CommandBulkOverwrite"},
		"subs and options":          {cmd("a", `,"options":[`+opt("b", "")+`,{"type":1,"name":"s","description":"d"}]`), "CommandBulkOverwrite"},
		"autocomplete with choices": {cmd("a", `,"options":[`+opt("b", `,"autocomplete":true,"choices":[{"name":"x","value":"x"}]`)+`]`), "CommandBulkOverwrite"},
		"min above max":             {cmd("a", `,"options":[{"type":4,"name":"n","description":"d","min_value":3,"max_value":2}]`), "min_value above"},
		"too much text":             {cmd("a", `,"options":[`+big+`]`), "APPLICATION_COMMAND_TOO_LARGE"},
		"translation of another":    {cmd("a", `,"options":[`+opt("b", `,"name_localizations":{"fr":"c"}`)+`,`+opt("c", ``)+`]`), `"c" twice`},
		"same translation":          {cmd("a", `,"options":[`+opt("b", `,"name_localizations":{"fr":"x"}`)+`,`+opt("c", `,"name_localizations":{"fr":"x"}`)+`]`), `"x" twice`},
		"unknown language":          {cmd("a", `,"name_localizations":{"xx":"b"}`), "CommandBulkOverwrite"},
		"a library's null extras":   {cmd("a", `,"options":[{"type":3,"name":"b","description":"d","channel_types":null}]`), "CommandBulkOverwrite"},
	}
	for name, c := range cases {
		found := strings.Join(JudgeCommands([]byte("["+c.list+"]")), "\n")
		if c.want == "" && found != "" || !strings.Contains(found, c.want) {
			t.Errorf("%s: found %q, want %q", name, found, c.want)
		}
	}
	var hundred []string
	for n := range 101 {
		hundred = append(hundred, cmd(fmt.Sprint("c", n), ""))
	}
	if found := JudgeCommands([]byte("[" + strings.Join(hundred, ",") + "]")); len(found) != 1 || !strings.Contains(found[0], "101 commands") {
		t.Errorf("101 commands: %v", found)
	}
}

// TestExamplesAreWhatTheySay checks frames and answers by their schemas.
func TestExamplesAreWhatTheySay(t *testing.T) {
	for _, name := range Examples("gateway") {
		if err := CheckInbound("GatewayFrame", Example(t, "gateway/"+name)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, name := range Examples("rest") {
		var doc struct {
			Status int
			Body   json.RawMessage
		}
		if err := json.Unmarshal(Example(t, "rest/"+name), &doc); err != nil {
			t.Fatal(err)
		}
		schema := "APIError"
		switch {
		case name == "gateway_bot":
			schema = "GatewayBot"
		case name == "429_without_json":
			continue
		case doc.Status == 429:
			schema = "RateLimited"
		}
		if err := CheckOutbound(schema, doc.Body); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	if len(Examples("")) < 21 || len(Examples("gateway")) < 10 || len(Examples("rest")) < 13 {
		t.Error("examples are missing")
	}
}
