package postgres_test

import (
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/material"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/postgres"
	"github.com/pourwright/pourwright/internal/store/postgres/pgtest"
)

// Two programs that call members back from one database call each once.
func TestDuesOfTwoPrograms(t *testing.T) {
	address := pgtest.Migrated(t)
	const members, each = 24, 5
	programs := []*postgres.DB{open(t, postgres.Config{URL: address, Limits: plenty()}), open(t, postgres.Config{URL: address, Limits: plenty()})}
	for m := range members {
		db := programs[m%2]
		v := viewer(t, db, fmt.Sprint("member", m))
		err := db.Together(t.Context(), func(b shop.Books) error {
			for d := range each {
				due := shop.Due{At: testTime.Add(time.Duration(d) * time.Second), DuePlan: shop.DuePlan{About: fmt.Sprint("call ", d)}}
				if _, err := b.Dues.AddDue(t.Context(), shop.Stamp{By: v, At: testTime}, due); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	sent, by := map[int64]int{}, make([]int, len(programs))
	var mu sync.Mutex
	var all sync.WaitGroup
	for i, db := range programs {
		for range 3 {
			all.Go(func() {
				if err := callBack(t, db, func(c shop.Claim) {
					mu.Lock()
					defer mu.Unlock()
					sent[c.ID]++
					by[i]++
				}); err != nil {
					t.Errorf("program %d: %v", i, err)
				}
			})
		}
	}
	all.Wait()
	if by[0] == 0 || by[1] == 0 {
		t.Errorf("sent by each program: %v; one did it all", by)
	}
	if len(sent) != members*each {
		t.Errorf("%d calls went out, want %d", len(sent), members*each)
	}
	for id, n := range sent {
		if n != 1 {
			t.Errorf("call %d went out %d times", id, n)
		}
	}
}

// callBack takes on what is due until nothing is, and tells what it sent.
func callBack(t testing.TB, db *postgres.DB, sent func(shop.Claim)) error {
	now, lease := testTime.Add(time.Hour), 15*time.Second
	for {
		claims, err := db.ClaimDues(t.Context(), "local", now, lease, 1)
		if err != nil || len(claims) == 0 {
			return err
		}
		delivery, still, err := db.BeginDelivery(t.Context(), claims, "42", now, lease)
		if err != nil {
			return err
		}
		for _, c := range still {
			sent(c)
		}
		if err := db.EndDelivery(t.Context(), delivery, still, shop.DueSent, now); err != nil {
			return err
		}
	}
}

// A write of one program is there for the next read of another.
func TestProgramsSeeEachOther(t *testing.T) {
	address := pgtest.Migrated(t)
	one, two := open(t, postgres.Config{URL: address}), open(t, postgres.Config{URL: address})
	v := viewer(t, one, "ada")
	for i := range 5 {
		if _, err := one.AddMaterial(t.Context(), shop.Stamp{By: v, At: testTime, Interaction: fmt.Sprint(i)}, profile(fmt.Sprint("white ", i)), true); err != nil {
			t.Fatal(err)
		}
		if got := names(t, two, v); len(got) != i+1 {
			t.Errorf("after %d: %v", i+1, got)
		}
		// One delivered to the other program too is a repeat.
		if _, err := two.AddMaterial(t.Context(), shop.Stamp{By: v, At: testTime, Interaction: fmt.Sprint(i)}, profile("twice"), true); err != shop.ErrRepeat {
			t.Errorf("a second delivery: %v", err)
		}
	}
}

// After an erasure nothing of it is in any row, and the server has let go of
// the rows that there were.
func TestEraseLeavesNoRow(t *testing.T) {
	const trace = "zqxtrace"
	db := open(t, postgres.Config{URL: pgtest.Migrated(t)})
	nora := viewer(t, db, "nora")
	stamp := shop.Stamp{By: nora, At: testTime}
	for i := range 40 {
		stamp.Interaction = fmt.Sprint(trace, "-", i)
		m, err := db.AddMaterial(t.Context(), stamp, material.Profile{Name: fmt.Sprint(trace, " ", i), Family: material.Urethane, Notes: strings.Repeat(trace+" ", 50)}, true)
		if err != nil {
			t.Fatal(err)
		}
		stamp.Interaction += "b"
		m.Profile.Notes += trace
		if _, err := db.EditMaterial(t.Context(), stamp, m.ID, 1, m.Profile); err != nil {
			t.Fatal(err)
		}
	}
	stamp.Interaction += "c"
	if _, err := db.AddDue(t.Context(), stamp, shop.Due{At: testTime, DuePlan: shop.DuePlan{About: trace}}); err != nil {
		t.Fatal(err)
	}
	if n := rowsWith(t, db, trace); n < 80 {
		t.Fatalf("only %d rows hold what is to be erased", n)
	}
	if err := db.Erase(t.Context(), shop.Stamp{By: nora, At: testTime}); err != nil {
		t.Fatal(err)
	}
	if n := rowsWith(t, db, trace); n != 0 {
		t.Errorf("%d rows hold what was erased", n)
	}
	for _, table := range []string{"material", "material_version", "due", "seen_interaction"} {
		var size int
		if err := db.Raw().QueryRowContext(t.Context(), "SELECT pg_relation_size($1::text::regclass)", table).Scan(&size); err != nil {
			t.Fatal(err)
		}
		if size != 0 {
			t.Errorf("table %s still takes %d bytes for rows that are gone", table, size)
		}
	}
}

// rowsWith counts the rows of all tables that hold a text.
func rowsWith(t testing.TB, db *postgres.DB, text string) (all int) {
	t.Helper()
	rows, err := db.Raw().QueryContext(t.Context(), "SELECT quote_ident(tablename) FROM pg_tables WHERE schemaname = current_schema()")
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	var tables []string
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			t.Fatal(err)
		}
		tables = append(tables, name)
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	for _, table := range tables {
		var n int
		if err := db.Raw().QueryRowContext(t.Context(), "SELECT count(*) FROM "+table+" r WHERE strpos(r::text, $1) > 0", text).Scan(&n); err != nil {
			t.Fatal(err)
		}
		all += n
	}
	return all
}
