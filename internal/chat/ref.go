package chat

import (
	"fmt"
	"strconv"
	"strings"
)

// Ref writes a record's id and version as an option's text that means the same
// for ever; version 0 is whichever is newest.
func Ref(id int64, version int) string {
	if version == 0 {
		return fmt.Sprintf("#%d", id)
	}
	return fmt.Sprintf("#%d@%d", id, version)
}

// ReadRef reads what Ref wrote.
func ReadRef(text string) (id int64, version int, ok bool) {
	rest, isRef := strings.CutPrefix(text, "#")
	if !isRef {
		return 0, 0, false
	}
	num, ver, pinned := strings.Cut(rest, "@")
	id, err := strconv.ParseInt(num, 10, 64)
	if err != nil {
		return 0, 0, false
	}
	if !pinned {
		return id, 0, true
	}
	version, err = strconv.Atoi(ver)
	return id, version, err == nil
}
