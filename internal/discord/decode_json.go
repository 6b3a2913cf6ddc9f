package discord

import (
	"bytes"
	"encoding/json"
	"errors"
	"reflect"
	"strconv"
	"strings"
	"sync"
)

// mostOdd bounds how many oddities of one interaction are noted.
const mostOdd = 20

// decoder reads JSON that may hold more than we know, and notes what.
type decoder struct{ odd []string }

func (d *decoder) note(what string) {
	if len(d.odd) < mostOdd {
		d.odd = append(d.odd, cutBytes(printable(what), 120))
	}
}

// object decodes an object into a struct and notes fields the struct lacks. A
// field of an unexpected type is noted and left at its zero value.
func (d *decoder) object(raw []byte, where string, into any) error {
	raw = bytes.TrimSpace(raw)
	if len(raw) == 0 || raw[0] != '{' {
		return errors.New("not a JSON object")
	}
	var fields map[string]json.RawMessage
	if err := json.Unmarshal(raw, &fields); err != nil {
		return err
	}
	target := reflect.ValueOf(into).Elem()
	known := fieldsOf(target.Type())
	for _, name := range sortedKeys(fields) {
		at := name
		if where != "" {
			at = where + "." + name
		}
		n, ok := known[name]
		if !ok {
			d.note("unknown field " + at)
			continue
		}
		if err := json.Unmarshal(fields[name], target.Field(n).Addr().Interface()); err != nil {
			target.Field(n).SetZero()
			d.note("unexpected value of " + at)
		}
	}
	return nil
}

// list splits an array; anything else, null and absence included, is empty.
func (d *decoder) list(raw json.RawMessage, where string) []json.RawMessage {
	if len(raw) == 0 || raw[0] == 'n' {
		return nil
	}
	var list []json.RawMessage
	if json.Unmarshal(raw, &list) != nil {
		d.note(where + " is not a list")
	}
	return list
}

// knownFields caches the JSON names of each wire struct.
var knownFields sync.Map // reflect.Type → map[string]int

func fieldsOf(t reflect.Type) map[string]int {
	if known, ok := knownFields.Load(t); ok {
		return known.(map[string]int)
	}
	known := make(map[string]int, t.NumField())
	for n := range t.NumField() {
		name, _, _ := strings.Cut(t.Field(n).Tag.Get("json"), ",")
		known[name] = n
	}
	knownFields.Store(t, known)
	return known
}

// bits is a permission set, sent as a decimal string.
type bits uint64

// UnmarshalJSON reads a decimal in a string or a plain number. What is neither
// gives no permission, and is no reason to lose who it is about.
func (b *bits) UnmarshalJSON(raw []byte) error {
	n, err := strconv.ParseUint(strings.Trim(string(raw), `"`), 10, 64)
	if err != nil {
		n = 0
	}
	*b = bits(n)
	return nil
}
