package postgres_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/url"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5/pgconn"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store"
	"github.com/pourwright/pourwright/internal/store/postgres"
	"github.com/pourwright/pourwright/internal/store/postgres/pgtest"
)

// The codes are those of the manual's appendix "PostgreSQL Error Codes".
func TestTranslate(t *testing.T) {
	for _, c := range []struct {
		code string
		want fault.Code // "" for none
		is   error
		says string
		kind string
	}{
		{"23505", "", store.ErrUnique, "", "constraint"},
		{"23503", "", store.ErrForeign, "", "gone"},
		{"55P03", fault.Busy, nil, "busy", "busy"},
		{"57014", fault.Busy, nil, "busy", "busy"},
		{"40001", fault.Busy, nil, "busy", "busy"},
		{"40P01", fault.Busy, nil, "busy", "busy"},
		{"53300", fault.Busy, nil, "connections", "busy"},
		{"53100", fault.Unavailable, nil, "full", "full"},
		{"53200", fault.Unavailable, nil, "trouble", "memory"},
		{"58030", fault.Unavailable, nil, "trouble", "io"},
		{"25006", fault.Unavailable, nil, "not written", "read_only"},
		{"42501", fault.Unavailable, nil, "not written", "read_only"},
		{"3D000", fault.Unavailable, nil, "where they should be", "no_database"},
		{"42P01", fault.Unavailable, nil, "where they should be", "no_database"},
		{"57P01", fault.Unavailable, store.ErrLost, "anew", "lost"},
		{"57P03", fault.Unavailable, store.ErrLost, "anew", "lost"},
		{"08006", fault.Unavailable, nil, "reached", "lost"},
		{"28P01", fault.Unavailable, nil, "let this bot in", "cannot_open"},
		{"XX001", fault.Unavailable, nil, "damaged", "corrupt"},
		{"22012", "", nil, "", "other"}, // a division by zero is a mistake of ours
		{"", "", nil, "", "other"},
	} {
		said := fmt.Errorf("query: %w", &pgconn.PgError{Code: c.code, Message: "secret detail"})
		if got := postgres.KindOf(said); got != c.kind {
			t.Errorf("%s counts as %q, want %q", c.code, got, c.kind)
		}
		err := postgres.Translate(said)
		f := fault.As(err)
		switch {
		case c.want == "" && f != nil, c.want != "" && (f == nil || f.Code != c.want):
			t.Errorf("%s: %v, want %q", c.code, err, c.want)
		case c.is != nil && !errors.Is(err, c.is):
			t.Errorf("%s: %v is not %v", c.code, err, c.is)
		case f != nil && (!strings.Contains(f.Message, c.says) || f.HintText() == "" || strings.Contains(f.Message, "secret")):
			t.Errorf("%s: %q, %q; want %q", c.code, f.Message, f.HintText(), c.says)
		}
	}
	for _, broken := range []error{io.ErrUnexpectedEOF, &net.OpError{Op: "read", Err: errors.New("reset")}, pgconn.ErrConnClosed} {
		if err := postgres.Translate(broken); !errors.Is(err, store.ErrLost) || !fault.Is(err, fault.Unavailable) {
			t.Errorf("%v: %v", broken, err)
		}
		if got := postgres.KindOf(broken); got != "lost" {
			t.Errorf("%v counts as %q", broken, got)
		}
	}
	if err := postgres.Translate(context.Canceled); fault.As(err) != nil {
		t.Errorf("a canceled context became %v", err)
	}
}

// No message, log line or cause holds the password, whatever is wrong.
func TestPasswordIsKept(t *testing.T) {
	const password = "sesame-17"
	addresses := map[string]string{
		"nobody listens":    "postgres://bot:" + password + "@127.0.0.1:1/shop?connect_timeout=1",
		"no address":        "postgres://bot:" + password + "@127.0.0.1:port/shop",
		"an unknown option": "postgres://bot:" + password + "@127.0.0.1:1/shop?sslmode=perhaps",
		"spaces":            "postgres://bot:" + password + " @:1",
		"in the options":    "postgres://127.0.0.1:1/shop?user=bot&password=" + password + "&connect_timeout=1",
	}
	for name, address := range addresses {
		db, err := postgres.Open(t.Context(), postgres.Config{URL: address})
		if err == nil {
			db.Close()
			t.Errorf("%s: opened", name)
			continue
		}
		f := fault.As(err)
		if f == nil || f.Code != fault.Unavailable || f.HintText() == "" {
			t.Errorf("%s: %v is no word for who runs the program", name, err)
		}
		for _, said := range []string{err.Error(), fmt.Sprintf("%+v", err), fmt.Sprint(errors.Unwrap(err)), f.HintText(), f.Message} {
			if strings.Contains(said, password) {
				t.Errorf("%s: the password is in %q", name, said)
			}
		}
	}
}

// TestPathIsBare: what is shown of a database leaves out who could get in by it.
func TestPathIsBare(t *testing.T) {
	u, err := url.Parse(pgtest.Migrated(t))
	if err != nil {
		t.Fatal(err)
	}
	u.User = url.UserPassword(u.User.Username(), "sesame-17")
	db := open(t, postgres.Config{URL: u.String()})
	if got := db.Path(); strings.Contains(got, "sesame") || strings.Contains(got, "?") || !strings.HasSuffix(got, u.Path) {
		t.Errorf("path %q of %s", got, u.Redacted())
	}
}

func TestOpenRefused(t *testing.T) {
	server, err := url.Parse(pgtest.Server(t))
	if err != nil {
		t.Fatal(err)
	}
	missing, stranger := *server, *server
	missing.Path = "/pourwright_test_not_there"
	stranger.User = url.UserPassword("pourwright_test_nobody", "x")
	for _, c := range []struct{ name, address, want, hint string }{
		{"no database", missing.String(), "where they should be", "createdb"},
		{"no user", stranger.String(), "let this bot in", "password"},
	} {
		_, err := postgres.Open(t.Context(), postgres.Config{URL: c.address})
		f := fault.As(err)
		if f == nil || f.Code != fault.Unavailable || !strings.Contains(f.Message, c.want) || !strings.Contains(f.HintText(), c.hint) {
			t.Errorf("%s: %v, want %q and %q", c.name, err, c.want, c.hint)
		}
	}
}

// A write that others keep waiting is refused and can be sent again; one on a
// server that only reads is refused too, and reading goes on.
func TestWritesRefused(t *testing.T) {
	address := pgtest.Migrated(t)
	db := open(t, postgres.Config{URL: address})
	v := viewer(t, db, "ada")
	stamp := shop.Stamp{By: v, At: testTime, Interaction: "once"}

	other, err := db.RawReader().Conn(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	lock := func(act string) {
		t.Helper()
		if _, err := other.ExecContext(t.Context(), "SELECT "+act+"($1, $2)", postgres.LockSpace, postgres.LockWrites); err != nil {
			t.Fatal(err)
		}
	}
	lock("pg_advisory_lock")
	if _, err := db.AddMaterial(t.Context(), stamp, profile("white"), true); !fault.Is(err, fault.Busy) {
		t.Errorf("beside another write: %v, want %s", err, fault.Busy)
	}
	lock("pg_advisory_unlock")
	if _, err := db.AddMaterial(t.Context(), stamp, profile("white"), true); err != nil {
		t.Errorf("sent again: %v", err)
	}

	if _, err := db.Raw().ExecContext(t.Context(), "SET default_transaction_read_only = on"); err != nil {
		t.Fatal(err)
	}
	if _, err := db.AddMaterial(t.Context(), shop.Stamp{By: v, At: testTime}, profile("black"), true); !fault.Is(err, fault.Unavailable) {
		t.Errorf("on a server that only reads: %v, want %s", err, fault.Unavailable)
	}
	if got := names(t, db, v); got["white"] != 1 || len(got) != 1 {
		t.Errorf("kept %v", got)
	}
	for _, f := range db.Check(t.Context()) {
		if strings.Contains(f.What, "written") && strings.Contains(f.What, "records") && f.OK {
			t.Errorf("the doctor finds %+v", f)
		}
	}
}

// TestReadersOnlyRead: nothing that reads can write, whatever it is told.
func TestReadersOnlyRead(t *testing.T) {
	db := open(t, postgres.Config{URL: pgtest.Migrated(t)})
	if _, err := db.RawReader().ExecContext(t.Context(), "DELETE FROM member"); !fault.Is(postgres.Translate(err), fault.Unavailable) {
		t.Errorf("a reader deletes: %v", err)
	}
}
