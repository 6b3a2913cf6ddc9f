package bench_test

import (
	"bufio"
	"context"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/gorilla/websocket"
)

// tab is one tab of a headless browser, driven by its DevTools protocol.
type tab struct {
	t       testing.TB
	conn    *websocket.Conn
	session string
	last    int
	// complaints are console errors, uncaught exceptions and what the
	// policy stopped.
	complaints []string
	events     []message // not waited for yet
}

type message struct {
	ID     int             `json:"id,omitempty"`
	Method string          `json:"method,omitempty"`
	Params json.RawMessage `json:"params,omitempty"`
	Result json.RawMessage `json:"result,omitempty"`
	Error  *struct {
		Message string `json:"message"`
	} `json:"error,omitempty"`
	Session string `json:"sessionId,omitempty"`
}

// chromium names the browser, or "" where none is found.
func chromium() string {
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	return ""
}

// startBrowser opens an empty tab in a browser with a profile of its own,
// which ends with the test.
func startBrowser(t testing.TB) *tab {
	t.Helper()
	path := chromium()
	if path == "" {
		t.Skip("no chromium on this machine: the page is not tried in a browser")
	}
	profile := t.TempDir()
	cmd := exec.Command(path, "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
		"--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage",
		"--remote-debugging-port=0", "--user-data-dir="+profile, "about:blank")
	cmd.Env = append(os.Environ(), "HOME="+profile)
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	stderr, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	address := make(chan string, 1)
	read := make(chan struct{})
	go func() {
		defer close(read)
		for lines := bufio.NewScanner(stderr); lines.Scan(); {
			if a, ok := strings.CutPrefix(lines.Text(), "DevTools listening on "); ok {
				address <- a
			}
		}
	}()
	t.Cleanup(func() {
		// The browser is several processes in a group of its own.
		_ = syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL)
		<-read
		_ = cmd.Wait() // killed, as meant
	})
	tb := &tab{t: t}
	select {
	case a := <-address:
		tb.dial(a)
	case <-read:
		t.Fatal("the browser ended before it listened")
	case <-time.After(30 * time.Second):
		t.Fatal("the browser does not listen after 30 s")
	}
	return tb
}

func (tb *tab) dial(address string) {
	tb.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	conn, resp, err := websocket.DefaultDialer.DialContext(ctx, address, nil)
	if err != nil {
		tb.t.Fatal(err)
	}
	if resp.Body != nil {
		_ = resp.Body.Close() // empty after an upgrade
	}
	tb.conn = conn
	tb.t.Cleanup(func() { _ = conn.Close() })
	var target struct{ TargetID string }
	tb.call("Target.createTarget", map[string]any{"url": "about:blank"}, &target)
	var attached struct{ SessionID string }
	tb.call("Target.attachToTarget", map[string]any{"targetId": target.TargetID, "flatten": true}, &attached)
	tb.session = attached.SessionID
	for _, domain := range []string{"Page", "Runtime", "Log", "Network"} {
		tb.call(domain+".enable", nil, nil)
	}
}

// call sends one command and reads until its answer.
func (tb *tab) call(method string, params, result any) {
	tb.t.Helper()
	tb.last++
	id := tb.last
	raw, err := json.Marshal(params)
	if err != nil {
		tb.t.Fatal(err)
	}
	if params == nil {
		raw = nil
	}
	if err := tb.conn.WriteJSON(message{ID: id, Method: method, Params: raw, Session: tb.session}); err != nil {
		tb.t.Fatal(err)
	}
	for {
		m := tb.read()
		if m.ID != id {
			tb.events = append(tb.events, m)
			continue
		}
		if m.Error != nil {
			tb.t.Fatalf("%s: %s", method, m.Error.Message)
		}
		if result != nil {
			if err := json.Unmarshal(m.Result, result); err != nil {
				tb.t.Fatal(err)
			}
		}
		return
	}
}

// read takes one message and remembers what the page complains of.
func (tb *tab) read() message {
	tb.t.Helper()
	if err := tb.conn.SetReadDeadline(time.Now().Add(20 * time.Second)); err != nil {
		tb.t.Fatal(err)
	}
	var m message
	if err := tb.conn.ReadJSON(&m); err != nil {
		tb.t.Fatalf("the browser is silent: %v", err)
	}
	switch m.Method {
	case "Runtime.exceptionThrown":
		tb.complaints = append(tb.complaints, string(m.Params))
	case "Runtime.consoleAPICalled":
		if strings.Contains(string(m.Params), `"type":"error"`) {
			tb.complaints = append(tb.complaints, string(m.Params))
		}
	case "Log.entryAdded":
		var p struct {
			Entry struct{ Level, Source, Text, URL string }
		}
		if json.Unmarshal(m.Params, &p) == nil && (p.Entry.Level == "error" || p.Entry.Source == "security") {
			tb.complaints = append(tb.complaints, p.Entry.Text+" "+p.Entry.URL)
		}
	}
	return m
}

// await waits for an event, also one that came already.
func (tb *tab) await(method string) {
	tb.t.Helper()
	for {
		var m message
		if len(tb.events) > 0 {
			m, tb.events = tb.events[0], tb.events[1:]
		} else {
			m = tb.read()
		}
		if m.Method == method {
			return
		}
	}
}

// load opens an address and waits until it is there whole.
func (tb *tab) load(url string) {
	tb.t.Helper()
	tb.events = nil
	tb.call("Page.navigate", map[string]any{"url": url}, nil)
	tb.await("Page.loadEventFired")
}

// leads runs what loads another page and waits for that.
func (tb *tab) leads(js string) {
	tb.t.Helper()
	tb.events = nil
	tb.eval(js)
	tb.await("Page.loadEventFired")
}

// eval runs an expression in the page and gives its value as JSON text.
func (tb *tab) eval(js string) string {
	tb.t.Helper()
	var out struct {
		Result           struct{ Value json.RawMessage }
		ExceptionDetails *struct{ Exception struct{ Description string } }
	}
	tb.call("Runtime.evaluate", map[string]any{"expression": js, "returnByValue": true, "awaitPromise": true, "userGesture": true}, &out)
	if out.ExceptionDetails != nil {
		tb.t.Fatalf("%s: %s", js, out.ExceptionDetails.Exception.Description)
	}
	return string(out.Result.Value)
}

// until waits for an expression to become true in the page.
func (tb *tab) until(js string) {
	tb.t.Helper()
	wait := `new Promise((yes) => {
		const end = performance.now() + 10000;
		const look = () => { if (` + js + `) yes(true); else if (performance.now() > end) yes(false); else setTimeout(look, 20); };
		look();
	})`
	if tb.eval(wait) != "true" {
		tb.t.Fatalf("never true in the page: %s", js)
	}
}

// key presses a key as a person would.
func (tb *tab) key(key, text string, code int) {
	tb.t.Helper()
	down := map[string]any{"type": "keyDown", "key": key, "windowsVirtualKeyCode": code}
	if text != "" {
		down["text"] = text
	}
	tb.call("Input.dispatchKeyEvent", down, nil)
	tb.call("Input.dispatchKeyEvent", map[string]any{"type": "keyUp", "key": key, "windowsVirtualKeyCode": code}, nil)
}

// typeText enters text where the focus is.
func (tb *tab) typeText(text string) {
	tb.t.Helper()
	tb.call("Input.insertText", map[string]any{"text": text}, nil)
}

// look sets the window's width and the color scheme.
func (tb *tab) look(width, height int, scheme string) {
	tb.t.Helper()
	tb.call("Emulation.setDeviceMetricsOverride", map[string]any{"width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 500}, nil)
	tb.call("Emulation.setEmulatedMedia", map[string]any{"features": []map[string]string{{"name": "prefers-color-scheme", "value": scheme}}}, nil)
}

// script turns the page's script off or on.
func (tb *tab) script(off bool) {
	tb.t.Helper()
	tb.call("Emulation.setScriptExecutionDisabled", map[string]any{"value": off}, nil)
}

// shoot writes a picture of the whole page into the folder.
func (tb *tab) shoot(folder, name string) {
	tb.t.Helper()
	var out struct{ Data string }
	tb.call("Page.captureScreenshot", map[string]any{"format": "png", "captureBeyondViewport": true}, &out)
	data, err := base64.StdEncoding.DecodeString(out.Data)
	if err != nil {
		tb.t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder, name+".png"), data, 0o600); err != nil {
		tb.t.Fatal(err)
	}
}

// quiet fails if the page complained of anything so far.
func (tb *tab) quiet(where string) {
	tb.t.Helper()
	for _, c := range tb.complaints {
		tb.t.Errorf("%s: the page complains: %s", where, c)
	}
	tb.complaints = nil
}

// same fails unless an expression has the value, written as JSON.
func (tb *tab) same(js, want string) {
	tb.t.Helper()
	if got := tb.eval(js); got != want {
		tb.t.Errorf("%s = %s, want %s", js, got, want)
	}
}

func quoted(s string) string { return fmt.Sprintf("%q", s) }
