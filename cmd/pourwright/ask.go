package main

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/console"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/mesh"
)

// asking is what `ask` was called with.
type asking struct {
	json, demo      bool
	member, shop    string
	at, attach, out string
	press           string
	fill            []string
	line            string
	dbSet           bool // --db was given

	who  console.Who
	time time.Time
}

func (p *program) askVerb() *cobra.Command {
	var a asking
	c := &cobra.Command{
		Use:   "ask [flags] 'LINE'",
		Short: "answer one line such as '/batch material:… volume:…' and end",
		Long:  "Answer one line: /command [sub] name:value …, a value with spaces in double quotes.",
		Example: `  pourwright ask --demo '/batch material:"demo rigid white" volume:"250 ml"'
  pourwright ask --json --attach part.stl '/volume mesh'
  pourwright ask --press ID                 (the id of a button in --json)`,
		Args: cobra.MaximumNArgs(1),
	}
	f := c.Flags()
	f.BoolVar(&a.json, "json", false, "one JSON object on the standard output")
	f.BoolVar(&a.demo, "demo", false, "a demo shop in memory; nothing is kept")
	f.String("db", "pourwright.db", "database `file`")
	f.StringVar(&a.member, "as", "", "`member` who asks (default me; ada in the demo)")
	f.StringVar(&a.shop, "shop", "", "`shop` to ask in (default bench; kettle-lane in the demo)")
	f.StringVar(&a.at, "at", "", "`time` to answer for, RFC 3339 (default now)")
	f.StringVar(&a.attach, "attach", "", "`file` for the command's file option")
	f.StringVar(&a.out, "out", "", "`folder` for pictures and files of the answer")
	f.StringVar(&a.press, "press", "", "press the button with that `id` in place of a line")
	f.StringArrayVar(&a.fill, "fill", nil, "a `name=value` of the form that --press opens; may be repeated")
	c.RunE = func(c *cobra.Command, args []string) error {
		a.dbSet = c.Flags().Changed("db")
		if len(args) == 1 {
			a.line = args[0]
		}
		return p.ask(c, a)
	}
	return c
}

// check finds what can't be meant and fills in the defaults.
func (a *asking) check(now time.Time) error {
	switch {
	case a.line == "" && a.press == "":
		return misused("nothing is asked; give a line such as '/help'")
	case a.line != "" && a.press != "":
		return misused("a line and --press are both given; one of them is asked at a time")
	case len(a.fill) > 0 && a.press == "":
		return misused("--fill goes with --press, which opens the form")
	case a.demo && a.dbSet:
		return misused("--demo keeps nothing, so --db can't go with it")
	}
	if a.member == "" {
		a.member = map[bool]string{true: "ada", false: "me"}[a.demo]
	}
	if a.shop == "" {
		a.shop = map[bool]string{true: "kettle-lane", false: "bench"}[a.demo]
	}
	var err error
	if a.who, err = who(a.member, a.shop); err != nil {
		return err
	}
	a.time = now
	if a.at != "" {
		if a.time, err = time.Parse(time.RFC3339, a.at); err != nil {
			return misused("--at is %q; write it like 2026-11-20T09:30:00Z", a.at)
		}
	}
	return nil
}

// invocation is the call without its files.
func (a *asking) invocation() (chat.Invocation, error) {
	inv := a.who.Invocation(a.time)
	inv.Line, inv.Press = a.line, a.press
	for _, pair := range a.fill {
		name, value, ok := strings.Cut(pair, "=")
		if !ok {
			return inv, misused("--fill is %q; write it like name=value", pair)
		}
		if inv.Filled == nil {
			inv.Filled = map[string]string{}
		}
		inv.Filled[name] = value
	}
	return inv, nil
}

func (p *program) ask(c *cobra.Command, a asking) error {
	if err := a.check(p.Now()); err != nil {
		return err
	}
	inv, err := a.invocation()
	if err != nil {
		return err
	}
	cfg, log, err := p.settings(c)
	if err != nil {
		return err
	}
	ctx := c.Context()
	db, err := p.askDB(ctx, a, cfg.DB)
	if err != nil {
		return p.say(a, chat.Answer{Fault: p.cannot(err), Private: true})
	}
	desk, err := p.newDesk(db, log, mesh.DeskLimits(), chat.Rate{}, cfg.BoardListen, nil)
	if err != nil {
		return errors.Join(err, db.Close())
	}
	ans := p.answer(ctx, desk, inv, a)
	// What was acknowledged is on the disk already; closing tidies up.
	return errors.Join(p.say(a, ans), db.Close())
}

func (p *program) askDB(ctx context.Context, a asking, path string) (records, error) {
	if a.demo {
		return p.openDemo(ctx, a.time)
	}
	return p.openDB(ctx, path, nil)
}

// answer adds the files and asks.
func (p *program) answer(ctx context.Context, desk *chat.Dispatcher, inv chat.Invocation, a asking) chat.Answer {
	most := mesh.DeskLimits().Bytes
	var err error
	if a.attach != "" {
		var file chat.File
		if file, err = console.ReadFile(a.attach, most); err == nil {
			inv.Files = map[string]chat.File{"": file}
		}
	} else if inv.Line != "" {
		inv.Files, err = console.Attach(desk, inv.Line, most)
	}
	if err != nil {
		return chat.Answer{Fault: p.cannot(err), Private: true}
	}
	return desk.Do(ctx, inv)
}

// cannot makes a fault of an error that came up outside a command.
func (p *program) cannot(err error) *fault.Error {
	if f := fault.As(err); f != nil {
		return f
	}
	return fault.New(fault.Unavailable, "the records can't be opened: %v", err).Hint("run pourwright doctor").Because(err)
}

// say prints the answer, saves what comes with it, and turns it into a status.
// What can't be saved does not take the answer with it.
func (p *program) say(a asking, ans chat.Answer) error {
	var saved map[string]string
	var saveErr error
	if a.out != "" {
		saved, saveErr = console.Folder{Path: a.out}.Save(ans.Reply)
	}
	if err := p.print(a, ans, saved); err != nil {
		return fmt.Errorf("print the answer: %w", err)
	}
	if saveErr != nil {
		return saveErr
	}
	if s := console.StatusOf(ans); s != console.Answered {
		return status(s)
	}
	return nil
}

func (p *program) print(a asking, ans chat.Answer, saved map[string]string) error {
	if a.json {
		return console.WriteJSON(p.Out, ans)
	}
	screen := console.NewScreen(p.Out, p.Environ)
	screen.Once = true
	return screen.Show(ans, saved)
}
