package bench_test

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"html"
	"mime/multipart"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/bench"
	"github.com/pourwright/pourwright/internal/chat"
)

const cup = `/cup material:"demo rigid white" mass:"300 g"`

func TestHomeShowsWhatCanBeAsked(t *testing.T) {
	v := open(t, nil)
	wants(t, v.get(""), 200,
		"Ada", "Kettle Lane Makers&#39; Hall", "Nothing asked yet",
		"How much A and B for 250 ml?", // a question that only looks is a button
		`<button class="ask" name="line" value="/cup material:&#34;demo rigid white&#34; volume:&#34;250 ml&#34;">`,
		`<a class="ask" href="`, // one that writes is laid into the box
		`?line=%2Fmold`, `/ask/cup">/cup</a>`, `/ask/mold">/mold</a>`,
		`class="skip"`, `<html lang="en">`, `name="viewport"`)
	wants(t, v.get("?line=/mold+list"), 200, `name="line" value="/mold list"`)
}

func TestAddressWithoutSlash(t *testing.T) {
	v := open(t, nil)
	v.page = strings.TrimSuffix(v.page, "/")
	wants(t, v.get(""), 200, "What can I ask?")
}

// The whole reply is on the page, in the order of reading.
func TestLineIsAnswered(t *testing.T) {
	v := open(t, nil)
	page := v.ask(cup)
	order := []string{
		html.EscapeString(cup), `href="` + "/", "Mix 150 g A with 150 g B", "Part A", "150", "Part B",
		`<time datetime="2026-11-25T12:12:00Z" data-clock>12:12</time>`,
		"Extra 4", "All 10 facts", "Extra 5", "Extra 6",
		"Warm the jugs", "Pour into the thinnest", "is your room colder?", "Gloves and fresh air", "Cautions in full", "Nitrile gloves",
		`alt="The level of A and of both in the cup"`, "cup.csv</a>", "11 bytes",
		"Show working", "M·wA/(wA&#43;wB)", "300.0 g × 1/2 = 150.0 g", "definition",
		"Post here", "Twice as much",
	}
	wants(t, page, 200)
	rest := page.text[strings.Index(page.text, `id="a1"`):]
	for _, want := range order {
		i := strings.Index(rest, want)
		if i < 0 {
			t.Fatalf("no %q after the one before in:\n%s", want, page.text)
		}
		rest = rest[i:]
	}
	if page.at.Fragment != "a1" {
		t.Errorf("the browser is sent to %q, want the answer", page.at)
	}
	if strings.Contains(page.text, "<button name=\"id\" value=\"1w") {
		t.Error("Show working is a button though it opens in place")
	}
}

// A word of the trade leads to its meaning where it stands first, once.
func TestTermsLead(t *testing.T) {
	v := open(t, nil)
	page := v.ask(`/mold add name:pawn pulls:2`)
	if n := strings.Count(page.text, `value="/term word:pull"`); n != 1 {
		t.Errorf("%d links to the word, want 1:\n%s", n, page.text)
	}
	wants(t, v.ask("/term word:pull"), 200, "What pull means")
}

func TestNewestFirst(t *testing.T) {
	v := open(t, nil)
	v.ask("/mold list")
	page := v.ask("/term word:pull")
	if strings.Index(page.text, `id="a2"`) > strings.Index(page.text, `id="a1"`) {
		t.Error("the older answer stands above the newer one")
	}
}

func TestEmptyLineAsksNothing(t *testing.T) {
	v := open(t, nil)
	wants(t, v.ask("  "), 200, "Nothing asked yet")
}

func TestFaultSaysWhatToType(t *testing.T) {
	v := open(t, nil)
	tests := map[string][]string{
		"cup":                               {"a line begins with a slash", "try /help", `data-code="unknown_command"`},
		"/cop":                              {"there is no command /cop", "did you mean /cup?"},
		"/cup":                              {"material is missing", `data-code="missing_option"`},
		"/cup material:nothing mass:300g":   {"no material is called", "did you mean demo rigid white?", ">demo rigid black</button>"},
		"/odd break":                        {"something broke on our side; reference k3f9-2m", `data-code="internal"`},
		`/cup material:"x" mass:"3 apples"`: {`data-code="bad_quantity"`},
	}
	for line, texts := range tests {
		page := v.ask(line)
		wants(t, page, 200)
		for _, text := range texts {
			wants(t, page, 200, strings.ReplaceAll(text, "'", "&#39;"))
		}
	}
	if page := v.get(""); strings.Contains(page.text, "the disk is full") {
		t.Error("a page shows the cause of an internal fault")
	}
}

// A press of a near value takes the refusal's place; a press that answers
// anew takes its own answer's place only where the action says so.
func TestPressReplaces(t *testing.T) {
	v := open(t, nil)
	page := v.ask("/cup material:nothing mass:300g")
	press := func(label string) {
		id := find(t, page.text, `name="id" value="([^"]+)">`+label+`</button>`)
		page = v.post("press", url.Values{"id": {html.UnescapeString(id)}, "of": {"1"}})
	}
	press("demo rigid white")
	wants(t, page, 200, "Mix 150 g A", `<span class="line">demo rigid white</span>`)
	if strings.Contains(page.text, `class="fault"`) || strings.Contains(page.text, `id="a2"`) {
		t.Errorf("the refusal is still there:\n%s", page.text)
	}
	press("Twice as much")
	wants(t, page, 200, "Mix 300 g A")
	if strings.Contains(page.text, "Mix 150 g A") {
		t.Error("the answer that was to be replaced is still there")
	}
	if strings.Contains(page.text, "for all to see") {
		t.Error("a private answer is marked as posted")
	}
	press("Post here")
	wants(t, page, 200, `id="a2"`, "for all to see")
}

func TestPressOfAnOldButton(t *testing.T) {
	v := open(t, nil)
	wants(t, v.post("press", url.Values{"id": {"gone"}, "of": {"7"}}), 200, "from an older answer", "type the command again")
}

// A form that an answer opens is filled in place: refused with what was typed
// still there, then answered.
func TestFormIsFilled(t *testing.T) {
	v := open(t, nil)
	page := v.ask("/mold add")
	wants(t, page, 200, "A new mold", `name="o.name"`, `<textarea`, "anything to remember")
	id := html.UnescapeString(find(t, page.text, `name="id" value="([^"]+)">`))
	fields := url.Values{"id": {id}, "of": {"1"}, "o.name": {"harbor pawn"}, "o.pulls": {"many"}, "o.notes": {"line one\r\nline two"}}
	page = v.post("fill", fields)
	wants(t, page, 200, "not a whole number", `value="harbor pawn"`, `value="many"`, `aria-invalid="true"`, `href="#e1-pulls"`, `id="e1-pulls"`)
	fields.Set("o.pulls", "3")
	page = v.post("fill", fields)
	wants(t, page, 200, "Kept harbor pawn with 3 pulls", "line one\nline two", `<span class="line">/mold add</span>`)
	if strings.Contains(page.text, "A new mold") {
		t.Error("the form is still there though it was answered")
	}
}

func TestFormOfACommand(t *testing.T) {
	v := open(t, nil)
	page := v.get("ask/cup")
	wants(t, page, 200,
		`<label for="f-material">Material <span class="needed">needed</span></label>`,
		`placeholder="such as demo rigid white"`, `<datalist id="f-material-list"><option value="demo rigid white">`,
		"Give one of these", `placeholder="such as 250 ml"`, `enctype="multipart/form-data"`, `type="file"`,
		"May be left out (7)", `inputmode="numeric"`, `type="radio" name="o.side" value="a"> A first`,
		`<select id="f-cup"`, `name="o.warm" value="yes"> Yes`, "Weigh A, then B")
	wants(t, v.get("ask/mold"), 200, "/mold add", "keep a mold", "/mold list")
	wants(t, v.get("ask/mold/add"), 200, `name="o.pulls"`)
	wants(t, v.get("ask/none"), 404, "There is no such command")
	wants(t, v.get("ask/mold/none"), 404, "There is no such command")
	wants(t, v.post("ask/none", url.Values{}), 404, "There is no such command")
	wants(t, v.get("ask/cup?o.material=resin&o.side=b"), 200, `value="resin"`, `value="b" checked`, `<details class="section" open>`)
}

// A refused form comes back as it was typed, the fault beside the field.
func TestFormOfACommandRefused(t *testing.T) {
	v := open(t, nil)
	page := v.post("ask/cup", url.Values{"o.material": {"nothing"}, "o.mass": {"300 g"}, "o.cup": {"200"}, "o.volume": {""}})
	wants(t, page, 422, "no material is called", `href="#f-material"`, `value="nothing"`, `value="300 g"`,
		`<option value="200" selected>`, ">demo rigid white</button>")
	if n := strings.Count(page.text, `aria-invalid="true"`); n != 1 {
		t.Errorf("%d fields are marked, want 1", n)
	}
	wants(t, v.post("ask/cup", url.Values{}), 422, "material is missing")
	wants(t, v.post("ask/odd/break", url.Values{}), 500, "reference k3f9-2m")
}

func TestFormOfACommandAnswered(t *testing.T) {
	v := open(t, nil)
	page := v.post("ask/cup", url.Values{"o.material": {"demo rigid white"}, "o.mass": {"300 g"}, "o.show": {"no"}})
	wants(t, page, 200, "Mix 150 g A", html.EscapeString(cup))
	again := html.UnescapeString(find(t, page.text, `<a href="/[a-z0-9]+/(ask/cup[^"]*)">Change and ask again`))
	wants(t, v.get(again), 200, `value="demo rigid white"`, `value="300 g"`)
	wants(t, v.post("ask/mold/list", url.Values{}), 200, "No molds yet")
}

// sendFile sends a form in parts, as one with a file is.
func sendFile(t *testing.T, v *visit, path, field, name string, data []byte, more map[string]string) answer {
	t.Helper()
	var buf bytes.Buffer
	w := multipart.NewWriter(&buf)
	add := func(field, value string) {
		if err := w.WriteField(field, value); err != nil {
			t.Fatal(err)
		}
	}
	add("token", v.token)
	for n, value := range more {
		add(n, value)
	}
	part, err := w.CreateFormFile(field, name)
	if err == nil {
		_, err = part.Write(data)
	}
	if err == nil {
		err = w.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	return v.send("POST", path, &buf, func(r *http.Request) { r.Header.Set("Content-Type", w.FormDataContentType()) })
}

func TestFileIsHandedOn(t *testing.T) {
	v := open(t, nil)
	data := bytes.Repeat([]byte("x"), 300)
	wants(t, sendFile(t, v, "line", "file", "part.stl", data, map[string]string{"line": "/cup material:white"}), 200,
		"Mix 150 g A", `/cup material:white</span> with <span class="line">part.stl</span>`)
	wants(t, sendFile(t, v, "ask/cup", "o.file", "part.stl", data, map[string]string{"o.material": "gray", "o.volume": ""}), 200,
		"Mix 150 g A with 150 g B of gray", "/cup material:gray file:part.stl")
	wants(t, sendFile(t, v, "line", "file", "part.stl", data, map[string]string{"line": "/mold list"}), 200, "takes no file")
}

func TestFilePastTheLimit(t *testing.T) {
	v := open(t, func(c *bench.Config) { c.FileMost = 1 << 20 })
	at := make([]byte, 1<<20)
	over := make([]byte, 1<<20+1)
	far := make([]byte, 40<<20)
	wants(t, sendFile(t, v, "line", "file", "part.stl", at, map[string]string{"line": "/cup material:white"}), 200, "Mix 524288 g A")
	for name, data := range map[string][]byte{"just": over, "far": far} {
		t.Run(name, func(t *testing.T) {
			wants(t, sendFile(t, v, "line", "file", "part.stl", data, map[string]string{"line": "/cup material:white"}), 200,
				`data-code="file_too_large"`, "larger than the 1 MiB")
			wants(t, sendFile(t, v, "ask/cup", "o.file", "part.stl", data, map[string]string{"o.material": "gray"}), 422,
				`data-code="file_too_large"`, `value="gray"`, `href="#f-file"`)
		})
	}
}

// In parts, too, nothing is read before the token, and no more than is meant.
func TestPartsAreGuarded(t *testing.T) {
	v := open(t, nil)
	tests := map[string]struct {
		body string
		want int
	}{
		"token not first": {"--b\r\nContent-Disposition: form-data; name=\"line\"\r\n\r\n/mold list\r\n--b\r\nContent-Disposition: form-data; name=\"token\"\r\n\r\n" + v.token + "\r\n--b--\r\n", 403},
		"token in a file": {"--b\r\nContent-Disposition: form-data; name=\"token\"; filename=\"x\"\r\n\r\nx\r\n--b\r\nContent-Disposition: form-data; name=\"line\"\r\n\r\n/mold list\r\n--b--\r\n", 403},
		"wrong token":     {"--b\r\nContent-Disposition: form-data; name=\"token\"\r\n\r\nx\r\n--b--\r\n", 403},
		"nothing":         {"", 400},
		"cut off":         {"--b\r\nContent-Disposition: form-data; name=\"token\"\r\n\r\n" + v.token, 400},
		"a long text":     {"--b\r\nContent-Disposition: form-data; name=\"token\"\r\n\r\n" + v.token + "\r\n--b\r\nContent-Disposition: form-data; name=\"line\"\r\n\r\n" + strings.Repeat("x", 2<<20) + "\r\n--b--\r\n", 413},
		"many parts":      {"--b\r\nContent-Disposition: form-data; name=\"token\"\r\n\r\n" + v.token + strings.Repeat("\r\n--b\r\nContent-Disposition: form-data; name=\"o.x\"\r\n\r\n1", 100) + "\r\n--b--\r\n", 400},
	}
	for name, tt := range tests {
		t.Run(name, func(t *testing.T) {
			wants(t, v.send("POST", "line", strings.NewReader(tt.body), func(r *http.Request) {
				r.Header.Set("Content-Type", "multipart/form-data; boundary=b")
			}), tt.want)
		})
	}
	wants(t, v.get(""), 200, "Nothing asked yet")
}

// Whoever wrote a text, it stays text.
func TestHostileTextStaysText(t *testing.T) {
	v := open(t, func(c *bench.Config) { c.MemberName, c.ShopName = hostile, hostile })
	pages := map[string]answer{
		"home":     v.get("?line=" + url.QueryEscape(hostile)),
		"line":     v.ask(hostile),
		"form":     v.ask("/odd hostile"),
		"reply":    v.ask("/odd hostile pick:" + chat.FormatLine("", map[string]string{"x": hostile}, nil)[4:]),
		"fault":    v.post("ask/odd/hostile", url.Values{"o.text": {hostile}}),
		"filled":   v.get("ask/odd/hostile?o.text=" + url.QueryEscape(hostile)),
		"subs":     v.get("ask/odd"),
		"nothing":  v.get(url.PathEscape(hostile)),
		"filename": sendFile(t, v, "line", "file", "<script>alert(1)</script>", nil, map[string]string{"line": "/mold list"}),
	}
	for name, page := range pages {
		if strings.Contains(page.text, "<script>alert") || strings.Contains(page.text, "<img src=x") || strings.Contains(page.text, "onerror=\"") {
			t.Errorf("%s lets hostile text out of its place:\n%s", name, page.text)
		}
	}
	reply := pages["reply"].text
	if n := strings.Count(reply, "&lt;script&gt;alert(1)"); n < 15 {
		t.Errorf("only %d hostile texts are shown, is the reply there?\n%s", n, reply)
	}
	file := v.get(find(t, reply, `href="/[a-z0-9]+/(file/[a-z0-9]+)"`))
	if got := file.header.Get("Content-Disposition"); !strings.HasPrefix(got, "attachment") || file.header.Get("Content-Type") != "application/octet-stream" {
		t.Errorf("a file comes as %q, %q: it must be saved, not shown", got, file.header.Get("Content-Type"))
	}
	if file.text != hostile {
		t.Errorf("the file holds %q", file.text)
	}
}

func TestPictures(t *testing.T) {
	v := open(t, nil)
	page := v.ask(cup)
	path := find(t, page.text, `src="/[a-z0-9]+/(picture/[a-z0-9]+)"`)
	picture := v.get(path)
	if picture.header.Get("Content-Type") != "image/png" || picture.text != string(drawing()) {
		t.Errorf("GET %s = %d, %s", path, picture.status, picture.header.Get("Content-Type"))
	}
	wants(t, v.get("picture/aaaa"), 404, "no longer kept")
	wants(t, v.get("file/aaaa"), 404, "no longer kept")
	file := find(t, page.text, `href="/[a-z0-9]+/(file/[a-z0-9]+)"`)
	if got := v.get(file).header.Get("Content-Disposition"); got != "attachment; filename=cup.csv" {
		t.Errorf("the file is named by %q", got)
	}
	wants(t, v.get("picture/"+strings.TrimPrefix(file, "file/")), 404)
}

func TestComplete(t *testing.T) {
	v := open(t, nil)
	tests := map[string][]string{
		"complete?line=/c":     {"/cup "},
		"complete?line=/mold+": {"/mold add ", "/mold list "},
		"complete?line=" + url.QueryEscape("/cup material:demo+c"): {`/cup material:"demo casting epoxy" `},
		"complete?line=nothing": nil,
	}
	for path, want := range tests {
		page := v.get(path)
		var got []string
		if err := json.Unmarshal([]byte(page.text), &got); err != nil {
			t.Fatalf("%s: %v: %s", path, err, page.text)
		}
		if len(want) == 0 && page.text != "[]" || len(want) > 0 && !slices.Contains(got, want[0]) {
			t.Errorf("%s = %s, want %q", path, page.text, want)
		}
	}
}

func TestSuggest(t *testing.T) {
	v := open(t, nil)
	tests := map[string]string{
		"suggest/cup?option=material&o.material=cast": `[{"value":"demo casting epoxy"}]`,
		"suggest/cup?option=side&o.side=b":            `[{"value":"b","label":"B first"},{"value":"a","label":"A first"}]`,
		"suggest/cup?option=nothing":                  `[]`,
		"suggest/mold/add?option=name":                `[]`,
		"suggest/none?option=name":                    `[]`,
	}
	for path, want := range tests {
		if got := v.get(path).text; got != want {
			t.Errorf("%s = %s, want %s", path, got, want)
		}
	}
}

// A suggestion that fails must not keep anyone from typing.
func TestSuggestFails(t *testing.T) {
	cmds := declared()
	cmds[0].Subs[0].Options[0].Suggest = func(context.Context, *chat.Call, string) ([]chat.Choice, error) {
		return nil, context.DeadlineExceeded
	}
	v := open(t, func(c *bench.Config) { c.Desk = desk(t, cmds) })
	wants(t, v.get("ask/cup"), 200, `name="o.material"`)
	if got := v.get("suggest/cup?option=material").text; got != "[]" {
		t.Errorf("suggestions = %s, want none", got)
	}
}

// What is asked in the terminal stands on the page too.
func TestShow(t *testing.T) {
	v := open(t, nil)
	v.bench.Show(t.Context(), "/mold list", chat.Answer{Command: "mold list", Reply: &chat.Reply{Title: "No molds yet"}})
	wants(t, v.get(""), 200, "No molds yet", `<span class="line">/mold list</span>`)
}

// An open page is told of each answer until it is closed.
func TestNews(t *testing.T) {
	v := open(t, nil)
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, v.page+"news", nil)
	if err != nil {
		t.Fatal(err)
	}
	resp, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = resp.Body.Close() }()
	lines := bufio.NewScanner(resp.Body)
	next := func() string {
		lines.Scan()
		line := lines.Text()
		lines.Scan() // the empty line that ends an event
		return line
	}
	if kind, first := resp.Header.Get("Content-Type"), next(); kind != "text/event-stream" || first != "data: 0" {
		t.Errorf("news begin with %q as %s", first, kind)
	}
	v.bench.Show(t.Context(), "/mold list", chat.Answer{Reply: &chat.Reply{Title: "No molds yet"}})
	if got := next(); got != "data: 1" {
		t.Errorf("after an answer the news are %q", got)
	}
}

func TestNoSuchPage(t *testing.T) {
	v := open(t, nil)
	for _, path := range []string{"nothing", "page/home.html", "page/../bench.go", "page/"} {
		wants(t, v.get(path), 404)
	}
}
