package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/config"
	"github.com/pourwright/pourwright/internal/console"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/remind"
	"github.com/pourwright/pourwright/internal/tidy"
)

// program is everything one run needs from outside.
type program struct {
	Args     []string
	In       *os.File
	Out, Err io.Writer
	Environ  []string
	Now      func() time.Time
	Rand     io.Reader
	Pace     remind.Pace // of calling members back; tests shorten it
	Tidying  tidy.Pace   // of letting old things go; likewise
	// AnswerIn is how long a chat service on this machine waits for a first
	// answer, if not as long as the real one.
	AnswerIn time.Duration
}

// misuse is an error of the command line or the settings: status 2.
type misuse struct{ error }

func (m misuse) Unwrap() error { return m.error }

func misused(format string, args ...any) error { return misuse{fmt.Errorf(format, args...)} }

// status ends the program without another word: the answer said it all.
type status console.Status

func (s status) Error() string { return fmt.Sprintf("status %d", int(s)) }

// Run carries out the command line and returns the exit status.
func (p *program) Run(ctx context.Context) console.Status {
	root := p.root()
	root.SetArgs(p.Args)
	root.SetOut(p.Out)
	root.SetErr(p.Err)
	began := false // everything before a verb runs is about the command line
	for _, verb := range root.Commands() {
		run := verb.RunE
		verb.RunE = func(c *cobra.Command, args []string) error {
			began = true
			return run(c, args)
		}
	}
	verb, err := root.ExecuteContextC(ctx)
	if err != nil && !began {
		err = misuse{err}
	}
	return p.report(verb, err)
}

// report says what went wrong, once, and gives the status.
func (p *program) report(verb *cobra.Command, err error) console.Status {
	var done status
	var wrong misuse
	switch {
	case err == nil:
		return console.Answered
	case errors.As(err, &done):
		return console.Status(done)
	case errors.As(err, &wrong):
		p.complain("%v\nSee %s --help", err, verb.CommandPath())
		return console.Misused
	}
	if f := fault.As(err); f != nil {
		p.complain("%s", f.Message)
		if f.HintText() != "" {
			p.complain("%s", f.HintText())
		}
		if f.Unwrap() != nil {
			p.complain("because: %v", f.Unwrap())
		}
		return console.StatusOf(chat.Answer{Fault: f})
	}
	p.complain("%v", err)
	return console.Broken
}

// complain writes to the standard error, each line with the program's name.
// Nothing can be done where that fails.
func (p *program) complain(format string, args ...any) {
	for line := range strings.SplitSeq(fmt.Sprintf(format, args...), "\n") {
		_, _ = fmt.Fprintf(p.Err, "pourwright: %s\n", line)
	}
}

const about = `Sums for people who cast two-part resin in rubber molds: how much A and B,
with the working shown, on a chat server, a local web page or in the terminal.`

const examples = `  pourwright try
  pourwright ask --demo '/batch material:"demo rigid white" volume:"250 ml"'
  pourwright ask --demo --attach part.stl '/volume mesh'
  pourwright serve --config pourwright.toml

Exit status: 0 answered, 1 refused, 2 used wrongly, 3 something broke.
Settings come from pourwright.toml, then POURWRIGHT_… variables, then flags.`

// keepOrder lists verbs in the order of use. The library has one setting for
// all programs of a process, and tests run several at a time.
var keepOrder = sync.OnceFunc(func() { cobra.EnableCommandSorting = false })

func (p *program) root() *cobra.Command {
	root := &cobra.Command{
		Use: "pourwright", Short: "sums for resin casters", Long: about, Example: examples,
		SilenceUsage: true, SilenceErrors: true, SuggestionsMinimumDistance: 2,
		CompletionOptions: cobra.CompletionOptions{HiddenDefaultCmd: true},
		Args:              cobra.ArbitraryArgs,
		RunE:              noVerb,
	}
	root.SetUsageTemplate(usage)
	root.PersistentFlags().String("config", "", "settings `file` (default pourwright.toml, .yaml or .json, if there)")
	root.PersistentFlags().String("log-level", "", "debug, info, warn or error")
	root.PersistentFlags().String("log-format", "", "text or json")
	keepOrder()
	root.AddCommand(p.verbs()...)
	return root
}

// noVerb answers a command line without a verb that is known.
func noVerb(root *cobra.Command, args []string) error {
	if len(args) == 0 {
		root.SetOut(root.ErrOrStderr())
		return errors.Join(root.Help(), status(console.Misused))
	}
	if near := root.SuggestionsFor(args[0]); len(near) > 0 {
		return misused("there is no verb %q; did you mean %s?", args[0], near[0])
	}
	return misused("there is no verb %q", args[0])
}

// usage keeps the help of the program and of each verb to one screen.
const usage = `{{if .HasAvailableSubCommands}}Usage: {{.CommandPath}} VERB [flags]

{{range .Commands}}{{if and .IsAvailableCommand (ne .Name "help")}}  {{rpad .Name 10}}{{.Short}}
{{end}}{{end}}{{else}}Usage: {{.UseLine}}
{{end}}{{if .HasExample}}
Examples:
{{.Example}}
{{end}}{{if .HasAvailableLocalFlags}}
Flags:
{{.LocalFlags.FlagUsages | trimTrailingWhitespaces}}
{{end}}{{if .HasAvailableInheritedFlags}}
Flags of every verb:
{{.InheritedFlags.FlagUsages | trimTrailingWhitespaces}}
{{end}}`

func (p *program) verbs() []*cobra.Command {
	return []*cobra.Command{
		p.tryVerb(), p.askVerb(), p.serveVerb(), p.registerVerb(),
		p.backupVerb(), p.restoreVerb(), p.doctorVerb(), p.versionVerb(),
	}
}

// settings reads the configuration: every flag that is called like a setting
// and was given counts. Warnings go to the log.
func (p *program) settings(c *cobra.Command) (*config.Config, *slog.Logger, error) {
	src := config.Source{Environ: p.Environ, Flags: map[string]string{}}
	known := map[string]bool{}
	for _, k := range config.Keys() {
		known[k.Name] = !k.Secret
	}
	c.Flags().Visit(func(f *pflag.Flag) {
		if name := strings.ReplaceAll(f.Name, "-", "_"); known[name] {
			src.Flags[name] = f.Value.String()
		}
	})
	src.File, _ = c.Flags().GetString("config")
	if src.File == "" {
		src.File = p.env("POURWRIGHT_CONFIG")
	}
	cfg, warnings, err := config.Load(src)
	if err != nil {
		return nil, nil, misuse{err}
	}
	log := p.logger(cfg, quietest(c))
	for _, w := range warnings {
		log.Warn("settings: " + w)
	}
	return cfg, log, nil
}

// quietest is the log level of a verb when none is set: someone who waits for
// the answer in the same terminal need not read it twice.
func quietest(c *cobra.Command) slog.Level {
	if c.Name() == "serve" {
		return slog.LevelInfo
	}
	return slog.LevelWarn
}

func (p *program) logger(cfg *config.Config, otherwise slog.Level) *slog.Logger {
	opt := &slog.HandlerOptions{Level: cfg.Level(otherwise)}
	if cfg.LogFormat == "json" {
		return slog.New(slog.NewJSONHandler(p.Err, opt))
	}
	return slog.New(slog.NewTextHandler(p.Err, opt))
}

func (p *program) env(name string) string {
	for _, pair := range p.Environ {
		if v, ok := strings.CutPrefix(pair, name+"="); ok {
			return v
		}
	}
	return ""
}
