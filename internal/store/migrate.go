package store

import (
	"context"
	"database/sql"
	"embed"
	"fmt"
	"io/fs"
	"path"

	"github.com/pressly/goose/v3"
)

//go:embed migrations
var migrations embed.FS

// Dialect is a database's name, its folder under migrations and the name that
// goose knows it by, which are one word.
type Dialect string

// The dialects: the embedded database, and the one that several programs share.
const (
	SQLite   Dialect = "sqlite"
	Postgres Dialect = "postgres"
)

// gooseName is the dialect as goose spells it.
func (d Dialect) gooseName() goose.Dialect {
	if d == SQLite {
		return goose.DialectSQLite3
	}
	return goose.Dialect(d)
}

// VersionTable is where goose keeps which migrations were carried out. A file of
// SQLite is ours alone; on a server other programs that use goose may be near.
func (d Dialect) VersionTable() string {
	if d == Postgres {
		return "pourwright_schema"
	}
	return goose.DefaultTablename
}

// SchemaVersion is the number of the newest migration of a dialect: what this
// program reads and writes.
func SchemaVersion(d Dialect) (int64, error) {
	files, err := fs.Glob(migrations, path.Join("migrations", string(d), "*.sql"))
	if err != nil || len(files) == 0 {
		return 0, fmt.Errorf("no migrations for %s: %w", d, fs.ErrNotExist)
	}
	return goose.NumericComponent(path.Base(files[len(files)-1]))
}

// Migrate brings a database up to SchemaVersion, each migration in its own
// transaction. It has no way down: a backup is the way back.
func Migrate(ctx context.Context, d Dialect, db *sql.DB) error {
	folder, err := fs.Sub(migrations, path.Join("migrations", string(d)))
	if err != nil {
		return fmt.Errorf("migrations of %s: %w", d, err)
	}
	provider, err := goose.NewProvider(d.gooseName(), db, folder, goose.WithDisableGlobalRegistry(true), goose.WithTableName(d.VersionTable()))
	if err != nil {
		return fmt.Errorf("read migrations of %s: %w", d, err)
	}
	if _, err := provider.Up(ctx); err != nil {
		return fmt.Errorf("migrate %s: %w", d, err)
	}
	return nil
}
