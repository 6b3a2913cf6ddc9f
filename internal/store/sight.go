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
	curated  bool   // managers hide it and pin it in their shop
}

// The kinds. A new one joins by its two tables and a line here.
var (
	materials = kind{table: "material", noun: "material", offering: "/material list",
		most: func(l Limits) int { return l.Materials }, curated: true}
	molds = kind{table: "mold", noun: "mold", offering: "/mold list",
		most: func(l Limits) int { return l.Molds }, curated: true}
	tints = kind{table: "tint", noun: "tint", offering: "/tint list",
		most: func(l Limits) int { return l.Tints }, curated: true}
	formulas = kind{table: "formula", noun: "formula", offering: "/formula list",
		most: func(l Limits) int { return l.Formulas }, curated: true}

	kinds = []kind{materials, molds, tints, formulas}
)

// The kinds without versions: tables of their own shape under the same rule.
// Each has id, owner, shop, shared and removed_at.
var (
	pours   = kind{table: "pour", noun: "pour", offering: "/pour list"}
	answers = kind{table: "cure_log", noun: "answer", offering: "/pour list"}
	events  = kind{table: "pour_event", noun: "entry", offering: "/pour show"}

	dues = kind{table: "due", noun: "reminder", offering: "/due list"}

	containers = kind{table: "container", noun: "container", offering: "/stock list"}
	draws      = kind{table: "container_event", noun: "entry", offering: "/stock list"}

	unversioned = []kind{pours, answers, events, dues, pulls, containers, draws}
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

// visible is the rule shop.Viewer.MaySee over that row, with its values, and
// owned the rule shop.Viewer.MayChange. Both leave removed records out.
func (k kind) visible(v shop.Viewer, row string) (text string, args []any) {
	hidden := ""
	if k.curated && !v.Manager {
		hidden = " AND coalesce(" + row + ".hidden_in, 0) <> " + row + ".shop"
	}
	return "(" + row + ".owner = ? OR (" + row + ".shop = ? AND " + row + ".shared = 1" + hidden + ")) AND " + row + ".removed_at IS NULL",
		[]any{int64(v.Member.ID), int64(v.Shop.ID)}
}

const owned = "owner = ? AND removed_at IS NULL"

// seen reads records r that the viewer may see, with their owners o. rest
// follows the rule: further conditions, order.
func (k kind) seen(v shop.Viewer, columns, rest string, args ...any) statement {
	rule, by := k.visible(v, "r")
	return statement{
		text: "SELECT " + columns + " FROM " + k.table + " r JOIN member o ON o.id = r.owner WHERE " + rule + " " + rest,
		args: slices.Concat(by, args),
	}
}

// seenBare is seen without the owners, to look through many records.
func (k kind) seenBare(v shop.Viewer, columns, rest string, args ...any) statement {
	rule, by := k.visible(v, "r")
	return statement{
		text: "SELECT " + columns + " FROM " + k.table + " r WHERE " + rule + " " + rest,
		args: slices.Concat(by, args),
	}
}

// seenVersions is seen with the versions n of each record beside it.
func (k kind) seenVersions(v shop.Viewer, columns, rest string, args ...any) statement {
	rule, by := k.visible(v, "r")
	return statement{
		text: "SELECT " + columns + " FROM " + k.table + " r JOIN member o ON o.id = r.owner JOIN " +
			k.versions() + " n ON n.owner = r.owner AND n.record = r.id WHERE " + rule + " " + rest,
		args: slices.Concat(by, args),
	}
}

// seenWith is seen with the rows w of another kind beside it, each the one
// that column of r names, of the same owner. Whoever sees r sees of w what
// columns names and no more.
func (k kind) seenWith(v shop.Viewer, w kind, column, columns, rest string, args ...any) statement {
	rule, by := k.visible(v, "r")
	return statement{
		text: "SELECT " + columns + " FROM " + k.table + " r JOIN member o ON o.id = r.owner JOIN " +
			w.table + " w ON w.id = r." + column + " AND w.owner = r.owner WHERE " + rule + " " + rest,
		args: slices.Concat(by, args),
	}
}

// seenParts is seen with the rows w that hang on each record: those whose
// column names it, of the same owner, and that were not taken back. Whoever
// sees the record sees of them what columns names.
func (k kind) seenParts(v shop.Viewer, w kind, column, columns, rest string, args ...any) statement {
	rule, by := k.visible(v, "r")
	return statement{
		text: "SELECT " + columns + " FROM " + k.table + " r JOIN member o ON o.id = r.owner JOIN " +
			w.table + " w ON w." + column + " = r.id AND w.owner = r.owner WHERE " + rule + " AND w.removed_at IS NULL " + rest,
		args: slices.Concat(by, args),
	}
}

// seenWhole is seenParts with the records too on which nothing hangs: there the
// columns of w are null.
func (k kind) seenWhole(v shop.Viewer, w kind, column, columns, rest string, args ...any) statement {
	rule, by := k.visible(v, "r")
	return statement{
		text: "SELECT " + columns + " FROM " + k.table + " r JOIN member o ON o.id = r.owner LEFT JOIN " +
			w.table + " w ON w." + column + " = r.id AND w.owner = r.owner AND w.removed_at IS NULL WHERE " + rule + " " + rest,
		args: slices.Concat(by, args),
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

// restore brings rows of the viewer's own back that were taken away.
func (k kind) restore(v shop.Viewer, rest string, args ...any) statement {
	return statement{
		text: "UPDATE " + k.table + " SET removed_at = NULL WHERE owner = ? AND removed_at IS NOT NULL " + rest,
		args: slices.Concat([]any{int64(v.Member.ID)}, args),
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

// insertMany makes records of the viewer's own that only the viewer sees, with
// version 1 to come. Names whose keys the viewer has already are left out. each
// holds the name, its key and the family of one after another.
func (k kind) insertMany(v shop.Viewer, at int64, each []any) statement {
	return statement{
		text: "INSERT INTO " + k.table + " (owner, shop, shared, version, created_at, edited_at, name, name_key, family)" +
			" SELECT ?, ?, 0, 1, ?, ?, p.column1, p.column2, p.column3 FROM " + values(3, len(each)) + " p WHERE TRUE ON CONFLICT DO NOTHING",
		args: slices.Concat([]any{int64(v.Member.ID), int64(v.Shop.ID), at, at}, each),
	}
}

// insertVersions adds version 1 to such records. each holds the key of the
// name and the profile of one after another. CROSS JOIN, to SQLite, is in this
// order: by the list into the index of names.
func (k kind) insertVersions(v shop.Viewer, at int64, each []any) statement {
	return statement{
		text: "INSERT INTO " + k.versions() + " (owner, record, number, at, profile) SELECT owner, id, 1, ?, p.column2 FROM " +
			values(2, len(each)) + " p CROSS JOIN " + k.table + " WHERE " + owned + " AND name_key = p.column1",
		args: slices.Concat([]any{at}, each, []any{int64(v.Member.ID)}),
	}
}

// values is a table of so many columns, with all of its values to come.
func values(columns, all int) string {
	row := "(" + marks(columns) + ")"
	return "(VALUES " + row + strings.Repeat(", "+row, all/columns-1) + ")"
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

// changeSeen sets columns of a record that the viewer sees, whosever it is: what
// all who may use a thing may say of it.
func (k kind) changeSeen(v shop.Viewer, set string, before []any, id int64) statement {
	rule, by := k.visible(v, k.table)
	return statement{
		text: "UPDATE " + k.table + " SET " + set + " WHERE " + rule + " AND id = ?",
		args: slices.Concat(before, by, []any{id}),
	}
}

// insertPart adds a row of another kind to a record that the viewer sees: it
// belongs to the record's owner and stays in its shop, whosever hand it was.
// column of it names the record.
func (k kind) insertPart(v shop.Viewer, w kind, column string, id int64, columns string, args ...any) statement {
	rule, by := k.visible(v, "r")
	return statement{
		text: "INSERT INTO " + w.table + " (owner, shop, " + column + ", by_member, " + columns + ") SELECT r.owner, r.shop, r.id, " +
			marks(len(args)+1) + " FROM " + k.table + " r WHERE " + rule + " AND r.id = ? RETURNING id",
		args: slices.Concat([]any{int64(v.Member.ID)}, args, by, []any{id}),
	}
}

// byHand reads the rows that the viewer made, whosever records they are at.
func (k kind) byHand(v shop.Viewer, columns, rest string, args ...any) statement {
	return statement{
		text: "SELECT " + columns + " FROM " + k.table + " r WHERE r.by_member = ? " + rest,
		args: slices.Concat([]any{int64(v.Member.ID)}, args),
	}
}

// changeByHand sets columns of rows that the viewer made.
func (k kind) changeByHand(v shop.Viewer, set string, before []any, rest string, args ...any) statement {
	return statement{
		text: "UPDATE " + k.table + " SET " + set + " WHERE by_member = ? " + rest,
		args: slices.Concat(before, []any{int64(v.Member.ID)}, args),
	}
}

// changeNamed sets columns of the one row of another kind that column of a
// record names which the viewer sees, whosever the row is.
func (k kind) changeNamed(v shop.Viewer, w kind, column, set string, before []any, id int64, rest string, args ...any) statement {
	rule, by := k.visible(v, "r")
	return statement{
		text: "UPDATE " + w.table + " SET " + set + " WHERE id = (SELECT r." + column + " FROM " + k.table + " r WHERE " + rule + " AND r.id = ?) " + rest,
		args: slices.Concat(before, by, []any{id}, args),
	}
}

// sharedIn counts what is shared in the viewer's shop, whoever owns it.
func (k kind) sharedIn(v shop.Viewer) statement {
	return statement{
		text: "SELECT count(*) FROM " + k.table + " WHERE shop = ? AND shared = 1 AND removed_at IS NULL",
		args: []any{int64(v.Shop.ID)},
	}
}

// curate sets what managers say of a record shared in their shop, and nothing
// else of it.
func (k kind) curate(v shop.Viewer, set string, before []any, id int64) statement {
	return statement{
		text: "UPDATE " + k.table + " SET " + set + " WHERE shop = ? AND shared = 1 AND removed_at IS NULL AND id = ?",
		args: slices.Concat(before, []any{int64(v.Shop.ID), id}),
	}
}

// coded reads records r by a code w, with their owners o and newest versions
// n: those that anyone with the code may copy, and those that it offers to the
// viewer.
func (k kind) coded(v shop.Viewer, columns, rest string, args ...any) statement {
	return statement{
		text: "SELECT " + columns + " FROM share w JOIN " + k.table + " r ON r.id = w.record AND r.owner = w.owner JOIN member o ON o.id = r.owner JOIN " +
			k.versions() + " n ON n.owner = r.owner AND n.record = r.id AND n.number = r.version" +
			" WHERE (w.taker IS NULL OR w.taker = ?) AND w.kind = ? AND r.removed_at IS NULL " + rest,
		args: slices.Concat([]any{int64(v.Member.ID), k.table}, args),
	}
}

// origins reads the viewer's own copies r beside their origins g: those that
// the viewer may see, and those whose code still stands that the copy came by.
// The versions n are the origin's.
func (k kind) origins(v shop.Viewer, columns, rest string, args ...any) statement {
	rule, by := k.visible(v, "g")
	return statement{
		text: "SELECT " + columns + " FROM " + k.table + " r JOIN " + k.table + " g ON g.id = r.origin JOIN " +
			k.versions() + " n ON n.owner = g.owner AND n.record = g.id WHERE r.owner = ? AND r.removed_at IS NULL AND (" + rule +
			" OR (g.removed_at IS NULL AND EXISTS (SELECT 1 FROM share w WHERE w.id = r.origin_share AND w.record = g.id AND w.owner = g.owner AND w.kind = ?))) " + rest,
		args: slices.Concat([]any{int64(v.Member.ID)}, by, []any{k.table}, args),
	}
}

// copies is a column that counts what members adopted of a record r and keep.
func (k kind) copies() string {
	return "(SELECT count(*) FROM " + k.table + " c WHERE c.origin = r.id AND c.removed_at IS NULL)"
}

// offeredTo holds where a record of that id and owner is offered to the viewer.
const offeredTo = "EXISTS (SELECT 1 FROM share w WHERE w.kind = ? AND w.record = ? AND w.taker = ? AND w.owner = "

// handOver makes the viewer the owner of a record that is offered to them, and
// sets columns of it.
func (k kind) handOver(v shop.Viewer, id int64, set string, before ...any) statement {
	return statement{
		text: "UPDATE " + k.table + " SET owner = ?" + set + " WHERE removed_at IS NULL AND id = ? AND " + offeredTo + k.table + ".owner)",
		args: slices.Concat([]any{int64(v.Member.ID)}, before, []any{id, k.table, id, int64(v.Member.ID)}),
	}
}

// handOverParts does the same with the rows of a table that belong to the
// record: those whose column names it. It comes before handOver.
func (k kind) handOverParts(v shop.Viewer, id int64, table, column, set string, before ...any) statement {
	return statement{
		text: "UPDATE " + table + " SET owner = ?" + set + " WHERE " + column + " = ? AND " + offeredTo + table + ".owner)",
		args: slices.Concat([]any{int64(v.Member.ID)}, before, []any{id, k.table, id, int64(v.Member.ID)}),
	}
}

// dropBench deletes the shop that a member has alone, in direct messages: its
// key is the member's own. One in which others keep anything stays; whose that
// is is of no matter, since it is not shown.
func dropBench(key string) statement {
	text := "DELETE FROM shop WHERE key = ?"
	for _, table := range []string{"shop_manager", "measure", "line"} {
		text += " AND NOT EXISTS (SELECT 1 FROM " + table + " x WHERE x.shop = shop.id)"
	}
	for _, k := range slices.Concat(kinds, unversioned) {
		text += " AND NOT EXISTS (SELECT 1 FROM " + k.table + " x WHERE x.shop = shop.id)"
	}
	return statement{text + " AND NOT EXISTS (SELECT 1 FROM faq x WHERE x.shop = shop.id AND x.edited_by IS NOT NULL)", []any{key}}
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

// aging is a statement of what lets old rows go, whoever's they are. It acts for
// no viewer and tells nobody anything but how many. It must not touch what
// members keep: naming the table of a kind of profile, or its versions, is a
// mistake in this package and stops the program's tests.
func aging(text string, args ...any) statement {
	lower := strings.ToLower(text)
	for _, k := range kinds {
		for _, verb := range []string{"from ", "join ", "into ", "update "} {
			if names(lower, k.versions()) || names(lower, verb+k.table) {
				panic(fmt.Sprintf("store: %q is let go for its age: %s", k.table, text))
			}
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
