package store

import (
	"fmt"
	"slices"
	"strings"

	"github.com/pourwright/pourwright/internal/shop"
)

// A statement is SQL text with its values. Those that touch a record are made
// by the methods of kind below and nowhere else, so each of them carries who
// may see or change the rows; plain refuses a text that names such a table.
type statement struct {
	text string
	args []any
}

// kind is one kind of record: a table of newest states and one of versions.
type kind struct {
	table    string // the versions stand in table_version
	noun     string // in messages
	most     func(Limits) int
	offering string // the command that lists them
}

// The kinds. A new one joins by its two tables and a line here.
var (
	materials = kind{table: "material", noun: "material", offering: "/material list",
		most: func(l Limits) int { return l.Materials }}
	molds = kind{table: "mold", noun: "mold", offering: "/mold list",
		most: func(l Limits) int { return l.Molds }}
	tints = kind{table: "tint", noun: "tint", offering: "/tint list",
		most: func(l Limits) int { return l.Tints }}
	formulas = kind{table: "formula", noun: "formula", offering: "/formula list",
		most: func(l Limits) int { return l.Formulas }}

	kinds = []kind{materials, molds, tints, formulas}
)

// The kinds without versions: tables of their own shape under the same rule.
// Each has id, owner, shop, shared and removed_at.
var (
	pours   = kind{table: "pour", noun: "pour", offering: "/pour list"}
	answers = kind{table: "cure_log", noun: "answer", offering: "/pour list"}

	dues = kind{table: "due", noun: "reminder", offering: "/due list"}

	unversioned = []kind{pours, answers, dues, pulls}
)

// guarded are the tables that only statements with the rule may name.
var guarded = func() (tables []string) {
	for _, k := range kinds {
		tables = append(tables, k.table, k.versions())
	}
	for _, k := range unversioned {
		tables = append(tables, k.table)
	}
	return tables
}()

func (k kind) versions() string { return k.table + "_version" }

// visible is the rule shop.Viewer.MaySee over the row r, and owned the rule
// shop.Viewer.MayChange. Both leave removed records out.
const (
	visible = "(r.owner = ? OR (r.shop = ? AND r.shared = 1)) AND r.removed_at IS NULL"
	owned   = "owner = ? AND removed_at IS NULL"
)

// seen reads records r that the viewer may see, with their owners o. rest
// follows the rule: further conditions, order.
func (k kind) seen(v shop.Viewer, columns, rest string, args ...any) statement {
	return statement{
		text: "SELECT " + columns + " FROM " + k.table + " r JOIN member o ON o.id = r.owner WHERE " + visible + " " + rest,
		args: slices.Concat([]any{int64(v.Member.ID), int64(v.Shop.ID)}, args),
	}
}

// seenVersions is seen with the versions n of each record beside it.
func (k kind) seenVersions(v shop.Viewer, columns, rest string, args ...any) statement {
	return statement{
		text: "SELECT " + columns + " FROM " + k.table + " r JOIN member o ON o.id = r.owner JOIN " +
			k.versions() + " n ON n.owner = r.owner AND n.record = r.id WHERE " + visible + " " + rest,
		args: slices.Concat([]any{int64(v.Member.ID), int64(v.Shop.ID)}, args),
	}
}

// seenWith is seen with the rows w of another kind beside it, each the one
// that column of r names, of the same owner. Whoever sees r sees of w what
// columns names and no more.
func (k kind) seenWith(v shop.Viewer, w kind, column, columns, rest string, args ...any) statement {
	return statement{
		text: "SELECT " + columns + " FROM " + k.table + " r JOIN member o ON o.id = r.owner JOIN " +
			w.table + " w ON w.id = r." + column + " AND w.owner = r.owner WHERE " + visible + " " + rest,
		args: slices.Concat([]any{int64(v.Member.ID), int64(v.Shop.ID)}, args),
	}
}

// seenParts is seen with the rows w that hang on each record: those whose
// column names it, of the same owner, and that were not taken back. Whoever
// sees the record sees of them what columns names.
func (k kind) seenParts(v shop.Viewer, w kind, column, columns, rest string, args ...any) statement {
	return statement{
		text: "SELECT " + columns + " FROM " + k.table + " r JOIN member o ON o.id = r.owner JOIN " +
			w.table + " w ON w." + column + " = r.id AND w.owner = r.owner WHERE " + visible + " AND w.removed_at IS NULL " + rest,
		args: slices.Concat([]any{int64(v.Member.ID), int64(v.Shop.ID)}, args),
	}
}

// change sets columns of the viewer's own records; before holds the values of
// set, args those of rest.
func (k kind) change(v shop.Viewer, set string, before []any, rest string, args ...any) statement {
	return statement{
		text: "UPDATE " + k.table + " SET " + set + " WHERE " + owned + " " + rest,
		args: slices.Concat(before, []any{int64(v.Member.ID)}, args),
	}
}

// insert makes a record of the viewer's own, in the viewer's shop, and gives
// its id back.
func (k kind) insert(v shop.Viewer, columns string, args ...any) statement {
	return statement{
		text: "INSERT INTO " + k.table + " (owner, shop, " + columns + ") VALUES (?, ?" +
			strings.Repeat(", ?", len(args)) + ") RETURNING id",
		args: slices.Concat([]any{int64(v.Member.ID), int64(v.Shop.ID)}, args),
	}
}

// insertVersion adds a version to a record of the viewer's own.
func (k kind) insertVersion(v shop.Viewer, record int64, number int, at int64, profile string) statement {
	return statement{
		text: "INSERT INTO " + k.versions() + " (owner, record, number, at, profile) SELECT owner, id, ?, ?, ? FROM " +
			k.table + " WHERE " + owned + " AND id = ?",
		args: []any{number, at, profile, int64(v.Member.ID), record},
	}
}

// counts gives the number of the viewer's own records in use and that of all
// their versions, those of removed records too (version numbers have no gaps).
func (k kind) counts(v shop.Viewer) statement {
	return statement{
		text: "SELECT count(*) FILTER (WHERE removed_at IS NULL), coalesce(sum(version), 0) FROM " + k.table + " WHERE owner = ?",
		args: []any{int64(v.Member.ID)},
	}
}

// held reads all the viewer's own records and versions, removed ones too: what
// an export owes its member.
func (k kind) held(v shop.Viewer, columns, rest string, args ...any) statement {
	return statement{
		text: "SELECT " + columns + " FROM " + k.table + " r JOIN " + k.versions() +
			" n ON n.owner = r.owner AND n.record = r.id WHERE r.owner = ? " + rest,
		args: slices.Concat([]any{int64(v.Member.ID)}, args),
	}
}

// heldBare is held for a kind without versions.
func (k kind) heldBare(v shop.Viewer, columns, rest string, args ...any) statement {
	return statement{
		text: "SELECT " + columns + " FROM " + k.table + " r WHERE r.owner = ? " + rest,
		args: slices.Concat([]any{int64(v.Member.ID)}, args),
	}
}

// forget deletes records of the viewer's own for good, their versions too.
func (k kind) forget(v shop.Viewer, rest string, args ...any) statement {
	return statement{
		text: "DELETE FROM " + k.table + " WHERE owner = ? " + rest,
		args: slices.Concat([]any{int64(v.Member.ID)}, args),
	}
}

// forgetOldest deletes the viewer's own removed records but the newest keep.
func (k kind) forgetOldest(v shop.Viewer, keep int) statement {
	return k.forget(v, "AND removed_at IS NOT NULL AND id NOT IN (SELECT id FROM "+k.table+
		" WHERE owner = ? AND removed_at IS NOT NULL ORDER BY removed_at DESC, id DESC LIMIT ?)",
		int64(v.Member.ID), keep)
}

// sharedIn counts what is shared in the viewer's shop, whoever owns it.
func (k kind) sharedIn(v shop.Viewer) statement {
	return statement{
		text: "SELECT count(*) FROM " + k.table + " WHERE shop = ? AND shared = 1 AND removed_at IS NULL",
		args: []any{int64(v.Shop.ID)},
	}
}

// plain is a statement over the tables that hold no records. Naming a record
// table in it is a mistake in this package and stops the program's tests.
func plain(text string, args ...any) statement {
	lower := strings.ToLower(text)
	for _, table := range guarded {
		if names(lower, table) {
			panic(fmt.Sprintf("store: %q is read without who may see it: %s", table, text))
		}
	}
	return statement{text, args}
}

// clockwork is a statement of the loop that calls people back. It acts for no
// viewer: what it reads of a member goes to that member and to nobody else. Of
// the records it may name those that are due alone.
func clockwork(text string, args ...any) statement {
	lower := strings.ToLower(text)
	for _, table := range guarded {
		if table != dues.table && names(lower, table) {
			panic(fmt.Sprintf("store: %q is read by the clock: %s", table, text))
		}
	}
	return statement{text, args}
}

// names reports whether the text, in lower case, holds the word as a name of
// its own.
func names(text, word string) bool {
	inName := func(c byte) bool {
		return c == '_' || c >= '0' && c <= '9' || c >= 'a' && c <= 'z'
	}
	for at := 0; ; {
		i := strings.Index(text[at:], word)
		if i < 0 {
			return false
		}
		from, to := at+i, at+i+len(word)
		if (from == 0 || !inName(text[from-1])) && (to == len(text) || !inName(text[to])) {
			return true
		}
		at = to
	}
}
