package main

import (
	"regexp"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/discord/fake"
)

// someone is a member of the chat service, where they ask from.
type someone struct{ id, name, guild, permissions string }

// Members of two servers; wim manages the first.
var (
	pia = someone{pourer, "Pia", fake.GuildID, "0"}
	bo  = someone{"715000000000000501", "Bo", fake.GuildID, "0"}
	cy  = someone{"715000000000000502", "Cy", fake.GuildID, "0"}
	wim = someone{"715000000000000503", "Wim", fake.GuildID, "32"} // Manage Server
	eve = someone{"715000000000000504", "Eve", "715000000000000011", "32"}
)

// as says who calls, in an example.
func (s *serving) as(who someone, raw []byte, more map[string]any) *fake.Exchange {
	set := map[string]any{"member.user.id": who.id, "member.nick": who.name, "member.permissions": who.permissions,
		"guild_id": who.guild, "guild.id": who.guild, "authorizing_integration_owners": map[string]any{"0": who.guild}}
	for k, v := range more {
		set[k] = v
	}
	return s.service.Send(s.service.Fresh(fake.With(s.T(), raw, set)))
}

// tells sends a command and gives what its caller alone reads.
func (s *serving) tells(who someone, command, sub string, options map[string]any) *fake.Shown {
	s.Helper()
	list := []any{}
	data := map[string]any{"id": "1", "name": command, "type": 1}
	for name, value := range options {
		kind := 3
		switch v := value.(type) {
		case someone:
			kind, value = 6, v.id
			data["resolved"] = map[string]any{"users": map[string]any{v.id: map[string]any{"id": v.id, "username": "somebody", "global_name": v.name, "discriminator": "0", "avatar": nil}}}
		case bool:
			kind = 5
		}
		list = append(list, map[string]any{"type": kind, "name": name, "value": value})
	}
	data["options"] = []any{map[string]any{"type": 1, "name": sub, "options": list}}
	return s.private(s.as(who, fake.Example(s.T(), "02_slash_subcommand_strings"), map[string]any{"data": data}))
}

// presses presses a button of what was shown.
func (s *serving) presses(who someone, shown *fake.Shown, label string) *fake.Shown {
	s.Helper()
	id := shown.Button(label)
	if id == "" {
		s.Fatalf("no button %q: %s", label, shown.Text())
	}
	return s.private(s.as(who, s.service.Press(shown, id), nil))
}

func (s *serving) private(e *fake.Exchange) *fake.Shown {
	s.Helper()
	shown := e.Await()
	if shown.Kind != fake.Update && !shown.Ephemeral {
		s.Errorf("everybody reads %s", shown.Text())
	}
	return shown
}

// wants fails unless what is shown holds all of the words.
func (s *serving) wants(shown *fake.Shown, words ...string) *fake.Shown {
	s.Helper()
	for _, w := range words {
		if !strings.Contains(shown.Text(), w) {
			s.Errorf("it shows, without %q:\n%s", w, shown.Text())
		}
	}
	return shown
}

// Two servers and five members share, adopt, follow, hide, hand over and leave,
// through the chat service.
func TestServeSharing(t *testing.T) {
	t.Parallel()
	s := &serving{killing: startKilling(t)}
	s.begin()
	defer s.end()
	white := map[string]any{"material": "slow white"}
	with := func(more map[string]any) map[string]any {
		more["material"] = "slow white"
		return more
	}

	s.wants(s.tells(pia, "material", "show", white), "slow white, urethane")
	s.wants(s.tells(eve, "material", "show", white), "material here is called")
	s.wants(s.tells(bo, "material", "adopt", white), "Adopted", "from Pia")
	s.wants(s.tells(pia, "material", "edit", with(map[string]any{"pot_life": "9 min, 100 g, 23 C"})), "now version 2")
	seen := s.wants(s.tells(bo, "material", "show", white), "Its origin changed", "8 min, 100 g, 23 °C → 9 min")
	s.wants(s.presses(cy, seen, "Take the change"), "is gone, or not shared with you")
	s.wants(s.presses(bo, seen, "Take the change"), "now version 2")

	code := regexp.MustCompile(`([2-9a-y]{3}-){5}[2-9a-y]{3}`).FindString(s.wants(s.tells(pia, "material", "share", with(map[string]any{"by": "link"})), "The code for").Text())
	s.wants(s.tells(eve, "material", "adopt", map[string]any{"code": code}), "Adopted", "from Pia")

	s.wants(s.tells(cy, "material", "hide", white), "nly a manager")
	s.wants(s.tells(wim, "material", "hide", with(map[string]any{"why": "which bottle?"})), "is hidden from the shelf")
	s.wants(s.tells(cy, "material", "show", white), "material here is called")
	s.wants(s.tells(pia, "material", "show", white), "A manager has hidden it", "which bottle?")
	s.wants(s.tells(eve, "material", "hide", white), "not shared with this shop")
	s.wants(s.tells(wim, "material", "unhide", white), "is back on the shelf")

	offer := s.wants(s.tells(pia, "mold", "give", map[string]any{"mold": "block", "to": cy}), "is offered to")
	s.wants(s.tells(bo, "mold", "adopt", map[string]any{"code": regexp.MustCompile(`([2-9a-y]{3}-){5}[2-9a-y]{3}`).FindString(offer.Text())}), "hands something over to another member")
	waits := s.wants(s.tells(cy, "mold", "list", nil), "Pia offers you")
	s.wants(s.presses(cy, waits, "Take over block"), "is yours now", "Pia handed it over")
	s.wants(s.presses(cy, waits, "Take over block"), "leads nowhere")

	gone := s.wants(s.tells(pia, "me", "erase", nil), "2 adopted copies", "Members who adopted a copy keep it")
	s.wants(s.presses(pia, gone, "Erase everything"), "is erased")
	left := s.wants(s.tells(bo, "material", "show", white), "Adopted from a member who left, version 2", "9 min")
	if strings.Contains(left.Text(), "Pia") {
		t.Errorf("who left is still named: %s", left.Text())
	}
	s.wants(s.tells(cy, "mold", "show", map[string]any{"mold": "block"}), "block")
}
