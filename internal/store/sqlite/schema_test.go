package sqlite

import (
	"context"
	"database/sql"
	"testing"

	"github.com/pourwright/pourwright/internal/store"
)

// TestVersionsAgree: the number in the file's head, which is read at each
// start, is that of the newest migration, and goose's own table says the same.
func TestVersionsAgree(t *testing.T) {
	ctx := context.Background()
	want, err := store.SchemaVersion(store.SQLite)
	if err != nil || want < 1 {
		t.Fatalf("newest migration %d, %v", want, err)
	}
	db, err := pool(memoryDSN(), 1)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if err := store.Migrate(ctx, store.SQLite, db); err != nil {
		t.Fatal(err)
	}
	h, err := readHeader(ctx, db)
	if err != nil || h.version != want || h.application != applicationID {
		t.Errorf("head %+v, %v; want version %d of application %d", h, err, want, applicationID)
	}
	var goose int64
	if err := db.QueryRow("SELECT max(version_id) FROM goose_db_version WHERE is_applied").Scan(&goose); err != nil || goose != want {
		t.Errorf("goose says %d, %v; want %d", goose, err, want)
	}
	if up, err := h.judge(); !up || err != nil {
		t.Errorf("a fresh schema is judged %v, %v", up, err)
	}
}

// TestKeysAreLed: every key and index of more than one column begins with a
// shop or a member, so that the tables split cleanly by them.
func TestKeysAreLed(t *testing.T) {
	db, err := pool(memoryDSN(), 1)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if err := store.Migrate(context.Background(), store.SQLite, db); err != nil {
		t.Fatal(err)
	}
	rows, err := db.Query(`SELECT t.name, i.name, (SELECT group_concat(name, ',') FROM (SELECT name FROM pragma_index_info(i.name) ORDER BY seqno))
		FROM sqlite_master t JOIN pragma_index_list(t.name) i WHERE t.type = 'table' AND t.name NOT LIKE 'sqlite%' AND t.name NOT LIKE 'goose%'`)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	// The loop that calls people back asks for all members of a name space at
	// once, by time.
	led := map[string]bool{"shop": true, "owner": true, "member": true, "edited_by": true, "made_by": true, "space": true, "taker": true, "origin_by": true, "first_by": true, "by_member": true}
	// What strangers are found by (keys, the hash of a board, codes), the line from an origin to
	// its copies, and the foreign keys of versions, pours and containers, which only a removal or one record walks.
	alone := map[string]bool{"key": true, "hash": true, "code": true, "origin": true, "record": true, "material": true, "mold": true, "pour": true, "of_pour": true, "container": true, "due": true}
	n := 0
	for rows.Next() {
		var table, index, columns sql.NullString
		if err := rows.Scan(&table, &index, &columns); err != nil {
			t.Fatal(err)
		}
		n++
		first := columns.String
		for i, c := range first {
			if c == ',' {
				first = first[:i]
				break
			}
		}
		if !led[first] && !(alone[columns.String]) {
			t.Errorf("%s of %s is on (%s), led by neither shop nor member", index.String, table.String, columns.String)
		}
	}
	if err := rows.Err(); err != nil || n < 10 {
		t.Errorf("looked at %d indexes, %v", n, err)
	}
}
