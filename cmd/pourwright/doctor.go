package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"github.com/pourwright/pourwright/internal/config"
	"github.com/pourwright/pourwright/internal/console"
	"github.com/pourwright/pourwright/internal/discord"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/store"
	"github.com/pourwright/pourwright/internal/store/postgres"
)

// finding is one line of the doctor's report.
type finding struct {
	what string
	do   string // what to do; "" if it is well
	// later marks what only some uses need: it is told, and is no failure.
	later bool
}

func well(format string, args ...any) finding { return finding{what: fmt.Sprintf(format, args...)} }

func (p *program) doctorVerb() *cobra.Command {
	c := &cobra.Command{
		Use: "doctor", Short: "look over toolchain, settings, token, database, folders and clock",
		Long: "Look everything over. Each line is well (ok), needed for some uses only (later), or to be mended (mend).\nExit status 1 if anything is to be mended.",
		Args: cobra.NoArgs,
	}
	c.Flags().String("db", "pourwright.db", "database `file`")
	c.RunE = func(c *cobra.Command, _ []string) error {
		cfg, _, err := p.settings(c)
		lines := p.toolchain(c.Context())
		if err != nil {
			lines = append(lines, finding{what: "settings: " + oneBreak(err), do: "mend the settings, then run doctor again"})
		} else {
			lines = append(lines, p.examine(c.Context(), cfg)...)
		}
		return p.tell(append(lines, p.clock()...))
	}
	return c
}

func oneBreak(err error) string { return strings.ReplaceAll(err.Error(), "\n", "; ") }

// examine looks at everything that the settings name.
func (p *program) examine(ctx context.Context, cfg *config.Config) []finding {
	lines := []finding{well("settings: %s", settingsText(cfg))}
	lines = append(lines, p.database(ctx, cfg)...)
	lines = append(lines, historyFolder()...)
	lines = append(lines, p.posted(ctx, cfg)...)
	return append(lines, p.token(ctx, cfg)...)
}

func settingsText(cfg *config.Config) string {
	if cfg.File == "" {
		return "no file; environment, flags and defaults"
	}
	return "file " + cfg.File
}

func (p *program) tell(lines []finding) error {
	var ill bool
	for _, l := range lines {
		word := "ok"
		switch {
		case l.do != "" && l.later:
			word = "later"
		case l.do != "":
			word, ill = "mend", true
		}
		if _, err := fmt.Fprintf(p.Out, "%-6s%s\n", word, l.what); err != nil {
			return err
		}
		if l.do != "" {
			if _, err := fmt.Fprintf(p.Out, "      → %s\n", l.do); err != nil {
				return err
			}
		}
	}
	if ill {
		return status(console.Refused)
	}
	return nil
}

// toolchain finds what a build from source needs.
func (p *program) toolchain(ctx context.Context) []finding {
	info, _ := debug.ReadBuildInfo()
	lines := []finding{well("program: pourwright %s, built with %s", versionText(info), runtime.Version())}
	lines = append(lines, tool(ctx, "Go", []string{"go", "version"}, "install Go 1.26 or later to build from source"))
	cc := p.env("CC")
	if cc == "" {
		cc = "gcc"
	}
	return append(lines, tool(ctx, "C compiler", append(strings.Fields(cc), "--version"), "install gcc (Debian: apt install gcc) to build from source"))
}

// tool runs a program for the first line it says about itself.
func tool(ctx context.Context, name string, argv []string, install string) finding {
	ctx, cancel := context.WithTimeout(ctx, 10*time.Second)
	defer cancel()
	out, err := exec.CommandContext(ctx, argv[0], argv[1:]...).Output()
	first, _, _ := strings.Cut(string(out), "\n")
	if err != nil {
		return finding{what: fmt.Sprintf("%s: %s does not run", name, argv[0]), do: install, later: true}
	}
	return well("%s: %s", name, first)
}

// database opens the database, if it is there, and has it looked over.
func (p *program) database(ctx context.Context, cfg *config.Config) []finding {
	named := cfg.DB
	if postgres.Names(named) {
		lines, _ := p.lookOver(ctx, cfg)
		return lines
	}
	_, err := os.Stat(named)
	if errors.Is(err, fs.ErrNotExist) {
		lines := []finding{well("database: %s is not there yet; the first use makes it", named)}
		return append(lines, writable("folder of the database", filepath.Dir(named)))
	}
	lines, opened := p.lookOver(ctx, cfg)
	if !opened {
		return lines
	}
	return append(lines, writable("folder of the database", filepath.Dir(named)))
}

// lookOver opens a database and has it looked over.
func (p *program) lookOver(ctx context.Context, cfg *config.Config) (lines []finding, opened bool) {
	db, err := p.openDB(ctx, cfg.DB, nil)
	if err != nil {
		f := finding{what: "database: " + err.Error(), do: "look at the message above"}
		if told := fault.As(err); told != nil {
			f = finding{what: "database: " + told.Message, do: told.HintText()}
		}
		return []finding{f}, false
	}
	for _, found := range db.Check(ctx) {
		lines = append(lines, ofStore(found))
	}
	lines = append(lines, p.retention(ctx, db, cfg.RetentionDays))
	if err := db.Close(); err != nil {
		lines = append(lines, finding{what: "database: closing it: " + err.Error(), do: "look for another program that uses it"})
	}
	return lines, true
}

func ofStore(found store.Finding) finding {
	f := finding{what: "database: " + found.What}
	if !found.OK {
		f.do = found.Do
	}
	return f
}

// writable tries to make a file in a folder.
func writable(what, dir string) finding {
	f, err := os.CreateTemp(dir, ".pourwright-doctor-*")
	if err == nil {
		err = errors.Join(f.Close(), os.Remove(f.Name()))
	}
	if err != nil {
		return finding{what: fmt.Sprintf("%s: %v", what, err), do: "give this user leave to write there, or name another place with db"}
	}
	return well("%s: %s can be written", what, dir)
}

// historyFolder looks at where the prompt keeps the lines typed before.
func historyFolder() []finding {
	path := historyFile()
	if path == "" {
		return []finding{{what: "history: no folder for it", do: "set HOME, or XDG_CACHE_HOME, to keep the lines typed in try", later: true}}
	}
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return []finding{well("history: none yet")}
	case err != nil:
		return []finding{{what: "history: " + err.Error(), do: "look at the folder's permissions", later: true}}
	case info.Mode().Perm()&0o077 != 0:
		return []finding{{what: fmt.Sprintf("history: others can read %s (mode %04o)", path, info.Mode().Perm()), do: "chmod 600 " + path}}
	}
	return []finding{well("history: %s, yours alone", path)}
}

// clock looks for a clock that is plainly wrong: reminders and shelf dates
// rest on it.
func (p *program) clock() []finding {
	now := p.Now()
	info, ok := debug.ReadBuildInfo()
	if ok {
		for _, s := range info.Settings {
			if built, err := time.Parse(time.RFC3339, s.Value); s.Key == "vcs.time" && err == nil && now.Before(built) {
				return []finding{{what: fmt.Sprintf("clock: it is %s, before this program was written", now.UTC().Format(time.RFC3339)), do: "set the clock (timedatectl set-ntp true)"}}
			}
		}
	}
	if now.Year() < 2026 {
		return []finding{{what: fmt.Sprintf("clock: it is %s", now.UTC().Format(time.RFC3339)), do: "set the clock (timedatectl set-ntp true)"}}
	}
	return []finding{well("clock: %s", now.UTC().Format(time.RFC3339))}
}

// token asks the service whether the token works. That it is kept from others
// was checked when the settings were read.
func (p *program) token(ctx context.Context, cfg *config.Config) []finding {
	if !cfg.Token.Set() {
		if cfg.HTTPListen != "" {
			return []finding{{what: "token: none; questions are answered, but reminders reach nobody, cards are not kept up to date, and register can't write the slash commands",
				do: strings.ReplaceAll(noToken, "\n", " "), later: true}}
		}
		return []finding{{what: "token: none", do: "for serve, " + strings.ReplaceAll(noToken, "\n", " "), later: true}}
	}
	service, err := p.chatService(cfg, "doctor")
	if err != nil {
		return []finding{{what: "token: " + err.Error(), do: "set the token anew"}}
	}
	ctx, cancel := context.WithTimeout(ctx, tokenPatience)
	defer cancel()
	h, err := discord.Check(ctx, service)
	var answered *discord.APIError
	switch {
	case errors.Is(err, discord.ErrUnauthorized):
		return []finding{{what: "token: the chat service refuses it", do: "copy the bot's token anew from the service's developer pages"}}
	case errors.As(err, &answered):
		return []finding{{what: "token: " + err.Error(), do: "try again later; if it stays, look at the application's page"}}
	case err != nil && h.ApplicationID != "":
		return []finding{{what: "token: " + err.Error(), do: "set application_id to that of the token, or leave it out"}}
	case err != nil:
		return []finding{{what: "token: set; the chat service can't be reached: " + err.Error(), do: "look at the network, then run doctor again", later: true}}
	}
	lines := append([]finding{well("token: works, for the application %q (%s)", h.ApplicationName, h.ApplicationID)}, keyOf(cfg, h)...)
	if cfg.HTTPListen == "" {
		lines = append(lines, well("gateway: %d of %d session starts left today", h.Starts, h.StartsTotal))
	}
	return append(lines, well("invitation: %s", discord.InviteURL(h.ApplicationID)))
}

// tokenPatience bounds the questions to the chat service.
const tokenPatience = 15 * time.Second
