package postgres

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net"
	"strings"

	"github.com/pourwright/pourwright/internal/store"
)

// Check looks the open database over: server, schema, rights, and whether what
// is acknowledged is on its disk. It changes nothing.
func (db *DB) Check(ctx context.Context) []store.Finding {
	return []store.Finding{db.checkServer(ctx), db.checkSchema(ctx), db.checkWrite(ctx), db.checkKept(ctx), db.checkOwner(ctx)}
}

// checkServer finds a connection that others on its way can read.
func (db *DB) checkServer(ctx context.Context) store.Finding {
	var version string
	var encrypted bool
	err := db.eng.Reader.QueryRowContext(ctx, `SELECT current_setting('server_version'),
		coalesce((SELECT ssl FROM pg_stat_ssl WHERE pid = pg_backend_pid()), false)`).Scan(&version, &encrypted)
	if err != nil {
		return store.Failing("the server does not answer", translate(err))
	}
	f := store.Finding{What: fmt.Sprintf("Postgres %s, %s", version, db.Path()), OK: true}
	if !encrypted && !db.near() {
		f.OK, f.What = false, f.What+", the connection is not encrypted"
		f.Do = "add sslmode=verify-full to the address, and the server's certificate authority as sslrootcert"
	}
	return f
}

// near reports whether the server is on this machine: a socket, or loopback.
func (db *DB) near() bool {
	ip := net.ParseIP(db.conf.Host)
	return strings.HasPrefix(db.conf.Host, "/") || db.conf.Host == "localhost" || ip != nil && ip.IsLoopback()
}

func (db *DB) checkSchema(ctx context.Context) store.Finding {
	h, err := readHeader(ctx, db.eng.Reader)
	if err != nil {
		return store.Failing("schema can't be read", translate(err))
	}
	if upToDate, err := h.judge(); err != nil || !upToDate {
		return store.Failing(fmt.Sprintf("schema %d is not the one of this program", h.version), err)
	}
	return store.Finding{What: fmt.Sprintf("schema %d, up to date", h.version), OK: true}
}

// checkWrite writes nothing, where a write would have to be allowed.
func (db *DB) checkWrite(ctx context.Context) store.Finding {
	tx, err := db.eng.Writer.BeginTx(ctx, nil)
	if err == nil {
		_, err = db.enter(ctx, tx)
		if err == nil {
			_, err = tx.ExecContext(ctx, "UPDATE member SET name = name WHERE id = -1")
		}
		err = errors.Join(err, tx.Rollback())
	}
	if err != nil {
		return store.Failing("records can't be written", translate(err))
	}
	return store.Finding{What: "records can be written", OK: true}
}

// checkKept finds a server that says "committed" before it is on the disk.
func (db *DB) checkKept(ctx context.Context) store.Finding {
	var off sql.NullString
	err := db.eng.Reader.QueryRowContext(ctx, `SELECT string_agg(name, ', ' ORDER BY name) FROM pg_settings
		WHERE name IN ('fsync', 'synchronous_commit', 'full_page_writes') AND setting = 'off'`).Scan(&off)
	switch {
	case err != nil:
		return store.Failing("the server's settings can't be read", translate(err))
	case off.Valid:
		return store.Finding{What: "the server's " + off.String + " is off: a crash can lose what was answered", Do: "set it to on"}
	}
	return store.Finding{What: "what is written is on the server's disk when it is answered", OK: true}
}

// checkOwner finds tables that erased rows can't be taken out of.
func (db *DB) checkOwner(ctx context.Context) store.Finding {
	var others int
	err := db.eng.Reader.QueryRowContext(ctx, `SELECT count(*) FROM pg_tables
		WHERE schemaname = current_schema() AND NOT pg_has_role(tableowner, 'USAGE')`).Scan(&others)
	switch {
	case err != nil:
		return store.Failing("the owner of the tables can't be read", translate(err))
	case others > 0:
		return store.Finding{What: "the tables belong to another user: what members erase stays in their files", Do: "let the user own its tables (ALTER TABLE … OWNER TO …)"}
	}
	return store.Finding{What: "the tables are this user's own", OK: true}
}
