package main

import (
	"context"
	"crypto/rand"
	"database/sql"
	"fmt"
	"log/slog"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/remind"
	"github.com/pourwright/pourwright/internal/shop"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

// benchMembers times the 200 reminders that each may have make a million.
const benchMembers = 5000

// millionDues makes a database with a million reminders to come, the first in
// an hour.
func millionDues(b *testing.B) string {
	b.Helper()
	path := filepath.Join(b.TempDir(), "shop.db")
	db, err := sqlite.Open(b.Context(), sqlite.Config{Path: path, Rand: rand.Reader})
	if err != nil {
		b.Fatal(err)
	}
	if err := db.Close(); err != nil {
		b.Fatal(err)
	}
	raw, err := sql.Open("sqlite3", path)
	if err != nil {
		b.Fatal(err)
	}
	defer raw.Close()
	soon := time.Now().Add(time.Hour).UnixMilli()
	for _, text := range []string{
		"INSERT INTO shop (key, name, created_at) VALUES ('discord:1', 'hall', 0)",
		fmt.Sprintf(`WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < %d)
			INSERT INTO member (key, name, prefs, created_at) SELECT 'discord:' || (80351110224000000 + i), 'm', '{}', 0 FROM n`, benchMembers),
		fmt.Sprintf(`WITH RECURSIVE n(i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i < 199)
			INSERT INTO due (owner, shop, shared, space, state, at, next_at, calls, plan, created_at, edited_at)
			SELECT m.id, 1, 0, 'discord', 'pending', %[1]d + i * 60000 + m.id, %[1]d + i * 60000 + m.id, 0,
			'{"about":"wipe the mold","first":"2026-11-25T09:00:00Z","zone":"Europe/London"}', 0, 0 FROM n, member m`, soon),
	} {
		if _, err := raw.Exec(text); err != nil {
			b.Fatal(err)
		}
	}
	return path
}

// stopwatch is a sender that notes how late each call comes.
type stopwatch struct {
	mu   sync.Mutex
	lags []time.Duration
	got  chan struct{}
}

func (s *stopwatch) Send(_ context.Context, m chat.Message) (chat.Outcome, error) {
	ns, err := strconv.ParseInt(strings.TrimPrefix(m.Reply.Title, "Reminder: "), 10, 64)
	if err != nil {
		return chat.Refused, err
	}
	s.mu.Lock()
	s.lags = append(s.lags, time.Since(time.Unix(0, ns)))
	s.mu.Unlock()
	s.got <- struct{}{}
	return chat.Shown, nil
}

func (s *stopwatch) Look(context.Context, chat.Message) (chat.Outcome, error) {
	return chat.Unseen, nil
}

// BenchmarkMillionDues: one operation is a second in which 50 of a million
// reminders come due. It reports how late they were sent.
func BenchmarkMillionDues(b *testing.B) {
	path := millionDues(b)
	db, err := sqlite.Open(b.Context(), sqlite.Config{Path: path, Rand: rand.Reader})
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	watch := &stopwatch{got: make(chan struct{}, 1000)}
	ctx, cancel := context.WithCancel(b.Context())
	ended := make(chan error, 1)
	loop := remind.New(remind.Config{Book: db, Sender: watch, Space: "discord", Bell: db.Bell(), Now: time.Now, Log: slog.New(slog.DiscardHandler)})
	go func() { ended <- loop.Run(ctx) }()
	owner := 0
	for b.Loop() {
		begin := time.Now().Add(time.Second)
		for i := range 50 {
			owner = owner%benchMembers + 1
			v := shop.Viewer{Member: shop.Member{ID: shop.MemberID(owner), Key: "discord:x"}, Shop: shop.Shop{ID: 1}}
			// a database keeps milliseconds
			at := begin.Add(time.Duration(i) * 20 * time.Millisecond).Truncate(time.Millisecond)
			stamp := shop.Stamp{By: v, At: time.Now()}
			// each has as many as a member may: another one makes room
			all, err := db.Dues(b.Context(), v, 1)
			if err != nil || len(all) == 0 {
				b.Fatal(err)
			}
			if _, err := db.CancelDue(b.Context(), stamp, all[0].ID); err != nil {
				b.Fatal(err)
			}
			d := shop.Due{At: at, DuePlan: shop.DuePlan{About: fmt.Sprint(at.UnixNano()), First: at, Zone: "UTC"}}
			if _, err := db.AddDue(b.Context(), stamp, d); err != nil {
				b.Fatal(err)
			}
		}
		for range 50 {
			<-watch.got
		}
	}
	cancel()
	if err := <-ended; err != nil {
		b.Fatal(err)
	}
	slices.Sort(watch.lags)
	n := len(watch.lags)
	b.ReportMetric(float64(watch.lags[n/2].Microseconds())/1000, "ms-late-p50")
	b.ReportMetric(float64(watch.lags[n*99/100].Microseconds())/1000, "ms-late-p99")
}

// BenchmarkRestartMillionDues is from the start of a program to its first look
// at what is due, of a million.
func BenchmarkRestartMillionDues(b *testing.B) {
	path := millionDues(b)
	for b.Loop() {
		db, err := sqlite.Open(b.Context(), sqlite.Config{Path: path, Rand: rand.Reader})
		if err != nil {
			b.Fatal(err)
		}
		loop := remind.New(remind.Config{Book: db, Sender: &stopwatch{}, Space: "discord", Now: time.Now, Log: slog.New(slog.DiscardHandler)})
		if _, err := loop.RunOnce(b.Context()); err != nil {
			b.Fatal(err)
		}
		if _, any, err := db.NextDue(b.Context(), "discord"); err != nil || !any {
			b.Fatal(any, err)
		}
		if err := db.Close(); err != nil {
			b.Fatal(err)
		}
	}
}
