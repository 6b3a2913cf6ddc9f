package ical_test

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	reader "github.com/emersion/go-ical"
	"pgregory.net/rapid"

	"github.com/pourwright/pourwright/internal/ical"
)

var at = time.Date(2026, 11, 23, 9, 30, 0, 0, time.UTC)

func event(i int, title, text string) ical.Event {
	from := at.Add(time.Duration(i) * 17 * time.Minute)
	return ical.Event{ID: fmt.Sprintf("run-%d@pourwright", i), From: from, To: from.Add(5 * time.Minute), Title: title, Text: text, Alarm: 2 * time.Minute}
}

// read is what an independent reader makes of a file.
func read(t interface{ Fatalf(string, ...any) }, data []byte) *reader.Calendar {
	dec := reader.NewDecoder(bytes.NewReader(data))
	cal, err := dec.Decode()
	if err != nil {
		t.Fatalf("the second reader refuses it: %v\n%s", err, data)
	}
	if _, err := dec.Decode(); err != io.EOF {
		t.Fatalf("there is more after the calendar: %v", err)
	}
	// It judges what must be there when it writes.
	if err := reader.NewEncoder(io.Discard).Encode(cal); err != nil {
		t.Fatalf("the second reader finds it unsound: %v\n%s", err, data)
	}
	return cal
}

func TestWrite(t *testing.T) {
	data, err := ical.Write("Pawns, a run; of 24", at, []ical.Event{event(0, `Pour "harbor pawn"; A, B \ 44 g`, "first line\nsecond, line"), {ID: "quiet", From: at, To: at, Title: "No alarm", Alarm: -1}})
	if err != nil {
		t.Fatal(err)
	}
	cal := read(t, data)
	events := cal.Events()
	if len(events) != 2 {
		t.Fatalf("%d events", len(events))
	}
	e := events[0]
	for prop, want := range map[string]string{"SUMMARY": `Pour "harbor pawn"; A, B \ 44 g`, "DESCRIPTION": "first line\nsecond, line", "UID": "run-0@pourwright"} {
		if got, err := e.Props.Text(prop); err != nil || got != want {
			t.Errorf("%s: got %q (%v), want %q", prop, got, err, want)
		}
	}
	for prop, want := range map[string]string{"DTSTAMP": "20261123T093000Z", "DTSTART": "20261123T093000Z", "DTEND": "20261123T093500Z"} {
		if got := e.Props.Get(prop); got == nil || got.Value != want {
			t.Errorf("%s: got %v, want %s", prop, got, want)
		}
	}
	alarm := e.Children[0]
	if trigger := alarm.Props.Get("TRIGGER"); alarm.Name != "VALARM" || trigger.Value != "-PT2M" || alarm.Props.Get("ACTION").Value != "DISPLAY" || alarm.Props.Get("DESCRIPTION") == nil {
		t.Errorf("alarm %+v", alarm)
	}
	if len(events[1].Children) != 0 {
		t.Error("an alarm that was not asked for")
	}
	if name, err := cal.Props.Text("X-WR-CALNAME"); err != nil || name != "Pawns, a run; of 24" {
		t.Errorf("name %q %v", name, err)
	}
}

func TestRefuses(t *testing.T) {
	for name, events := range map[string][]ical.Event{
		"none": nil, "no id": {{From: at, To: at}}, "id with a line break": {{ID: "a\r\nX:1", From: at, To: at}}, "backwards": {{ID: "a", From: at, To: at.Add(-time.Second)}},
		"too many": make([]ical.Event, 5001),
	} {
		if data, err := ical.Write("x", at, events); err == nil {
			t.Errorf("%s: wrote %s", name, data)
		}
	}
}

// Whatever is in the texts, a line is at most 75 octets, cut between characters
// (RFC 5545, 3.1), and the second reader gives the texts back.
func TestAnyText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) { anyText(t, rapid.String().Draw(t, "title"), rapid.String().Draw(t, "text")) })
}

func FuzzText(f *testing.F) {
	f.Add("Pour", "BEGIN:VALARM\r\nEND:VCALENDAR")
	f.Add(strings.Repeat("ü", 80), `\n;,:"`)
	f.Fuzz(func(t *testing.T, title, text string) { anyText(t, title, text) })
}

func anyText(t interface{ Fatalf(string, ...any) }, title, text string) {
	data, err := ical.Write(title, at, []ical.Event{event(0, title, text), event(1, text, title)})
	if err != nil {
		t.Fatalf("%v", err)
	}
	if !utf8.Valid(data) {
		t.Fatalf("not UTF-8: %q", data)
	}
	for l := range strings.SplitSeq(strings.TrimSuffix(string(data), "\r\n"), "\r\n") {
		if len(l) > 75 || !utf8.ValidString(l) || strings.ContainsAny(l, "\r\n") {
			t.Fatalf("line of %d octets: %q", len(l), l)
		}
	}
	events := read(t, data).Events()
	if len(events) != 2 {
		t.Fatalf("%d events of 2:\n%s", len(events), data)
	}
	for i, want := range []string{title, text} {
		got, err := events[i].Props.Text("SUMMARY")
		if err != nil || strings.Join(strings.Fields(got), " ") != got {
			t.Fatalf("title %q came back as %q: %v", want, got, err)
		}
		if plain(want) && got != strings.Join(strings.Fields(want), " ") {
			t.Fatalf("title %q came back as %q", want, got)
		}
	}
}

// plain text has nothing that is left out.
func plain(s string) bool {
	return strings.IndexFunc(s, func(r rune) bool { return r < ' ' || r > '~' }) < 0
}
