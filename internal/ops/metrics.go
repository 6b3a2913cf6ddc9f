package ops

import (
	"context"
	"runtime"
	"slices"
	"strconv"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"

	"github.com/pourwright/pourwright/internal/fault"
)

// Parts are what the metrics look at, once the program is put together.
type Parts struct {
	Commands []string // every command there is, "batch", "volume mesh"
	// Checks are the parts that must do their work for the program to be ready.
	Checks []Check
	// Backlog tells how many calls are to come, and when the first is due; nil
	// leaves the two gauges out.
	Backlog func(ctx context.Context) (pending int, first time.Time, err error)
}

// Metrics counts. It fills the observer interfaces of the packages that it
// watches and is safe for concurrent use.
type Metrics struct {
	version    string
	now        func() time.Time
	parts      Parts
	registry   *prometheus.Registry
	counters   map[string]*prometheus.CounterVec
	histograms map[string]*prometheus.HistogramVec
	shards     prometheus.Gauge
}

// New makes metrics with a registry of their own, for a version of the program
// and its clock.
func New(version string, now func() time.Time) *Metrics {
	m := &Metrics{
		version: version, now: now, registry: prometheus.NewRegistry(),
		counters: map[string]*prometheus.CounterVec{}, histograms: map[string]*prometheus.HistogramVec{},
		shards: prometheus.NewGauge(prometheus.GaugeOpts{Name: gatewayShards.Name, Help: gatewayShards.Help}),
	}
	for _, d := range Declared() {
		m.register(d)
	}
	m.registry.MustRegister(m.shards, standing{m}, collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return m
}

// Know sets what there is to look at. It comes before anything is counted.
func (m *Metrics) Know(p Parts) { m.parts = p }

// register makes a counter or a histogram. Those with one label of a closed
// list stand at 0 from the start, so that the first of a kind is seen to rise.
func (m *Metrics) register(d Metric) {
	var names []string
	for _, l := range d.Labels {
		names = append(names, l.Name)
	}
	switch d.Kind {
	case "counter":
		v := prometheus.NewCounterVec(prometheus.CounterOpts{Name: d.Name, Help: d.Help}, names)
		m.registry.MustRegister(v)
		m.counters[d.Name] = v
		switch {
		case len(d.Labels) == 0:
			v.WithLabelValues()
		case len(d.Labels) == 1:
			for _, value := range d.Labels[0].Values {
				v.WithLabelValues(value)
			}
		}
	case "histogram":
		v := prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: d.Name, Help: d.Help, Buckets: d.buckets}, names)
		m.registry.MustRegister(v)
		m.histograms[d.Name] = v
	}
}

// count adds to a counter. values are those of its labels.
func (m *Metrics) count(d Metric, n int, values ...string) {
	m.counters[d.Name].WithLabelValues(m.closed(d, values)...).Add(float64(n))
}

func (m *Metrics) took(d Metric, t time.Duration, values ...string) {
	m.histograms[d.Name].WithLabelValues(m.closed(d, values)...).Observe(max(t, 0).Seconds())
}

// closed replaces each value that its label does not know.
func (m *Metrics) closed(d Metric, values []string) []string {
	for i, l := range d.Labels {
		known := l.Values
		if l.Name == "command" {
			known = m.parts.Commands
		}
		if !slices.Contains(known, values[i]) {
			values[i] = Other
		}
	}
	return values
}

// Answered counts a call: what command it was, "" if none was found, and the
// code of its refusal, "" for an answer.
func (m *Metrics) Answered(command string, code fault.Code, took time.Duration) {
	said := string(code)
	if code == "" {
		said = Answered
	}
	m.count(commands, 1, command, said)
	m.took(commandSeconds, took, command)
	switch code {
	case fault.FormulaLimit:
		m.count(formulaLimits, 1)
	case fault.BadFile, fault.FileTooLarge, fault.HostileFile, fault.NotWatertight:
		m.FileRefused(code)
	}
}

// Interaction counts what became of an event of the chat service, besides an
// answer.
func (m *Metrics) Interaction(event string) { m.count(interactions, 1, event) }

// Cut counts a message that was longer than may be sent.
func (m *Metrics) Cut() { m.count(answersCut, 1) }

// FileRefused counts a file that was attached and not taken.
func (m *Metrics) FileRefused(code fault.Code) { m.count(filesRefused, 1, string(code)) }

// Requested counts a request to the chat service; status is 0 where there was
// no answer.
func (m *Metrics) Requested(route string, status int, took time.Duration) {
	text := "none"
	if status != 0 {
		text = strconv.Itoa(status)
	}
	m.count(restRequests, 1, route, text)
	m.took(restSeconds, took, route)
}

// Waited counts a wait for a rate limit.
func (m *Metrics) Waited(limit string, took time.Duration) { m.took(restWaits, took, limit) }

// SessionBegan counts a gateway session.
func (m *Metrics) SessionBegan() {
	m.count(gatewaySessions, 1)
	m.shards.Inc()
}

// SessionEnded counts a gateway connection that ended; had says that it was a
// session, code is the close code, 0 for none.
func (m *Metrics) SessionEnded(had bool, code int) {
	if had {
		m.shards.Dec()
	}
	text := "none"
	if code != 0 {
		text = strconv.Itoa(code)
	}
	m.count(gatewayCloses, 1, text)
}

// CalledBack counts calls to members that were carried out.
func (m *Metrics) CalledBack(outcome string, n int) { m.count(duesTotal, n, outcome) }

// Late measures by how much a call came late.
func (m *Metrics) Late(by time.Duration) { m.took(dueLate, by) }

// CardShown counts edits of messages that follow a pour.
func (m *Metrics) CardShown(outcome string, n int) { m.count(cardsTotal, n, outcome) }

// StoreFailed counts a statement that the database refused.
func (m *Metrics) StoreFailed(kind string) { m.count(storeErrors, 1, kind) }

// StoreWaited measures how long a write waited for its turn.
func (m *Metrics) StoreWaited(took time.Duration) { m.took(storeWaits, took) }

// Tidied counts what went because it was old.
func (m *Metrics) Tidied(kind string, n int) { m.count(tidiedRows, n, kind) }

// TidyEnded counts a run of that.
func (m *Metrics) TidyEnded(ok bool) {
	outcome := "failed"
	if ok {
		outcome = "ok"
	}
	m.count(tidyRuns, 1, outcome)
}

// standing collects what is not counted but asked for when somebody looks.
type standing struct{ m *Metrics }

var (
	readyDesc   = prometheus.NewDesc(ready.Name, ready.Help, []string{"part"}, nil)
	buildDesc   = prometheus.NewDesc(buildInfo.Name, buildInfo.Help, []string{"version", "go"}, nil)
	pendingDesc = prometheus.NewDesc(duesPending.Name, duesPending.Help, nil, nil)
	overdueDesc = prometheus.NewDesc(duesOverdue.Name, duesOverdue.Help, nil, nil)
)

// Describe names what is collected.
func (s standing) Describe(to chan<- *prometheus.Desc) {
	for _, d := range []*prometheus.Desc{readyDesc, buildDesc, pendingDesc, overdueDesc} {
		to <- d
	}
}

// Collect asks. What can't be told is left out; why stands in /readyz.
func (s standing) Collect(to chan<- prometheus.Metric) {
	gauge := func(d *prometheus.Desc, v float64, labels ...string) {
		to <- prometheus.MustNewConstMetric(d, prometheus.GaugeValue, v, labels...)
	}
	gauge(buildDesc, 1, s.m.version, runtime.Version())
	ctx, cancel := context.WithTimeout(context.Background(), checkPatience)
	defer cancel()
	for _, f := range look(ctx, s.m.parts.Checks) {
		v := 0.0
		if f.err == nil {
			v = 1
		}
		gauge(readyDesc, v, f.part)
	}
	if s.m.parts.Backlog == nil {
		return
	}
	n, first, err := s.m.parts.Backlog(ctx)
	if err != nil {
		return
	}
	overdue := time.Duration(0)
	if n > 0 {
		overdue = max(s.m.now().Sub(first), 0)
	}
	gauge(pendingDesc, float64(n))
	gauge(overdueDesc, overdue.Seconds())
}
