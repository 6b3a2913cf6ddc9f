package chat

import (
	"context"
	"fmt"
	"log/slog"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// Config is what a dispatcher needs.
type Config struct {
	Commands []Command
	People   shop.People
	Lines    shop.Lines
	Cards    shop.Cards // of live answers; nil keeps none
	Log      *slog.Logger
	NewRef   func() string              // a reference for the log, "k3f9-2m"
	Now      func() time.Time           // only to log how long a call took
	Terms    func(text string) []string // trade words in a text, first use first; may be nil
	// Beside is what a member is to be told with whatever they asked, nil for
	// nothing: it stands in their next answer, and is not asked for twice.
	Beside func(ctx context.Context, c *Call) (*Reply, error)
	Rate   Rate     // per member; the zero value sets no limit
	Watch  Observer // nil if nobody counts
}

// Observer is told what came of each call that a member made. It must not
// block.
type Observer interface {
	// Answered is given the command as it is declared, "" if none was found,
	// and the code of the refusal, "" for an answer.
	Answered(command string, code fault.Code, took time.Duration)
}

// Answer is what a call comes to: a Reply, a form to fill, or a Fault.
type Answer struct {
	Command   string // "batch", "volume mesh"; "" if none was found
	Reply     *Reply
	Form      *OpenForm
	Fault     *fault.Error
	Actions   []Action // under a Fault: the same call with a near value in place
	Reference string   // under an internal fault: what the log knows it by
	Replace   bool     // takes the place of the message that was pressed
	Private   bool
	Aside     *Reply // for who asked alone, beside a Reply that others see too
	Repeat    bool   // refused because the same interaction was carried out before
}

// OpenForm is a form for a transport to show. What is sent in comes back as
// Invocation{Press: ID, Filled: …}.
type OpenForm struct {
	ID, Title string
	Fields    []Field
}

// Field is one field of a form.
type Field struct {
	Option
	Value string
}

// Dispatcher turns invocations into answers. It is safe for concurrent use.
type Dispatcher struct {
	cfg    Config
	names  []string
	byName map[string]*Command
	limits limits
}

// New checks the declarations and makes a dispatcher. A wrong declaration is a
// programmer's mistake: it is an error here, at start-up, never later.
func New(cfg Config) (*Dispatcher, error) {
	d := &Dispatcher{cfg: cfg, byName: map[string]*Command{}, limits: newLimits(cfg.Rate)}
	for i := range cfg.Commands {
		c := cfg.Commands[i]
		c.Subs = slices.Clone(c.Subs)
		for j := range c.Subs {
			if s := &c.Subs[j]; s.Computes || s.Public {
				s.Options = append(slices.Clone(s.Options), showOption)
			}
		}
		if err := check(&c); err != nil {
			return nil, fmt.Errorf("command %q: %w", c.Name, err)
		}
		if d.byName[c.Name] != nil {
			return nil, fmt.Errorf("command %q is declared twice", c.Name)
		}
		d.byName[c.Name] = &c
		d.names = append(d.names, c.Name)
	}
	slices.Sort(d.names)
	return d, nil
}

// Commands lists the declarations by name, with the options that Dispatch
// adds. The result is shared: do not change it.
func (d *Dispatcher) Commands() []*Command {
	all := make([]*Command, len(d.names))
	for i, n := range d.names {
		all[i] = d.byName[n]
	}
	return all
}

// aim is a call whose command is found and whose options are texts by name.
type aim struct {
	cmd   *Command
	sub   *Sub
	press press
	raw   map[string]string
}

// Foresight is what a transport must know before it can call Do.
type Foresight struct {
	Private bool
	Slow    bool
	Replace bool // the answer takes the place of the message that was pressed
	Form    bool // a form opens: it can't be announced beforehand
}

// Foresee tells whether an answer will be private and whether it may be slow,
// from the declaration alone.
func (d *Dispatcher) Foresee(ctx context.Context, inv Invocation) Foresight {
	a, err := d.aim(ctx, inv)
	if err != nil {
		return Foresight{Private: true}
	}
	if a.press.verb == DoForm || a.sub.asks() && inv.Forms && len(a.raw) == 0 && inv.Filled == nil {
		return Foresight{Private: true, Form: true}
	}
	slow := a.sub.Slow
	for _, o := range a.sub.Options {
		if o.Kind == Attachment && a.raw[o.Name] != "" {
			slow = true
		}
	}
	return Foresight{Private: a.private(), Slow: slow, Replace: a.press.verb == DoReplace}
}

func (a aim) private() bool {
	switch a.press.verb {
	case DoPost:
		return false
	case DoWorking, DoFull, DoForm:
		return true
	}
	if raw, ok := a.raw["show"]; ok {
		show, err := readYesNo(showOption, raw)
		return err != nil || !show
	}
	return !a.sub.Public
}

// Do answers one invocation. It never panics and never returns half an answer.
func (d *Dispatcher) Do(ctx context.Context, inv Invocation) (ans Answer) {
	began := d.cfg.Now()
	var a aim
	var call *Call
	defer func() {
		if p := recover(); p != nil {
			ans = d.fail(a, call, fmt.Errorf("panic: %v\n%s", p, debug.Stack()))
		}
		took := d.cfg.Now().Sub(began)
		d.log(inv, ans, call, took)
		d.observe(inv, ans, took)
	}()
	a, err := d.aim(ctx, inv)
	if err != nil {
		return d.fail(a, nil, err)
	}
	call, err = d.open(ctx, a, inv)
	if err != nil {
		return d.fail(a, call, err)
	}
	if form, err := d.form(ctx, a, call); form != nil || err != nil {
		if err != nil {
			return d.fail(a, call, err)
		}
		return Answer{Command: a.cmd.Path(a.sub), Form: form, Private: true}
	}
	if err := call.read(); err != nil {
		return d.fail(a, call, err)
	}
	reply, err := a.sub.Run(ctx, call)
	if err != nil {
		return d.fail(a, call, err)
	}
	if err := d.finish(ctx, a, call, reply); err != nil {
		return d.fail(a, call, err)
	}
	ans = Answer{Command: a.cmd.Path(a.sub), Reply: reply, Replace: a.press.verb == DoReplace, Private: reply.Private}
	d.beside(ctx, call, &ans)
	return ans
}

// aim finds what is called: by name, by a typed line, or by a pressed action.
func (d *Dispatcher) aim(ctx context.Context, inv Invocation) (aim, error) {
	if inv.Press == "" && inv.Line == "" {
		a, err := d.find(append([]string{inv.Command}, strings.Fields(inv.Sub)...))
		a.raw = map[string]string{}
		for n, v := range inv.Raw {
			a.raw[n] = v
		}
		if err != nil {
			return a, err
		}
		return a, a.known()
	}
	line, p := inv.Line, press{}
	if inv.Press != "" {
		var err error
		if p, err = d.readAction(ctx, inv); err != nil {
			return aim{}, err
		}
		if p, err = d.ownReplace(ctx, inv, p); err != nil {
			return aim{}, err
		}
		line = p.line
	}
	a, err := d.aimLine(line)
	a.press = p
	if err != nil {
		return a, err
	}
	if p.rerun() && a.sub.Writes {
		// No reply offers this: it would carry the command out again.
		return a, fault.New(fault.NotAllowed, "/%s is not carried out a second time to show more of it", a.cmd.Path(a.sub)).
			Hint("type the command again if it is meant twice")
	}
	if p.verb == DoForm && inv.Filled != nil {
		// A form sent in: its fields join the line, an emptied one leaves it.
		a.press.verb = DoRun
		for n, v := range inv.Filled {
			a.raw[n] = v
		}
		dropEmpty(a.raw)
	}
	return a, a.known()
}

func dropEmpty(raw map[string]string) {
	for n, v := range raw {
		if strings.TrimSpace(v) == "" {
			delete(raw, n)
		}
	}
}

func (d *Dispatcher) aimLine(line string) (aim, error) {
	t, err := parseLine(line)
	if err != nil {
		return aim{}, err
	}
	a, err := d.find(t.words)
	a.raw = map[string]string{}
	for _, p := range t.options {
		a.raw[p.name] = p.value
	}
	return a, err
}

// find wants the exact words of a command and its sub.
func (d *Dispatcher) find(words []string) (aim, error) {
	if len(words) == 0 || words[0] == "" {
		return aim{}, fault.New(fault.UnknownCommand, "no command is named").Hint("try /help")
	}
	cmd := d.byName[words[0]]
	if cmd == nil {
		f := fault.New(fault.UnknownCommand, "there is no command /%s", fault.Echo(words[0])).Hint("/help lists them all")
		if near := Nearest(words[0], d.names); len(near) > 0 {
			f.Hint("did you mean /%s?", near[0])
		}
		return aim{}, f
	}
	if bare, ok := cmd.Sub(""); ok {
		if len(words) > 1 {
			return aim{cmd: cmd, sub: bare}, fault.New(fault.UnknownCommand, "/%s has no %q", cmd.Name, fault.Echo(words[1])).
				Hint("options are written name:value, such as %s", like(cmd, bare))
		}
		return aim{cmd: cmd, sub: bare}, nil
	}
	subs := make([]string, len(cmd.Subs))
	for i, s := range cmd.Subs {
		subs[i] = s.Name
	}
	list := strings.Join(subs, ", ")
	if len(words) == 1 {
		return aim{cmd: cmd}, fault.New(fault.UnknownCommand, "/%s needs one of its subcommands", cmd.Name).Hint("/%s followed by %s", cmd.Name, list)
	}
	name := strings.Join(words[1:], " ")
	if s, ok := cmd.Sub(name); ok {
		return aim{cmd: cmd, sub: s}, nil
	}
	f := fault.New(fault.UnknownCommand, "/%s has no %q", cmd.Name, fault.Echo(name)).Hint("one of %s", list)
	if near := Nearest(name, subs); len(near) > 0 {
		f.Hint("did you mean /%s %s?", cmd.Name, near[0])
	}
	return aim{cmd: cmd}, f
}

// like is an example call of a sub: its required options with their examples.
func like(cmd *Command, s *Sub) string {
	raw := map[string]string{}
	var order []string
	for _, o := range s.Options {
		group := slices.ContainsFunc(s.OneOf, func(g []string) bool { return g[0] == o.Name })
		if (o.Required || group) && o.Like != "" {
			raw[o.Name] = o.Like
			order = append(order, o.Name)
		}
	}
	return FormatLine(cmd.Path(s), raw, order)
}

// known wants every option given to be declared, whatever else is missing.
func (a aim) known() error {
	names := make([]string, len(a.sub.Options))
	for i, o := range a.sub.Options {
		names[i] = o.Name
	}
	given := make([]string, 0, len(a.raw))
	for n := range a.raw {
		given = append(given, n)
	}
	slices.Sort(given)
	for _, n := range given {
		if slices.Contains(names, n) {
			continue
		}
		f := fault.New(fault.UnknownOption, "/%s has no option %q", a.cmd.Path(a.sub), fault.Echo(n)).In(fault.Echo(n)).
			Hint("it takes %s", strings.Join(names, ", "))
		if near := Nearest(n, names); len(near) > 0 {
			f.Hint("did you mean %s:?", near[0])
		}
		return f
	}
	return nil
}

// open finds out who calls and whether they may now.
func (d *Dispatcher) open(ctx context.Context, a aim, inv Invocation) (*Call, error) {
	inv.Raw, inv.Command, inv.Sub = a.raw, a.cmd.Name, a.sub.Name
	if f, ok := inv.Files[""]; ok {
		if err := giveFile(a, inv, f); err != nil {
			return nil, err
		}
	}
	by, err := d.identify(ctx, inv)
	if err != nil {
		return nil, err
	}
	c := &Call{Invocation: inv, By: by, Done: ctx.Done(), Public: !a.private(), sub: a.sub, args: map[string]arg{}, pins: map[string]string{}}
	if a.press.verb == DoPost && a.press.owner != by.Member.ID {
		return c, fault.New(fault.NotAllowed, "only who asked may post this answer").Hint("ask it yourself with show:yes")
	}
	if inv.Renewal {
		return c, nil
	}
	return c, d.limits.take(by, inv.At)
}

// giveFile hands a file that came without an option name to the first option
// that takes one.
func giveFile(a aim, inv Invocation, f File) error {
	for _, o := range a.sub.Options {
		if o.Kind == Attachment {
			inv.Files[o.Name] = f
			a.raw[o.Name] = f.Name
			return nil
		}
	}
	return fault.New(fault.TooManyOptions, "/%s takes no file", a.cmd.Path(a.sub)).Hint("try /volume mesh")
}

// ownReplace lets only who asked replace the answer; anyone else who presses
// gets an answer of their own.
func (d *Dispatcher) ownReplace(ctx context.Context, inv Invocation, p press) (press, error) {
	if p.verb != DoReplace {
		return p, nil
	}
	by, err := d.identify(ctx, inv)
	if err == nil && by.Member.ID != p.owner {
		p.verb = DoRun
	}
	return p, err
}

func (d *Dispatcher) identify(ctx context.Context, inv Invocation) (shop.Viewer, error) {
	m, err := d.cfg.People.Member(ctx, inv.MemberKey, inv.MemberName, inv.At)
	if err != nil {
		return shop.Viewer{}, fmt.Errorf("find the member: %w", err)
	}
	founder := shop.MemberID(0)
	if inv.Founds {
		founder = m.ID
	}
	s, err := d.cfg.People.Shop(ctx, inv.ShopKey, inv.ShopName, founder, inv.At)
	if err != nil {
		return shop.Viewer{}, fmt.Errorf("find the shop: %w", err)
	}
	manager := inv.Manager
	if !manager {
		if manager, err = d.cfg.People.Manages(ctx, m.ID, s.ID); err != nil {
			return shop.Viewer{}, fmt.Errorf("find out who manages the shop: %w", err)
		}
	}
	return shop.Viewer{Member: m, Shop: s, Manager: manager}, nil
}

// form opens one where a button asks for it, or where a sub with forms is
// called without options by a transport that can show it.
func (d *Dispatcher) form(ctx context.Context, a aim, c *Call) (*OpenForm, error) {
	name := a.press.form
	switch {
	case a.press.verb == DoForm:
	case a.sub.asks() && c.Forms && len(a.raw) == 0 && c.Filled == nil:
		name = a.sub.Forms[0].Name
	default:
		return nil, nil
	}
	i := slices.IndexFunc(a.sub.Forms, func(f Form) bool { return f.Name == name })
	if i < 0 {
		return nil, fault.New(fault.NotFound, "%s", errOldButton).Hint("type the command again")
	}
	f := a.sub.Forms[i]
	line := FormatLine(a.cmd.Path(a.sub), a.raw, nil)
	id, err := d.actionID(ctx, c.Stamp(), press{verb: DoForm, form: f.Name, owner: c.By.Member.ID, line: line}, map[string]string{})
	if err != nil {
		return nil, err
	}
	values := map[string]string{}
	if f.Fill != nil {
		c.lenient()
		if values, err = f.Fill(ctx, c); err != nil {
			return nil, err
		}
	}
	open := &OpenForm{ID: id, Title: f.Title}
	for _, n := range f.Options {
		o, _ := a.sub.Option(n)
		value, given := a.raw[n]
		if !given {
			value = values[n]
		}
		open.Fields = append(open.Fields, Field{Option: o, Value: value})
	}
	return open, nil
}

// lenient reads the options that can be read and skips the rest, for
// completion and for filling a form.
func (c *Call) lenient() {
	for _, o := range c.sub.Options {
		if raw, ok := c.Raw[o.Name]; ok {
			if a, err := c.readOne(o, raw); err == nil {
				c.args[o.Name] = a
			}
		}
	}
	c.notes = nil
}
