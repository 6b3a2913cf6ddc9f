package discord

import (
	"errors"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/pourwright/pourwright/internal/discord/fake"
)

func TestDecodeExamples(t *testing.T) {
	type want struct {
		kind    int
		user    string
		display string
		guild   bool
		command *CommandData
		press   *ComponentData
		form    *FormData
		files   int
		odd     []string
		err     error
	}
	text := func(name, value string) OptionValue { return OptionValue{name, optionString, value} }
	member := func(w want) want {
		if w.user == "" {
			w.user, w.display = "715000000000000104", "piece_painter"
		}
		return w
	}
	cases := map[string]want{
		"01_ping": {kind: TypePing, user: "715000000000000101", display: "Hall Keeper"},
		"02_slash_subcommand_strings": {kind: TypeCommand, user: "715000000000000103", display: "Pier", guild: true, command: &CommandData{
			Name: "volume", Kind: 1, Sub: "shape", Options: []OptionValue{
				text("kind", "box"), text("size", "120 x 80 x 35 mm"), {"show", optionBoolean, "yes"}}}},
		"03_slash_attachment": {kind: TypeCommand, user: "715000000000000103", display: "Viaduct Builder", guild: true, files: 1, command: &CommandData{
			Name: "volume", Kind: 1, Sub: "mesh", Options: []OptionValue{
				{"file", optionAttachment, "715000000000000501"}, text("unit", "mm")}}},
		"06_autocomplete_string": {kind: TypeAutocomplete, guild: true, command: &CommandData{
			Name: "cure", Kind: 1, Focused: "material", Options: []OptionValue{text("thickness", "12 mm"), text("material", "demo ri")}}},
		"07_autocomplete_number_partial": {kind: TypeAutocomplete, guild: true, command: &CommandData{
			Name: "demold", Kind: 1, Focused: "thickness", Options: []OptionValue{
				{"thickness", optionNumber, "12."}, text("profile", "demo clear, slow")}}},
		"08_button_press": {kind: TypeComponent, user: "715000000000000102", display: "Knob Caster", guild: true,
			press: &ComponentData{ID: "r:done:41", Type: 2}},
		"10_modal_submit_labels": {kind: TypeForm, user: "715000000000000103", display: "Viaduct Builder", guild: true, files: 1,
			form: &FormData{ID: "mold:new", Fields: []FieldValue{
				{"name", componentText, []string{"Viaduct pier, arch side"}}, {"notes", componentText, []string{""}},
				{"unit", componentSelect, []string{"mm"}}, {"kind", componentRadio, []string{"two_part"}},
				{"photo", componentUpload, []string{"715000000000000502"}}}}},
		"11_modal_submit_choices": {kind: TypeForm, user: "715000000000000102", display: "Knob Caster", guild: true,
			form: &FormData{ID: "run:new", Fields: []FieldValue{
				{"needs", componentCheckGroup, []string{"release", "mask"}}, {"remind", componentCheckbox, []string{"yes"}},
				{"ratio", componentRadio, []string{}}, {"photo", componentUpload, []string{}}}}},
		"12_modal_submit_action_rows": {kind: TypeForm, user: "715000000000000102", display: "Knob Caster", guild: true,
			form: &FormData{ID: "mold:edit:7", Fields: []FieldValue{{"name", componentText, []string{"Cabinet knob"}}}}},
		"15_user_install_in_a_guild_without_the_bot": {kind: TypeCommand, command: &CommandData{
			Name: "tint", Kind: 1, Sub: "match", Options: []OptionValue{
				text("base", "demo rigid white"), text("target", "#8a5a2b"), text("mass", "220 g")}}},
		"18_unknown_interaction_type": {kind: 6, guild: true, err: ErrUnknownType},
		"19_unknown_fields_and_option_type": {kind: TypeCommand, guild: true,
			command: &CommandData{Name: "volume", Kind: 1, Sub: "shape", Options: []OptionValue{text("kind", "box")}},
			odd: []string{"unknown field a_new_field", "unknown field data.a_new_list", "unknown field data.options.0.added",
				"unknown field data.options.0.1.new_flag", "data.options.0.1 has option type 12"}},
		"20_minimal_documented_shape": {kind: TypeCommand, user: "715000000000000102", display: "knob_caster", guild: true,
			command: &CommandData{Name: "trouble", Kind: 1, Options: []OptionValue{text("symptom", "tacky surface")}}},
	}
	for _, name := range fake.Examples("") {
		t.Run(name, func(t *testing.T) {
			raw := fake.Example(t, name)
			if err := fake.CheckInbound("Interaction", raw); err != nil {
				t.Fatalf("the example itself is wrong: %v", err)
			}
			got, odd, err := Decode(raw)
			w, listed := cases[name]
			if !errors.Is(err, w.err) || got == nil {
				t.Fatalf("Decode: %v", err)
			}
			if got.ID == "" || got.Token == "" || got.User.ID == "" {
				t.Errorf("id, token or user is missing: %+v", got)
			}
			if d := cmp.Diff(w.odd, odd); d != "" {
				t.Errorf("oddities (-want +got):\n%s", d)
			}
			if !listed {
				return
			}
			w = member(w)
			have := want{got.Type, got.User.ID, got.DisplayName(), got.InstalledInGuild(), got.Command, got.Press, got.Form, len(got.Files), odd, w.err}
			if d := cmp.Diff(w, have, cmp.AllowUnexported(want{}), cmp.Comparer(func(a, b error) bool { return a == b })); d != "" {
				t.Errorf("(-want +got):\n%s", d)
			}
		})
	}
}

func TestDecodePlaces(t *testing.T) {
	cases := map[string]struct {
		context int
		manager bool
		shop    string
	}{
		"02_slash_subcommand_strings":                {0, false, "discord:715000000000000010"},
		"04_slash_user_option":                       {0, true, "discord:715000000000000010"},
		"13_dm_with_the_bot":                         {1, true, "discord:715000000000000102"},
		"14_user_install_group_dm":                   {2, true, "discord:715000000000000104"},
		"15_user_install_in_a_guild_without_the_bot": {0, true, "discord:715000000000000104"},
	}
	for name, w := range cases {
		t.Run(name, func(t *testing.T) {
			i, _, err := Decode(fake.Example(t, name))
			if err != nil {
				t.Fatal(err)
			}
			if i.Context != w.context {
				t.Errorf("context %d, want %d", i.Context, w.context)
			}
			inv, _ := toInvocation(i, testTime)
			if inv.ShopKey != w.shop || inv.Manager != w.manager {
				t.Errorf("shop %q (manager %v), want %q (%v)", inv.ShopKey, inv.Manager, w.shop, w.manager)
			}
		})
	}
}

// TestManager checks the two permissions that make a manager, bit by bit.
func TestManager(t *testing.T) {
	for bit := range 53 {
		raw := fake.With(t, fake.Example(t, "02_slash_subcommand_strings"), map[string]any{"member.permissions": big(1 << bit)})
		i, _, err := Decode(raw)
		if err != nil {
			t.Fatal(err)
		}
		inv, _ := toInvocation(i, testTime)
		if want := bit == 3 || bit == 5; inv.Manager != want {
			t.Errorf("permission 1<<%d: manager %v, want %v", bit, inv.Manager, want)
		}
	}
}

func TestDecodeRefuses(t *testing.T) {
	for name, raw := range map[string]string{
		"empty": "", "null": "null", "list": "[]", "no id": `{"type":2,"token":"x","data":{}}`, "no token": `{"type":2,"id":"1"}`,
		"no data": `{"type":2,"id":"1","token":"x","user":{"id":"7"}}`,
		"no user": `{"type":2,"id":"1","token":"x","data":{"name":"help"}}`, "a user who is none": `{"type":2,"id":"1","token":"x","user":{"id":"me:7"},"data":{"name":"help"}}`,
		"broken": `{"type":2,`, "data is text": `{"type":3,"id":"1","token":"x","user":{"id":"7"},"data":"y"}`,
	} {
		if _, _, err := Decode([]byte(raw)); err == nil {
			t.Errorf("%s: decoded", name)
		}
	}
}

// TestDecodeBends checks that fields of a wrong type are noted, not fatal.
func TestDecodeBends(t *testing.T) {
	raw := fake.With(t, fake.Example(t, "02_slash_subcommand_strings"), map[string]any{
		"context": "guild", "attachment_size_limit": "big", "app_permissions": -1, "member.permissions": map[string]any{"a": 1}, "locale": 7})
	i, odd, err := Decode(raw)
	if err != nil || i.Command == nil || i.Command.Name != "volume" {
		t.Fatalf("got %+v, %v", i, err)
	}
	if i.User.ID == "" || i.Member == nil || i.Member.Permissions != 0 {
		t.Errorf("who called is lost, or may what nobody said: %+v, %+v", i.User, i.Member)
	}
	if len(odd) == 0 {
		t.Error("nothing was noted")
	}
}

func TestFieldsOfCoversEveryWireStruct(t *testing.T) {
	for _, v := range []any{wireInteraction{}, wireCommand{}, wireOption{}, wireComponent{}, wireForm{}, wireField{}} {
		for name := range fieldsOf(reflect.TypeOf(v)) {
			if name == "" || strings.Contains(name, ",") {
				t.Errorf("%T has a field without a JSON name", v)
			}
		}
	}
}

func FuzzDecode(f *testing.F) {
	for _, name := range fake.Examples("") {
		raw, err := fakeExample(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(raw)
	}
	f.Add([]byte(`{"id":"1","token":"t","type":5,"data":{"custom_id":"a","components":[{"type":18,"component":{"type":18,"component":{}}}]}}`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		i, odd, err := Decode(raw)
		if len(odd) > mostOdd {
			t.Errorf("%d oddities noted", len(odd))
		}
		if err != nil {
			return
		}
		inv, wanted := toInvocation(i, testTime)
		if i.Type != TypePing && (inv.MemberKey == keyPrefix || inv.ShopKey == keyPrefix) {
			t.Error("an invocation of nobody")
		}
		if inv.Press == "" && inv.Line == "" && inv.Command == "" && i.Command == nil && i.Press == nil && i.Form == nil && i.Type != TypePing {
			t.Error("an invocation of nothing")
		}
		for option, file := range wanted {
			if file.URL == "" && file.ID == "" && option == "" {
				t.Error("a file without anything")
			}
			if name := fileName(file.Name); name == "" || strings.ContainsAny(name, `/\`) {
				t.Errorf("file name %q", name)
			}
		}
	})
}
