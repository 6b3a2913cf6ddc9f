package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"
	"golang.org/x/sync/errgroup"

	"github.com/pourwright/pourwright/internal/bench"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/console"
	"github.com/pourwright/pourwright/internal/demo"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/library"
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/quantity"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// trying is what `try` was called with.
type trying struct {
	member, shop string
	addr, out    string
	keep         bool // the database was named
}

func (p *program) tryVerb() *cobra.Command {
	var t trying
	c := &cobra.Command{
		Use: "try [flags]", Short: "a demo shop at this machine: a prompt here and a page in the browser",
		Long: "Try everything in a demo shop, in the terminal and on a web page of this machine alone.",
		Args: cobra.NoArgs,
	}
	f := c.Flags()
	f.String("db", "", "database `file` to keep the shop in (default a temporary one)")
	f.StringVar(&t.member, "as", "ada", "`member` who asks: ada, bram, cleo or a new one")
	f.StringVar(&t.shop, "shop", "kettle-lane", "`shop` to stand in")
	f.StringVar(&t.addr, "addr", "127.0.0.1:0", "`address` of the page, on this machine; port 0 takes a free one")
	f.StringVar(&t.out, "out", "", "`folder` for pictures and files (default one of the run, told at the start)")
	c.RunE = func(c *cobra.Command, _ []string) error {
		t.keep = c.Flags().Changed("db")
		return p.try(c, t)
	}
	return c
}

func (p *program) try(c *cobra.Command, t trying) (err error) {
	w, err := who(t.member, t.shop)
	if err != nil {
		return err
	}
	cfg, log, err := p.settings(c)
	if err != nil {
		return err
	}
	ctx := c.Context()
	db, err := p.tryDB(ctx, t, cfg.DB)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	desk, err := p.newDesk(db, log, mesh.DeskLimits(), chat.Rate{}, cfg.BoardListen, nil)
	if err != nil {
		return err
	}
	onBoard, err := p.newBoard(db, log)
	if err != nil {
		return err
	}
	page, err := bench.New(bench.Config{
		Desk: desk, MemberKey: w.MemberKey, MemberName: w.MemberName, ShopKey: w.ShopKey, ShopName: w.ShopName,
		Addr: t.addr, FileMost: mesh.DeskLimits().Bytes, Now: p.Now, Random: p.Rand, Log: log,
		Board: onBoard.Handler(p.looking(db, w)),
	})
	if err != nil {
		return misuse{err}
	}
	defer func() { err = errors.Join(err, page.Close()) }()
	folder, err := tryFolder(t)
	if err != nil {
		return err
	}
	// One that stayed empty goes; anything else in it refuses to.
	if t.out == "" {
		defer func() { _ = os.Remove(folder) }()
	}
	if err := p.greet(t, page.URL(), folder, db.Path()); err != nil {
		return err
	}
	if err := p.converse(ctx, db, desk, w, page, folder, log); err != nil {
		return err
	}
	return p.farewell(ctx, db, w, t)
}

// tryDB opens the kept database or a temporary one, with the demo shop in it.
func (p *program) tryDB(ctx context.Context, t trying, path string) (db records, err error) {
	if t.keep {
		db, err = p.openDB(ctx, path, nil)
	} else {
		db, err = opened(sqlite.Temp(ctx, sqlite.Config{Rand: p.Rand}))
	}
	if err != nil {
		return nil, err
	}
	// A kept file has the demo shop already.
	if err := demo.Seed(ctx, db, p.Now()); err != nil && !fault.Is(err, fault.NameTaken) {
		return nil, errors.Join(err, db.Close())
	}
	return db, nil
}

// tryFolder is where pictures go. One of the run's own stays after it if
// anything was put there.
func tryFolder(t trying) (string, error) {
	if t.out != "" {
		return filepath.Abs(t.out)
	}
	dir, err := os.MkdirTemp("", "pourwright-pictures-")
	if err != nil {
		return "", fmt.Errorf("make a folder for pictures: %w", err)
	}
	return dir, nil
}

func (p *program) greet(t trying, url, folder, db string) error {
	kept := "nothing is kept when you leave"
	if t.keep {
		kept = "kept in " + db
	}
	_, err := fmt.Fprintf(p.Out, `You are %s in the demo shop %s; %s.
Page:     %s
Pictures: %s
Type /help, the number of a button, or quit. Tab completes.
`, t.member, t.shop, kept, url, folder)
	return err
}

// farewell tells what becomes of the calls that are still to come.
func (p *program) farewell(ctx context.Context, db records, w console.Who, t trying) error {
	ctx = context.WithoutCancel(ctx) // a signal is a way to leave like any other
	v, _, err := p.looking(db, w).Viewer(ctx)
	if err != nil {
		return fmt.Errorf("see what is left to come: %w", err)
	}
	dues, err := db.Dues(ctx, v, library.DuesLooked)
	if err != nil {
		return fmt.Errorf("list what is left to come: %w", err)
	}
	left := 0
	for _, d := range dues {
		if d.State == shop.DuePending {
			left++
		}
	}
	if left == 0 {
		return nil
	}
	calls := quantity.Count(left, "call", "calls")
	if !t.keep {
		_, err = fmt.Fprintf(p.Out, "%s to come went with the demo shop; --db FILE keeps it.\n", calls)
		return err
	}
	_, err = fmt.Fprintf(p.Out, "%s to come once this runs again, the late ones first.\n", calls)
	return err
}

// converse runs the page, the prompt and the calls back until either of the
// first two ends for good.
func (p *program) converse(ctx context.Context, db records, desk *chat.Dispatcher, w console.Who, page *bench.Bench, folder string, log *slog.Logger) error {
	screen := console.NewScreen(p.Out, p.Environ)
	editor, err := p.editor(log)
	if err != nil {
		return err
	}
	prompt := &console.Prompt{
		Desk: desk, Who: w, Editor: editor, Screen: screen, Folder: console.Folder{Path: folder, Keep: true},
		Now: p.Now, FileMost: mesh.DeskLimits().Bytes, Heard: page.Show,
	}
	group, ctx := errgroup.WithContext(ctx)
	ctx, leave := context.WithCancel(ctx)
	defer leave()
	group.Go(func() error { return page.Run(ctx) })
	loop := p.callsBack(db, "local", localSender{member: w.MemberKey, prompt: prompt, page: page}, desk, log, nil)
	group.Go(func() error { return loop.Run(ctx) })
	group.Go(func() error {
		err := prompt.Run(ctx)
		if err == nil && prompt.Read() == 0 && !editor.Live() {
			// Started without anyone to type: the page is what is wanted.
			log.Info("no input; the page stays until a signal ends it")
			<-ctx.Done()
		}
		leave()
		return err
	})
	return group.Wait()
}

// editor is the line editor of a terminal, or a reader of what is piped in.
func (p *program) editor(log *slog.Logger) (console.Editor, error) {
	in, err := console.NewInput(p.In)
	if err != nil {
		return nil, fmt.Errorf("read the standard input: %w", err)
	}
	out, isFile := p.Out.(*os.File)
	if !isFile || !console.IsTerminal(p.In) || !console.IsTerminal(out) {
		return console.NewPipe(in, p.Out), nil
	}
	editor, err := console.NewKeyboard(in, historyFile())
	if editor == nil {
		return nil, err
	}
	if err != nil {
		log.Warn("the lines typed before are not there", "error", err)
	}
	return editor, nil
}

// historyFile is where the lines typed before are kept, "" for nowhere.
func historyFile() string {
	dir, err := os.UserCacheDir()
	if err != nil {
		return ""
	}
	return filepath.Join(dir, "pourwright", "history")
}
