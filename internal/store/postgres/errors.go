package postgres

import (
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"net"

	"github.com/jackc/pgx/v5/pgconn"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/store"
)

// again is what a member can do while whoever runs the program mends it.
const again = "nothing was written; tell whoever runs this bot, and try again later"

// translate turns an error of the driver into a fault, by its SQLSTATE (the
// manual's appendix "PostgreSQL Error Codes") and never by its text, or gives
// it back as it is. The words are for a member: they hold no address.
func translate(err error) error {
	var said *pgconn.PgError
	var dialed *pgconn.ConnectError
	switch {
	case errors.As(err, &said):
		return ofServer(said, err)
	case errors.As(err, &dialed), broke(err):
		return lost("the records can't be reached", err)
	}
	return err
}

// broke reports whether a connection ended without a word of the server.
func broke(err error) bool {
	var network net.Error
	for _, known := range []error{pgconn.ErrConnClosed, driver.ErrBadConn, sql.ErrConnDone, io.EOF, io.ErrUnexpectedEOF, net.ErrClosed} {
		if errors.Is(err, known) {
			return true
		}
	}
	return errors.As(err, &network) || pgconn.SafeToRetry(err)
}

func lost(message string, err error) error {
	return fault.New(fault.Unavailable, "%s", message).Hint("%s", again).Because(fmt.Errorf("%w: %w", store.ErrLost, err))
}

// ofServer is about what the server said.
func ofServer(said *pgconn.PgError, err error) error {
	switch said.Code {
	case "23505": // unique_violation
		return fmt.Errorf("%w: %w", store.ErrUnique, err)
	case "23503": // foreign_key_violation
		return fmt.Errorf("%w: %w", store.ErrForeign, err)
	case "57P01", "57P02", "57P03", "57P05", "25P03": // shutdown, crash, starting up, idle for too long
		return lost("the server that holds the records is being started anew", err)
	}
	f := ofCode(said.Code)
	if f == nil {
		return err
	}
	return f.Because(err)
}

// ofCode is the fault of a code, nil for what can only be a mistake of ours.
func ofCode(code string) *fault.Error {
	switch code {
	case "55P03", "57014", "40001", "40P01": // lock timeout, statement timeout, serialization, deadlock
		return fault.New(fault.Busy, "the records are busy with another write").Hint("nothing was written; try again in a moment")
	case "53100": // disk_full
		return fault.New(fault.Unavailable, "the disk that holds the records is full").Hint(again)
	case "53300": // too_many_connections
		return fault.New(fault.Busy, "the server that holds the records takes no more connections").Hint("nothing was written; try again in a moment")
	case "25006", "42501": // read_only_sql_transaction, insufficient_privilege
		return fault.New(fault.Unavailable, "the records can be read but not written").Hint(again)
	case "3D000", "3F000", "42P01": // the database, schema or table is not there
		return fault.New(fault.Unavailable, "the records are not where they should be").Hint(again)
	}
	switch class(code) {
	case "08": // connection
		return fault.New(fault.Unavailable, "the records can't be reached").Hint(again)
	case "28": // authorization
		return fault.New(fault.Unavailable, "the server that holds the records does not let this bot in").Hint(again)
	case "53", "58": // resources, system
		return fault.New(fault.Unavailable, "the server that holds the records is in trouble").Hint(again)
	case "XX": // internal
		return fault.New(fault.Unavailable, "the records are damaged").Hint(again)
	}
	return nil
}

func class(code string) string { return code[:min(2, len(code))] }

// kindOf names a driver's error for whoever counts them, in the words that
// store/sqlite has too.
func kindOf(err error) string {
	var said *pgconn.PgError
	var dialed *pgconn.ConnectError
	if !errors.As(err, &said) {
		if errors.As(err, &dialed) || broke(err) {
			return "lost"
		}
		return "other"
	}
	switch said.Code {
	case "23503":
		return "gone"
	case "55P03", "57014", "40001", "40P01", "53300":
		return "busy"
	case "53100":
		return "full"
	case "25006", "42501":
		return "read_only"
	case "3D000", "3F000", "42P01":
		return "no_database"
	case "53200":
		return "memory"
	}
	switch class(said.Code) {
	case "08", "57":
		return "lost"
	case "23":
		return "constraint"
	case "28":
		return "cannot_open"
	case "58":
		return "io"
	case "XX":
		return "corrupt"
	}
	return "other"
}

// openFault is an error of opening in words for whoever runs the program: what
// is wrong with which server, and what to do.
func (db *DB) openFault(err error) error {
	f := fault.As(err)
	if f == nil {
		return fault.New(fault.Unavailable, "can't open the database %s", db.Path()).Hint("look at the log, and run doctor").Because(err)
	}
	hint := f.HintText()
	if because := f.Unwrap(); because != nil {
		hint = remedy(because)
	}
	return fault.New(f.Code, "can't open the database %s: %s", db.Path(), f.Message).Hint("%s", hint).Because(f.Unwrap())
}

// remedy is what whoever runs the program can do.
func remedy(err error) string {
	var said *pgconn.PgError
	if !errors.As(err, &said) {
		return "look whether the server runs, at this host and port, and takes connections from here"
	}
	switch {
	case class(said.Code) == "28":
		return "look at user and password, and at the server's pg_hba.conf"
	case said.Code == "3D000":
		return "make the database (createdb), and name it in db"
	case said.Code == "42501":
		return "give the user leave to make tables there: it should own the database"
	case said.Code == "53300":
		return fmt.Sprintf("let the server take more connections: each program needs up to %d", readers+2)
	}
	return "look at the server's log, and run doctor"
}
