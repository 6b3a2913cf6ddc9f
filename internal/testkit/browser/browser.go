// Package browser drives a headless Chromium for the tests of pages: it loads,
// types, presses and looks, and remembers what a page complains of. A test is
// skipped where there is no Chromium. Only tests import it.
package browser

import (
	"bufio"
	"context"
	"encoding/base64"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/gorilla/websocket"
)

// Tab is one tab of a headless browser, driven by its DevTools protocol.
type Tab struct {
	t       testing.TB
	conn    *websocket.Conn
	session string
	last    int
	// Complaints are console errors, uncaught exceptions and what the
	// policy stopped.
	Complaints []string
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

// Start opens an empty tab in a browser with a profile of its own,
// which ends with the test.
func Start(t testing.TB) *Tab {
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
	tb := &Tab{t: t}
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

func (tb *Tab) dial(address string) {
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
	tb.Call("Target.createTarget", map[string]any{"url": "about:blank"}, &target)
	var attached struct{ SessionID string }
	tb.Call("Target.attachToTarget", map[string]any{"targetId": target.TargetID, "flatten": true}, &attached)
	tb.session = attached.SessionID
	for _, domain := range []string{"Page", "Runtime", "Log", "Network"} {
		tb.Call(domain+".enable", nil, nil)
	}
}

// Call sends one command and reads until its answer.
func (tb *Tab) Call(method string, params, result any) {
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
func (tb *Tab) read() message {
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
		tb.Complaints = append(tb.Complaints, string(m.Params))
	case "Runtime.consoleAPICalled":
		if strings.Contains(string(m.Params), `"type":"error"`) {
			tb.Complaints = append(tb.Complaints, string(m.Params))
		}
	case "Log.entryAdded":
		var p struct {
			Entry struct{ Level, Source, Text, URL string }
		}
		if json.Unmarshal(m.Params, &p) == nil && (p.Entry.Level == "error" || p.Entry.Source == "security") {
			tb.Complaints = append(tb.Complaints, p.Entry.Text+" "+p.Entry.URL)
		}
	}
	return m
}

// Await waits for an event, also one that came already.
func (tb *Tab) Await(method string) {
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

// Load opens an address and waits until it is there whole.
func (tb *Tab) Load(url string) {
	tb.t.Helper()
	tb.events = nil
	tb.Call("Page.navigate", map[string]any{"url": url}, nil)
	tb.Await("Page.loadEventFired")
}

// Leads runs what loads another page and waits for that.
func (tb *Tab) Leads(js string) {
	tb.t.Helper()
	tb.events = nil
	tb.Eval(js)
	tb.Await("Page.loadEventFired")
}

// Eval runs an expression in the page and gives its value as JSON text.
func (tb *Tab) Eval(js string) string {
	tb.t.Helper()
	var out struct {
		Result           struct{ Value json.RawMessage }
		ExceptionDetails *struct{ Exception struct{ Description string } }
	}
	tb.Call("Runtime.evaluate", map[string]any{"expression": js, "returnByValue": true, "awaitPromise": true, "userGesture": true}, &out)
	if out.ExceptionDetails != nil {
		tb.t.Fatalf("%s: %s", js, out.ExceptionDetails.Exception.Description)
	}
	return string(out.Result.Value)
}

// Until waits for an expression to become true in the page.
func (tb *Tab) Until(js string) {
	tb.t.Helper()
	wait := `new Promise((yes) => {
		const end = performance.now() + 10000;
		const look = () => { if (` + js + `) yes(true); else if (performance.now() > end) yes(false); else setTimeout(look, 20); };
		look();
	})`
	if tb.Eval(wait) != "true" {
		tb.t.Fatalf("never true in the page: %s", js)
	}
}

// Key presses a key as a person would.
func (tb *Tab) Key(key, text string, code int) {
	tb.t.Helper()
	down := map[string]any{"type": "keyDown", "key": key, "windowsVirtualKeyCode": code}
	if text != "" {
		down["text"] = text
	}
	tb.Call("Input.dispatchKeyEvent", down, nil)
	tb.Call("Input.dispatchKeyEvent", map[string]any{"type": "keyUp", "key": key, "windowsVirtualKeyCode": code}, nil)
}

// TypeText enters text where the focus is.
func (tb *Tab) TypeText(text string) {
	tb.t.Helper()
	tb.Call("Input.insertText", map[string]any{"text": text}, nil)
}

// Look sets the window's width and the color scheme.
func (tb *Tab) Look(width, height int, scheme string) {
	tb.t.Helper()
	tb.Call("Emulation.setDeviceMetricsOverride", map[string]any{"width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 500}, nil)
	tb.Call("Emulation.setEmulatedMedia", map[string]any{"features": []map[string]string{{"name": "prefers-color-scheme", "value": scheme}}}, nil)
}

// Script turns the page's script off or on.
func (tb *Tab) Script(off bool) {
	tb.t.Helper()
	tb.Call("Emulation.setScriptExecutionDisabled", map[string]any{"value": off}, nil)
}

// Shoot writes a picture of the whole page into the folder.
func (tb *Tab) Shoot(folder, name string) {
	tb.t.Helper()
	var out struct{ Data string }
	tb.Call("Page.captureScreenshot", map[string]any{"format": "png", "captureBeyondViewport": true}, &out)
	data, err := base64.StdEncoding.DecodeString(out.Data)
	if err != nil {
		tb.t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder, name+".png"), data, 0o600); err != nil {
		tb.t.Fatal(err)
	}
}

// Quiet fails if the page complained of anything so far.
func (tb *Tab) Quiet(where string) {
	tb.t.Helper()
	for _, c := range tb.Complaints {
		tb.t.Errorf("%s: the page complains: %s", where, c)
	}
	tb.Complaints = nil
}

// Same fails unless an expression has the value, written as JSON.
func (tb *Tab) Same(js, want string) {
	tb.t.Helper()
	if got := tb.Eval(js); got != want {
		tb.t.Errorf("%s = %s, want %s", js, got, want)
	}
}

// Forget drops the events that came so far, before a deed that Await is for.
func (tb *Tab) Forget() { tb.events = nil }

// Shots is where pictures of pages go: the folder that POURWRIGHT_SHOTS names,
// to be looked at, or one that goes with the test.
func Shots(t testing.TB) string {
	t.Helper()
	if folder := os.Getenv("POURWRIGHT_SHOTS"); folder != "" {
		if err := os.MkdirAll(folder, 0o700); err != nil {
			t.Fatal(err)
		}
		return folder
	}
	return t.TempDir()
}
