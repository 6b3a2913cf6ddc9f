package main

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/discord/fake"
)

// types sends what a member types: a command, its sub, and options as text; one
// that is yes or no is given as a bool. change may alter the interaction.
func (s *serving) types(command, sub string, options map[string]any, change map[string]any) *fake.Exchange {
	s.Helper()
	list := []any{}
	for name, value := range options {
		kind := 3
		if _, yesNo := value.(bool); yesNo {
			kind = 5
		}
		list = append(list, map[string]any{"type": kind, "name": name, "value": value})
	}
	set := map[string]any{"member.user.id": pourer,
		"data": map[string]any{"id": "1", "name": command, "type": 1, "options": []any{map[string]any{"type": 1, "name": sub, "options": list}}}}
	for name, value := range change {
		set[name] = value
	}
	return s.service.Send(s.service.Fresh(fake.With(s.T(), fake.Example(s.T(), "02_slash_subcommand_strings"), set)))
}

// posted waits for that many calls in all and gives the last one.
func (s *serving) posted(n int) fake.Post {
	s.Helper()
	if !s.service.AwaitPosts(n, surely) {
		s.Fatalf("%d calls, want %d; the log is:\n%s", len(s.service.Posts()), n, s.errs)
	}
	// It is recorded too before the clock moves on.
	for end := time.Now().Add(surely); ; time.Sleep(5 * time.Millisecond) {
		next, any, err := s.db.NextDue(s.Context(), "discord")
		if err != nil || time.Now().After(end) {
			s.Fatalf("it is not recorded: %v, %v", next, err)
		}
		if !any || next.After(s.now().Add(time.Minute)) {
			break
		}
	}
	posts := s.service.Posts()
	if len(posts) != n {
		s.Fatalf("%d calls, want %d", len(posts), n)
	}
	return posts[n-1]
}

func text(p fake.Post) string { return (&fake.Shown{Body: p.Body}).Text() }

// Each way in which a call goes: to the channel or alone, as asked or as the
// member wishes, held by quiet hours, again and again, and alone where the
// channel is not ours to post in.
func TestServeCallsEachWay(t *testing.T) {
	t.Parallel()
	s := &serving{killing: startKilling(t)}
	s.begin()
	defer s.end()
	add := func(more map[string]any, change map[string]any) string {
		t.Helper()
		options := map[string]any{"about": "wipe the mold", "in": "1 h"}
		for name, value := range more {
			options[name] = value
		}
		return s.types("due", "add", options, change).Await().Text()
	}
	hour := func() { s.shift.Add(int64(time.Hour + time.Second)) }
	alone := fake.DirectChannel(pourer)
	n := 0
	for _, c := range []struct {
		name   string
		more   map[string]any
		change map[string]any
		want   string // channel
	}{
		{"as asked in the channel", nil, nil, fake.ChannelID},
		{"alone, as said", map[string]any{"to": "dm"}, nil, alone},
		{"here, as said", map[string]any{"to": "here"}, nil, fake.ChannelID},
		{"in a server that did not add us", nil, map[string]any{"authorizing_integration_owners": map[string]any{"1": pourer}}, alone},
		{"here, in a server that did not add us", map[string]any{"to": "here"}, map[string]any{"authorizing_integration_owners": map[string]any{"1": pourer}}, alone},
	} {
		if said := add(c.more, c.change); !strings.Contains(said, "You will be called") {
			t.Fatalf("%s: %s", c.name, said)
		}
		hour()
		n++
		if p := s.posted(n); p.Channel != c.want || !strings.Contains(text(p), "wipe the mold") {
			t.Errorf("%s: called in %s, want %s: %s", c.name, p.Channel, c.want, text(p))
		}
	}

	s.types("me", "set", map[string]any{"to": "dm"}, nil).Await()
	add(nil, nil)
	hour()
	n++
	if p := s.posted(n); p.Channel != alone {
		t.Errorf("by the member's wish: called in %s", p.Channel)
	}

	// Quiet hours hold it, and it says so.
	from := s.now().UTC()
	quiet := from.Format("15:04") + "-" + from.Add(3*time.Hour).Format("15:04")
	if said := s.types("me", "set", map[string]any{"quiet_hours": quiet, "zone": "UTC"}, nil).Await().Text(); !strings.Contains(said, "set") {
		t.Fatal(said)
	}
	if said := add(nil, nil); !strings.Contains(said, "quiet hours") {
		t.Errorf("it is not said that it waits: %s", said)
	}
	hour()
	s.types("due", "list", nil, nil).Await()
	if got := len(s.service.Posts()); got != n {
		t.Errorf("called in quiet hours")
	}
	s.shift.Add(int64(2 * time.Hour))
	n++
	if p := s.posted(n); !strings.Contains(text(p), "quiet hours") {
		t.Errorf("after quiet hours: %s", text(p))
	}

	// Again and again, until it is canceled by its own number.
	s.types("me", "set", map[string]any{"quiet_hours": "none"}, nil).Await()
	add(map[string]any{"every": "day"}, nil)
	hour()
	for day := range 3 {
		n++
		if p := s.posted(n); !strings.Contains(text(p), "every 1 day") {
			t.Errorf("day %d: %s", day, text(p))
		}
		s.shift.Add(int64(24 * time.Hour))
	}
	n++
	p := s.posted(n)
	shown := &fake.Shown{Kind: fake.Message, Body: p.Body}
	list := s.types("due", "list", nil, nil).Await()
	label := ""
	for _, l := range labels(list) {
		if strings.HasPrefix(l, "Cancel") {
			label = l
		}
	}
	s.service.Send(fake.With(t, s.service.Press(shown, list.Button(label)), map[string]any{"member.user.id": pourer})).Await()
	s.shift.Add(int64(72 * time.Hour))
	if said := s.types("due", "list", nil, nil).Await().Text(); !strings.Contains(said, "You wait for nothing") {
		t.Errorf("a canceled series: %s", said)
	}
	if got := len(s.service.Posts()); got != n {
		t.Errorf("%d calls after it was canceled", got-n)
	}
}

// labels are those of a message's buttons.
func labels(m *fake.Shown) (all []string) {
	rows, _ := m.Body["components"].([]any)
	for _, row := range rows {
		r, _ := row.(map[string]any)
		buttons, _ := r["components"].([]any)
		for _, one := range buttons {
			b, _ := one.(map[string]any)
			l, _ := b["label"].(string)
			all = append(all, l)
		}
	}
	return all
}

// What could be shown nowhere is told with the next answer: in it where it is
// private, aside where others see it; once.
func TestServeTellsWhatWasMissed(t *testing.T) {
	t.Parallel()
	s := &serving{killing: startKilling(t)}
	s.begin()
	defer s.end()
	s.service.CloseChannel(fake.ChannelID, 50013)
	s.service.CloseChannel(fake.DirectChannel(pourer), 50007)
	miss := func(about string) {
		t.Helper()
		s.types("due", "add", map[string]any{"about": about, "in": "1 h"}, nil).Await()
		s.shift.Add(int64(time.Hour + time.Second))
		for end := time.Now().Add(surely); ; time.Sleep(10 * time.Millisecond) {
			all, err := s.db.Dues(t.Context(), s.by, 10)
			if err != nil || time.Now().After(end) {
				t.Fatalf("it is not missed, %v; the log is:\n%s", err, s.errs)
			}
			if len(all) > 0 && !all[len(all)-1].Missed.IsZero() && all[len(all)-1].About == about {
				return
			}
		}
	}
	const done = "Done: wipe the mold"
	miss("wipe the mold")
	first := s.types("me", "show", nil, nil).Await()
	if !strings.Contains(first.Text(), "Missed: ") || !strings.Contains(first.Text(), "wipe the mold, due <t:") || !slices.Contains(labels(first), done) {
		t.Errorf("the next answer: %s, %q", first.Text(), labels(first))
	}
	if again := s.types("me", "show", nil, nil).Await(); strings.Contains(again.Text(), "Missed: ") {
		t.Errorf("told twice: %s", again.Text())
	}
	pressed := s.service.Send(fake.With(t, s.service.Press(first, first.Button(done)), map[string]any{"member.user.id": pourer})).Await()
	if !strings.Contains(pressed.Text(), "Done: wipe the mold") {
		t.Errorf("pressed: %s", pressed.Text())
	}
	miss("look at the jugs")
	e := s.types("pour", "list", nil, nil)
	if said := e.Await().Text(); !strings.Contains(said, "look at the jugs") {
		t.Errorf("a private list: %s", said)
	}
	miss("coat the block")
	e = s.types("ratio", "convert", map[string]any{"ratio": "1:1 vol", "density_a": "1.1", "density_b": "1.02", "show": true}, nil)
	if aside := e.AwaitFollowup(0); !aside.Ephemeral || !strings.Contains(aside.Text(), "coat the block, due <t:") {
		t.Errorf("aside: %+v", aside)
	}
	if shown := e.Await(); shown.Ephemeral || strings.Contains(shown.Text(), "coat the block") {
		t.Errorf("everyone is told: %s", shown.Text())
	}
}
