package sqlite

import (
	"context"
	"testing"

	"github.com/pourwright/pourwright/internal/store"
)

// Altitudes of 0 that rows of the schema before 14 hold were never said.
func TestAltitudeBefore(t *testing.T) {
	ctx := context.Background()
	db, err := pool(memoryDSN(), 1)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if err := store.Migrate(ctx, store.SQLite, db); err != nil {
		t.Fatal(err)
	}
	for _, sql := range []string{
		"DELETE FROM goose_db_version WHERE version_id >= 14",
		"INSERT INTO shop (id, key, name, created_at) VALUES (1, 'local:a', 'a', 0), (2, 'local:b', 'b', 0), (3, 'local:c', 'c', 0)",
		`INSERT INTO shop_setting (shop, settings, edited_at) VALUES (1, '{"temp":19,"altitude":0}', 0), (2, '{"temp":19,"altitude":-3.5}', 0), (3, '{"temp":19}', 0)`,
	} {
		if _, err := db.Exec(sql); err != nil {
			t.Fatal(err)
		}
	}
	if err := store.Migrate(ctx, store.SQLite, db); err != nil {
		t.Fatal(err)
	}
	for id, want := range map[int]string{1: `{"temp":19,"altitude":null}`, 2: `{"temp":19,"altitude":-3.5}`, 3: `{"temp":19}`} {
		var got string
		if err := db.QueryRow("SELECT settings FROM shop_setting WHERE shop = ?", id).Scan(&got); err != nil || got != want {
			t.Errorf("shop %d: %s, %v; want %s", id, got, err, want)
		}
	}
}
