package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

// openTerminal makes a pseudo-terminal: the end a person types at and the end
// a program runs on.
func openTerminal(t *testing.T) (person, program *os.File) {
	t.Helper()
	person, err := os.OpenFile("/dev/ptmx", os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Skipf("no pseudo-terminals here: %v", err)
	}
	t.Cleanup(func() { person.Close() })
	fd := int(person.Fd())
	if err := unix.IoctlSetPointerInt(fd, unix.TIOCSPTLCK, 0); err != nil {
		t.Fatal(err)
	}
	n, err := unix.IoctlGetInt(fd, unix.TIOCGPTN)
	if err != nil {
		t.Fatal(err)
	}
	if err := unix.IoctlSetWinsize(fd, unix.TIOCSWINSZ, &unix.Winsize{Row: 40, Col: 90}); err != nil {
		t.Fatal(err)
	}
	program, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", n), os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { program.Close() })
	return person, program
}

// terminal is `try` on a pseudo-terminal.
type terminal struct {
	t      *testing.T
	person *os.File
	screen *output
	cmd    *exec.Cmd
	before unix.Termios
	tty    *os.File
}

func startTerminal(t *testing.T, home string, flags ...string) *terminal {
	t.Helper()
	return openTry(t, home, "pourwright-hurried", os.Environ(), flags...)
}

// openTry starts the try of a program and waits for its prompt.
func openTry(t *testing.T, home, program string, environ []string, flags ...string) *terminal {
	t.Helper()
	person, tty := openTerminal(t)
	before, err := unix.IoctlGetTermios(int(tty.Fd()), unix.TCGETS)
	if err != nil {
		t.Fatal(err)
	}
	screen := &output{}
	x := &terminal{t: t, person: person, screen: screen, before: *before, tty: tty}
	x.cmd = exec.Command(program, append([]string{"try"}, flags...)...)
	x.cmd.Stdin, x.cmd.Stdout, x.cmd.Stderr = tty, tty, tty
	x.cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	x.cmd.Env = append(environ, "HOME="+home, "XDG_CACHE_HOME="+home, "TMPDIR="+home, "TERM=xterm", "NO_COLOR=1")
	if err := x.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	go func() {
		// Reading ends with an error when the terminal closes.
		buf := make([]byte, 4096)
		for {
			n, err := person.Read(buf)
			_, _ = screen.Write(buf[:n])
			if err != nil {
				return
			}
		}
	}()
	x.screen.await(t, "pourwright> ")
	return x
}

func (x *terminal) types(keys string) {
	x.t.Helper()
	if _, err := x.person.WriteString(keys); err != nil {
		x.t.Fatal(err)
	}
}

// ends waits for status 0 and the terminal's mode of before.
func (x *terminal) ends() {
	x.t.Helper()
	if err := x.cmd.Wait(); err != nil {
		x.t.Errorf("%v; the screen is:\n%s", err, x.screen)
	}
	after, err := unix.IoctlGetTermios(int(x.tty.Fd()), unix.TCGETS)
	if err != nil {
		x.t.Fatal(err)
	}
	if *after != x.before {
		x.t.Errorf("the terminal is left in another mode: %+v, was %+v", *after, x.before)
	}
}

func TestTryOnTerminal(t *testing.T) {
	t.Parallel()
	home := t.TempDir()
	x := startTerminal(t, home)
	x.types("/bat\tmaterial:\"demo rigid white\" vol\t\"250 ml\"\r")
	x.screen.await(t, "Mix 143.0 g A with 132.6 g B")
	x.types("\x03")
	x.screen.await(t, "Ctrl-D or quit leaves.")
	x.types("1\r")
	x.screen.await(t, "Working: Mix")
	x.types("\x04")
	x.ends()

	path := filepath.Join(home, "pourwright", "history")
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	if info.Mode().Perm() != 0o600 {
		t.Errorf("the history has mode %04o, want 0600", info.Mode().Perm())
	}
	history, err := os.ReadFile(path)
	want := "/batch material:\"demo rigid white\" volume:\"250 ml\"\n"
	if err != nil || string(history) != want {
		t.Errorf("the history is %q, %v; want %q", history, err, want)
	}

	// The next run has it: up and return ask again.
	x = startTerminal(t, home)
	x.types("\x1b[A\r")
	x.screen.await(t, "Mix 143.0 g A with 132.6 g B")
	x.types("quit\r")
	x.ends()
}

// A call comes above the line that is being typed, which goes on.
func TestTryCallsBackOnTerminal(t *testing.T) {
	t.Parallel()
	home := t.TempDir()
	path := filepath.Join(home, "shop.db")
	db, ada := openAs(t, path, "local:ada", "local:kettle-lane")
	defer db.Close()
	x := startTerminal(t, home, "--db", path)
	x.types("/bat")
	x.screen.await(t, "/bat")
	addDue(t, db, ada, "wipe the mold", "", time.Now())
	x.screen.await(t, "[2] Done")
	x.types("ch material:\"demo rigid white\" volume:\"250 ml\"\r")
	screen := x.screen.await(t, "Mix 143.0 g A with 132.6 g B")
	if _, below, _ := strings.Cut(screen, "[2] Done"); !strings.Contains(below, "pourwright> /bat") {
		t.Errorf("the line is not drawn again: %q", screen)
	}
	x.types("quit\r")
	x.ends()
}

// A command without options opens its form; Ctrl-C leaves it without sending.
func TestTryFormOnTerminal(t *testing.T) {
	t.Parallel()
	x := startTerminal(t, t.TempDir())
	x.types("/material add\r")
	x.screen.await(t, "(Ctrl-C leaves it)")
	x.screen.await(t, "name: ")
	x.types("\x03")
	x.screen.await(t, "Left; nothing was sent.")
	x.types("quit\r")
	x.ends()
}

// A signal from outside ends a prompt that waits for a key, and the terminal
// is as it was.
func TestTryEndsOnSignal(t *testing.T) {
	t.Parallel()
	for _, sig := range []os.Signal{syscall.SIGTERM, syscall.SIGINT} {
		t.Run(sig.String(), func(t *testing.T) {
			x := startTerminal(t, t.TempDir())
			x.types("/bat")
			x.screen.await(t, "/bat")
			if err := x.cmd.Process.Signal(sig); err != nil {
				t.Fatal(err)
			}
			x.ends()
			if s := x.screen.String(); strings.Contains(s, "panic") || strings.Contains(s, "goroutine") {
				t.Errorf("the screen is:\n%s", s)
			}
		})
	}
}
