package shop

import (
	"bytes"
	"encoding/json"
	"fmt"
)

// Altitude is a height above the sea, m. The zero value is one that nobody
// said, which is another thing than the sea's own.
type Altitude struct {
	M     float64
	Known bool
}

// At is an altitude that was said.
func At(m float64) Altitude { return Altitude{M: m, Known: true} }

// MarshalJSON writes a number, or null where nobody said one.
func (a Altitude) MarshalJSON() ([]byte, error) {
	if !a.Known {
		return []byte("null"), nil
	}
	text, err := json.Marshal(a.M)
	if err != nil {
		return nil, fmt.Errorf("write an altitude: %w", err)
	}
	return text, nil
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (a *Altitude) UnmarshalJSON(text []byte) error {
	*a = Altitude{}
	if bytes.Equal(text, []byte("null")) {
		return nil
	}
	if err := json.Unmarshal(text, &a.M); err != nil {
		return fmt.Errorf("read an altitude: %w", err)
	}
	a.Known = true
	return nil
}
