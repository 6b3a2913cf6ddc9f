package ops

import (
	"slices"

	"github.com/pourwright/pourwright/internal/fault"
)

// Metric is one thing that is counted or measured, as the README lists it.
type Metric struct {
	Name   string
	Kind   string // "counter", "gauge" or "histogram"
	Help   string
	Labels []Label
	// buckets are the upper bounds of a histogram, in its unit.
	buckets []float64
}

// Label is a label of a metric.
type Label struct {
	Name string
	// Values are all it may have; another counts as Other. Nil where they are
	// given at the start: commands, versions, parts.
	Values []string
}

// Other stands for every value that a label does not know.
const Other = "other"

// Answered is the code of a call that was not refused.
const Answered = "ok"

// Bounds of histograms, in seconds. An answer is due within 3 s, a lock of the
// database is waited for 2 s, and a call that comes minutes late is late.
var (
	answerBuckets = []float64{.001, .0025, .005, .01, .025, .05, .1, .25, .5, 1, 2.5, 5, 10, 30}
	waitBuckets   = []float64{.001, .005, .025, .1, .25, .5, 1, 2, 5, 15}
	lateBuckets   = []float64{1, 5, 15, 60, 300, 900, 3600, 6 * 3600, 24 * 3600}
)

// The closed lists of labels.
var (
	codes = []string{Answered, string(fault.BadQuantity), string(fault.AmbiguousUnit), string(fault.AmbiguousNumber), string(fault.BadColor),
		string(fault.BadTime), string(fault.OutOfRange), string(fault.MissingOption), string(fault.TooManyOptions), string(fault.UnknownCommand),
		string(fault.UnknownOption), string(fault.UnknownMaterial), string(fault.UnknownMold), string(fault.UnknownTint), string(fault.UnknownFormula),
		string(fault.UnknownPour), string(fault.AmbiguousName), string(fault.NotAllowed), string(fault.NotFound), string(fault.NameTaken),
		string(fault.LimitReached), string(fault.BadFile), string(fault.FileTooLarge), string(fault.HostileFile), string(fault.NotWatertight),
		string(fault.Unsupported), string(fault.NotReachable), string(fault.TooLate), string(fault.FormulaError), string(fault.FormulaLimit),
		string(fault.PastDate), string(fault.NotEnoughStock), string(fault.Busy), string(fault.Unavailable), string(fault.Internal)}
	fileReasons = []string{string(fault.BadFile), string(fault.FileTooLarge), string(fault.HostileFile), string(fault.NotWatertight),
		string(fault.Busy), string(fault.Unavailable)}
	interactionEvents = []string{"deferred", "turned_away", "dropped", "too_old", "twice", "unreadable", "unsigned"}
	restRoutes        = []string{"callback", "webhook", "message", "direct", "commands", "gateway", "application"}
	restStatuses      = []string{"200", "201", "204", "400", "401", "403", "404", "409", "429", "500", "502", "503", "504", "none"}
	restLimits        = []string{"told", "own"}
	closeCodes        = []string{"1000", "1001", "1006", "1011", "4000", "4001", "4002", "4003", "4004", "4005", "4007", "4008", "4009",
		"4010", "4011", "4012", "4013", "4014", "none"}
	dueOutcomes  = []string{"sent", "failed", "put_off", "unknown", "lost"}
	cardOutcomes = []string{"shown", "dropped", "put_off", "unknown"}
	tidyKinds    = []string{"pours", "reduced", "reminders", "marks", "messages"}
	tidyEnds     = []string{"ok", "failed"}
	storeKinds   = []string{"busy", "full", "read_only", "corrupt", "no_database", "cannot_open", "io", "memory", "constraint", "gone", "lost", "stopped"}
)

// The metrics, in the order of the README.
var (
	ready = Metric{Name: "pourwright_ready", Kind: "gauge", Labels: []Label{{Name: "part"}},
		Help: "1 while that part of the program can do its work, as /readyz says it"}
	buildInfo = Metric{Name: "pourwright_build_info", Kind: "gauge", Labels: []Label{{Name: "version"}, {Name: "go"}},
		Help: "always 1; the version of the program and of Go stand in the labels"}

	commands = Metric{Name: "pourwright_commands_total", Kind: "counter", Labels: []Label{{Name: "command"}, {Name: "code", Values: codes}},
		Help: "calls, by command and by what came of them: ok, or the code of the refusal"}
	commandSeconds = Metric{Name: "pourwright_command_seconds", Kind: "histogram", Labels: []Label{{Name: "command"}}, buckets: answerBuckets,
		Help: "time from a call to its answer, before it is sent"}
	interactions = Metric{Name: "pourwright_interactions_total", Kind: "counter", Labels: []Label{{Name: "event", Values: interactionEvents}},
		Help: "interactions of the chat service that were announced first (deferred), refused because all workers were busy (turned_away), given up for the same reason (dropped), left because they waited too long (too_old), brought a second time (twice), could not be read, or were posted without the signature they need (unsigned)"}
	answersCut = Metric{Name: "pourwright_answers_cut_total", Kind: "counter",
		Help: "messages that were longer than the chat service takes; the whole answer went along as a file"}
	filesRefused = Metric{Name: "pourwright_files_refused_total", Kind: "counter", Labels: []Label{{Name: "reason", Values: fileReasons}},
		Help: "attached files that were refused, by the code of the refusal"}
	formulaLimits = Metric{Name: "pourwright_formula_limits_total", Kind: "counter",
		Help: "formulas that were stopped at a limit of length, size or numbers"}

	restRequests = Metric{Name: "pourwright_rest_requests_total", Kind: "counter",
		Labels: []Label{{Name: "route", Values: restRoutes}, {Name: "status", Values: restStatuses}},
		Help:   "requests to the chat service, by class of route and by the status it gave; none is no answer"}
	restSeconds = Metric{Name: "pourwright_rest_seconds", Kind: "histogram", Labels: []Label{{Name: "route", Values: restRoutes}}, buckets: answerBuckets,
		Help: "time that such a request took, without the wait for a rate limit"}
	restWaits = Metric{Name: "pourwright_rest_wait_seconds", Kind: "histogram", Labels: []Label{{Name: "limit", Values: restLimits}}, buckets: waitBuckets,
		Help: "waits of requests, for a rate limit that the chat service told or for the own pace that keeps below it"}
	gatewayShards = Metric{Name: "pourwright_gateway_shards_ready", Kind: "gauge",
		Help: "gateway connections of this process that have a session"}
	gatewaySessions = Metric{Name: "pourwright_gateway_sessions_total", Kind: "counter",
		Help: "sessions that began; the first of each shard is no reconnect"}
	gatewayCloses = Metric{Name: "pourwright_gateway_closes_total", Kind: "counter", Labels: []Label{{Name: "code", Values: closeCodes}},
		Help: "connections that ended, or were not made, by the service's close code; none is a connection lost without a word"}

	duesPending = Metric{Name: "pourwright_dues_pending", Kind: "gauge",
		Help: "calls to members that are to come, or on their way"}
	duesOverdue = Metric{Name: "pourwright_dues_overdue_seconds", Kind: "gauge",
		Help: "by how long the first of them waits to be taken on; 0 while none does"}
	duesTotal = Metric{Name: "pourwright_dues_total", Kind: "counter", Labels: []Label{{Name: "outcome", Values: dueOutcomes}},
		Help: "calls that were carried out: shown (sent), nowhere to be shown (failed), tried again later (put_off), looked for later (unknown), or withdrawn meanwhile (lost)"}
	dueLate = Metric{Name: "pourwright_due_late_seconds", Kind: "histogram", buckets: lateBuckets,
		Help: "by how much a call came later than it was due, or than quiet hours ended"}
	cardsTotal = Metric{Name: "pourwright_cards_total", Kind: "counter", Labels: []Label{{Name: "outcome", Values: cardOutcomes}},
		Help: "edits of the messages that follow a pour: shown, given up because the message or the pour is gone (dropped), tried again later (put_off, unknown)"}

	storeErrors = Metric{Name: "pourwright_store_errors_total", Kind: "counter", Labels: []Label{{Name: "kind", Values: storeKinds}},
		Help: "statements that the database refused, by kind; constraint is a name that was taken meanwhile, stopped a caller who gave up waiting"}
	storeWaits = Metric{Name: "pourwright_store_wait_seconds", Kind: "histogram", buckets: waitBuckets,
		Help: "waits of a write for its turn at the database"}
	tidiedRows = Metric{Name: "pourwright_tidied_total", Kind: "counter", Labels: []Label{{Name: "kind", Values: tidyKinds}},
		Help: "what retention_days let go: finished pours, those reduced to what they taught, past reminders, marks of molds, records of messages"}
	tidyRuns = Metric{Name: "pourwright_tidy_runs_total", Kind: "counter", Labels: []Label{{Name: "outcome", Values: tidyEnds}},
		Help: "runs that let old things go, once a day where retention_days is set; after one that failed the next is ten minutes later"}
)

// Declared lists every metric of the program's own. Those of the Go runtime and
// of the process come beside them under their usual names.
func Declared() []Metric {
	return slices.Clone([]Metric{
		ready, buildInfo,
		commands, commandSeconds, interactions, answersCut, filesRefused, formulaLimits,
		restRequests, restSeconds, restWaits, gatewayShards, gatewaySessions, gatewayCloses,
		duesPending, duesOverdue, duesTotal, dueLate, cardsTotal,
		storeErrors, storeWaits, tidiedRows, tidyRuns,
	})
}
