package console

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

// Who is the local member that types, and the shop they stand in.
type Who struct{ MemberKey, MemberName, ShopKey, ShopName string }

// Local makes the keys of a member and a shop named at this machine. They
// never mix with those of the chat service.
func Local(member, shop string) Who {
	return Who{MemberKey: "local:" + member, MemberName: member, ShopKey: "local:" + shop, ShopName: shop}
}

// Invocation begins a call by them at that time.
func (w Who) Invocation(at time.Time) chat.Invocation {
	return chat.Invocation{
		At: at, MemberKey: w.MemberKey, MemberName: w.MemberName, ShopKey: w.ShopKey, ShopName: w.ShopName, Founds: true, Alone: true,
	}
}

// Prompt is a conversation in the terminal.
type Prompt struct {
	Desk     *chat.Dispatcher
	Who      Who
	Editor   Editor
	Screen   *Screen
	Folder   Folder // where pictures and files go
	Now      func() time.Time
	FileMost int64 // bytes of a file that is attached
	// Heard, if there, is told each answer and what was typed for it.
	Heard func(ctx context.Context, asked string, ans chat.Answer)

	mu      sync.Mutex    // guards what follows and the screen
	actions []chat.Action // of the last answer that had any, and of what came by itself since
	last    *chat.Reply   // the last one that had facts
	read    int           // lines so far
}

const promptText = "pourwright> "

// Run reads lines until the end of the input, "quit", or the end of ctx, and
// returns nil for each. It closes the editor.
func (p *Prompt) Run(ctx context.Context) (err error) {
	stop := context.AfterFunc(ctx, p.Editor.Stop)
	defer func() {
		stop()
		err = errors.Join(err, p.Editor.Close())
	}()
	for ctx.Err() == nil {
		line, err := p.Editor.Line(promptText, "", p.complete(ctx))
		switch {
		case errors.Is(err, io.EOF):
			return nil
		case errors.Is(err, ErrLeft):
			if err := p.say("Ctrl-D or quit leaves."); err != nil {
				return err
			}
			continue
		case err != nil:
			return err
		}
		p.read++
		line = strings.TrimSpace(line)
		if line == "" {
			continue
		}
		if strings.HasPrefix(line, "/") {
			p.Editor.Remember(line) // a button's number means nothing next time
		}
		if line == "quit" || line == "exit" {
			return nil
		}
		if err := p.answer(ctx, line); err != nil {
			if errors.Is(err, io.EOF) {
				return nil
			}
			return err
		}
	}
	return nil
}

// Read tells how many lines came in, after Run.
func (p *Prompt) Read() int { return p.read }

func (p *Prompt) buttons() []chat.Action {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.actions
}

func (p *Prompt) say(text string) error {
	_, err := fmt.Fprintln(p.Screen.W, text)
	return err
}

// answer carries out one line: the number of a button, or a command.
func (p *Prompt) answer(ctx context.Context, line string) error {
	inv := p.Who.Invocation(p.Now())
	inv.Forms = true
	if n, err := strconv.Atoi(strings.Trim(line, "[]")); err == nil {
		actions := p.buttons()
		if n < 1 || n > len(actions) {
			return p.say(noButton(n, len(actions)))
		}
		inv.Press = actions[n-1].ID
		return p.do(ctx, inv, actions[n-1].Label)
	}
	if line == "more" && p.last != nil {
		return p.Screen.ShowFacts(p.last)
	}
	inv.Line = line
	files, err := Attach(p.Desk, line, p.FileMost)
	if err != nil {
		return p.show(ctx, chat.Answer{Fault: fault.As(err), Private: true}, line)
	}
	inv.Files = files
	return p.do(ctx, inv, line)
}

func noButton(n, there int) string {
	switch there {
	case 0:
		return fmt.Sprintf("There is no button %d: no answer with buttons has come yet. Commands begin with a slash; try /help", n)
	case 1:
		return fmt.Sprintf("There is no button %d, only 1.", n)
	}
	return fmt.Sprintf("There is no button %d, only 1 to %d.", n, there)
}

// do asks; asked is what the person typed or pressed.
func (p *Prompt) do(ctx context.Context, inv chat.Invocation, asked string) error {
	ans := p.Desk.Do(ctx, inv)
	if ans.Form != nil {
		return p.fill(ctx, ans.Form)
	}
	return p.show(ctx, ans, asked)
}

// show saves what comes with an answer and prints it. A picture that can't be
// saved does not take the answer with it.
func (p *Prompt) show(ctx context.Context, ans chat.Answer, asked string) error {
	if p.Heard != nil {
		p.Heard(ctx, asked, ans)
	}
	saved, saveErr := p.Folder.Save(ans.Reply)
	p.mu.Lock()
	defer p.mu.Unlock()
	actions := ans.Actions
	if ans.Reply != nil {
		actions = ans.Reply.Actions
		if len(ans.Reply.Facts) > 0 {
			p.last = ans.Reply
		}
	}
	// An answer without buttons leaves those above it in force, for they are
	// still what the person sees.
	if len(actions) > 0 {
		p.actions = actions
	}
	if err := p.Screen.Show(ans, saved); err != nil {
		return err
	}
	if saveErr != nil {
		return p.say("Not saved: " + oneLine(saveErr.Error()))
	}
	return nil
}

// complete lists whole lines that go on from what is typed: what the
// dispatcher knows, and paths where a file is asked for.
func (p *Prompt) complete(ctx context.Context) func(string) []string {
	return func(typed string) []string {
		if ctx.Err() != nil {
			return nil
		}
		inv := p.Who.Invocation(p.Now())
		inv.Line = typed
		if lines := completePath(p.Desk, typed); lines != nil {
			return lines
		}
		return typable(p.Desk.CompleteLine(ctx, inv))
	}
}

// typable leaves out what a terminal can't show as it is: names are members'
// text.
func typable(lines []string) []string {
	return slices.DeleteFunc(lines, func(l string) bool { return l != oneLine(l) })
}
