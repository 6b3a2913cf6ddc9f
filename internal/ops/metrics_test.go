package ops_test

import (
	"context"
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	dto "github.com/prometheus/client_model/go"
	"github.com/prometheus/common/expfmt"
	"github.com/prometheus/common/model"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/ops"
)

var now = time.Date(2026, 11, 20, 9, 0, 0, 0, time.UTC)

// watched is a program with two commands, where the gateway is down.
func watched(t *testing.T) *ops.Metrics {
	t.Helper()
	m := ops.New("v1.2.3", func() time.Time { return now })
	m.Know(ops.Parts{
		Commands: []string{"batch", "volume mesh"},
		Checks: []ops.Check{
			{Part: "store", Ask: func(context.Context) error { return nil }},
			{Part: "gateway", Ask: func(context.Context) error { return errors.New("closed with 4009\nby the service") }},
		},
		Backlog: func(context.Context) (int, time.Time, error) { return 3, now.Add(-90 * time.Second), nil },
	})
	return m
}

func handler(t *testing.T, m *ops.Metrics) http.Handler {
	t.Helper()
	s, err := ops.Listen("127.0.0.1:0", m, slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s.Handler()
}

func get(h http.Handler, path string) (int, string) {
	w := httptest.NewRecorder()
	h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
	return w.Code, w.Body.String()
}

// scrape reads the metrics as a monitoring system does.
func scrape(t *testing.T, h http.Handler) map[string]*dto.MetricFamily {
	t.Helper()
	code, body := get(h, "/metrics")
	if code != http.StatusOK {
		t.Fatalf("status %d: %s", code, body)
	}
	p := expfmt.NewTextParser(model.LegacyValidation)
	all, err := p.TextToMetricFamilies(strings.NewReader(body))
	if err != nil {
		t.Fatalf("the metrics can't be parsed: %v\n%s", err, body)
	}
	return all
}

// value is that of the series with these label values, -1 if there is none.
func value(all map[string]*dto.MetricFamily, name string, labels ...string) float64 {
	for _, m := range all[name].GetMetric() {
		var got []string
		for _, l := range m.GetLabel() {
			got = append(got, l.GetName()+"="+l.GetValue())
		}
		slices.Sort(got)
		slices.Sort(labels)
		if !slices.Equal(got, labels) {
			continue
		}
		switch {
		case m.Counter != nil:
			return m.Counter.GetValue()
		case m.Gauge != nil:
			return m.Gauge.GetValue()
		case m.Histogram != nil:
			return float64(m.Histogram.GetSampleCount())
		}
	}
	return -1
}

// everything makes each kind of thing happen once.
func everything(m *ops.Metrics) {
	m.Answered("batch", "", 20*time.Millisecond)
	m.Answered("volume mesh", fault.HostileFile, time.Second)
	m.Answered("batch", fault.FormulaLimit, time.Second)
	m.Interaction("deferred")
	m.Cut()
	m.FileRefused(fault.FileTooLarge)
	m.Requested("callback", 204, time.Millisecond)
	m.Requested("message", 0, time.Millisecond)
	m.Waited("own", time.Millisecond)
	m.SessionBegan()
	m.SessionEnded(true, 4009)
	m.SessionBegan()
	m.SessionEnded(false, 0)
	m.CalledBack("sent", 2)
	m.Late(3 * time.Minute)
	m.CardShown("shown", 1)
	m.StoreFailed("busy")
	m.StoreWaited(time.Millisecond)
	m.Tidied("pours", 7)
	m.TidyEnded(true)
	m.TidyEnded(false)
}

func TestMetrics(t *testing.T) {
	m := watched(t)
	everything(m)
	all := scrape(t, handler(t, m))
	for _, want := range []struct {
		name   string
		labels []string
		value  float64
	}{
		{"pourwright_ready", []string{"part=store"}, 1},
		{"pourwright_ready", []string{"part=gateway"}, 0},
		{"pourwright_commands_total", []string{"command=batch", "code=ok"}, 1},
		{"pourwright_commands_total", []string{"command=volume mesh", "code=hostile_file"}, 1},
		{"pourwright_command_seconds", []string{"command=batch"}, 2},
		{"pourwright_interactions_total", []string{"event=deferred"}, 1},
		{"pourwright_interactions_total", []string{"event=turned_away"}, 0},
		{"pourwright_answers_cut_total", nil, 1},
		{"pourwright_files_refused_total", []string{"reason=hostile_file"}, 1},
		{"pourwright_files_refused_total", []string{"reason=file_too_large"}, 1},
		{"pourwright_formula_limits_total", nil, 1},
		{"pourwright_rest_requests_total", []string{"route=callback", "status=204"}, 1},
		{"pourwright_rest_requests_total", []string{"route=message", "status=none"}, 1},
		{"pourwright_rest_seconds", []string{"route=callback"}, 1},
		{"pourwright_rest_wait_seconds", []string{"limit=own"}, 1},
		{"pourwright_gateway_shards_ready", nil, 1},
		{"pourwright_gateway_sessions_total", nil, 2},
		{"pourwright_gateway_closes_total", []string{"code=4009"}, 1},
		{"pourwright_gateway_closes_total", []string{"code=none"}, 1},
		{"pourwright_dues_pending", nil, 3},
		{"pourwright_dues_overdue_seconds", nil, 90},
		{"pourwright_dues_total", []string{"outcome=sent"}, 2},
		{"pourwright_due_late_seconds", nil, 1},
		{"pourwright_cards_total", []string{"outcome=shown"}, 1},
		{"pourwright_store_errors_total", []string{"kind=busy"}, 1},
		{"pourwright_store_wait_seconds", nil, 1},
		{"pourwright_tidied_total", []string{"kind=pours"}, 7},
		{"pourwright_tidy_runs_total", []string{"outcome=failed"}, 1},
	} {
		if got := value(all, want.name, want.labels...); got != want.value {
			t.Errorf("%s%v is %v, want %v", want.name, want.labels, got, want.value)
		}
	}
	for _, d := range ops.Declared() {
		family := all[d.Name]
		if family == nil {
			t.Errorf("%s is declared and not there", d.Name)
			continue
		}
		if kind := strings.ToLower(family.GetType().String()); kind != d.Kind || family.GetHelp() != d.Help {
			t.Errorf("%s is a %s (%q), declared as %s (%q)", d.Name, kind, family.GetHelp(), d.Kind, d.Help)
		}
	}
	for name := range all {
		ours := slices.ContainsFunc(ops.Declared(), func(d ops.Metric) bool { return d.Name == name })
		if !ours && !strings.HasPrefix(name, "go_") && !strings.HasPrefix(name, "process_") {
			t.Errorf("%s is there and not declared", name)
		}
	}
}

// Whatever strangers send, the series are those of the closed lists: their
// number and their labels do not change with it.
func TestHostileNamesGrowNothing(t *testing.T) {
	m := watched(t)
	h := handler(t, m)
	flood := func(from int) {
		for i := range 500 {
			name := fmt.Sprintf("x%d\"}\n# HELP <@everyone> %s", from+i, strings.Repeat("y", i))
			m.Answered(name, fault.Code(name), time.Second)
			m.Interaction(name)
			m.FileRefused(fault.Code(name))
			m.Requested(name, 1000+from+i, time.Second)
			m.Waited(name, time.Second)
			m.SessionEnded(false, 10000+from+i)
			m.CalledBack(name, 1)
			m.CardShown(name, 1)
			m.StoreFailed(name)
			m.Tidied(name, 1)
		}
	}
	everything(m)
	flood(0)
	before := series(scrape(t, h))
	flood(500)
	after := scrape(t, h)
	if n := series(after); n != before {
		t.Errorf("%d series after 500 odd names, %d after 1000", before, n)
	}
	if got := value(after, "pourwright_commands_total", "command=other", "code=other"); got != 1000 {
		t.Errorf("other calls: %v, want 1000", got)
	}
	for name, family := range after {
		for _, m := range family.GetMetric() {
			for _, l := range m.GetLabel() {
				if strings.ContainsAny(l.GetValue(), "<@\n\"") {
					t.Errorf("%s has label %s=%q", name, l.GetName(), l.GetValue())
				}
			}
		}
	}
}

// series counts those of the program's own; the runtime has its own ways.
func series(all map[string]*dto.MetricFamily) (n int) {
	for name, family := range all {
		if strings.HasPrefix(name, "pourwright_") {
			n += len(family.GetMetric())
		}
	}
	return n
}

// Every code of package fault has a place in the metrics.
func TestCodesAreKnown(t *testing.T) {
	file, err := parser.ParseFile(token.NewFileSet(), "../fault/fault.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var declared []string
	ast.Inspect(file, func(n ast.Node) bool {
		spec, ok := n.(*ast.ValueSpec)
		if ok && fmt.Sprint(spec.Type) == "Code" {
			code, err := strconv.Unquote(spec.Values[0].(*ast.BasicLit).Value)
			if err != nil {
				t.Fatal(err)
			}
			declared = append(declared, code)
		}
		return true
	})
	if len(declared) < 30 {
		t.Fatalf("only %d codes were found", len(declared))
	}
	m := watched(t)
	for _, code := range declared {
		m.Answered("batch", fault.Code(code), time.Second)
	}
	all := scrape(t, handler(t, m))
	for _, code := range declared {
		if value(all, "pourwright_commands_total", "command=batch", "code="+code) != 1 {
			t.Errorf("code %s is not counted under its name", code)
		}
	}
}

// A backlog that can't be told is left out; the rest is still there.
func TestUntoldBacklog(t *testing.T) {
	m := ops.New("devel", func() time.Time { return now })
	m.Know(ops.Parts{Backlog: func(context.Context) (int, time.Time, error) { return 0, time.Time{}, errors.New("locked") }})
	all := scrape(t, handler(t, m))
	if all["pourwright_dues_pending"] != nil || all["pourwright_build_info"] == nil {
		t.Errorf("pending %v, build %v", all["pourwright_dues_pending"], all["pourwright_build_info"])
	}
}
