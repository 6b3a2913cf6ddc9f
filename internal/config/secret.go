package config

import "log/slog"

// Secret is a text that no print, log or encoder shows. The text stands behind
// a pointer because fmt calls no method on a field that is not exported: there
// it would print an address, never the text.
type Secret struct{ text *string }

// NewSecret hides a text; an empty one is no secret at all.
func NewSecret(text string) Secret {
	if text == "" {
		return Secret{}
	}
	return Secret{&text}
}

// Set reports whether there is one.
func (s Secret) Set() bool { return s.text != nil }

// Reveal gives the text to the one place that sends it.
func (s Secret) Reveal() string {
	if s.text == nil {
		return ""
	}
	return *s.text
}

const hidden = "(hidden)"

// String says only whether there is one.
func (s Secret) String() string {
	if s.Set() {
		return hidden
	}
	return ""
}

// GoString is String, for %#v.
func (s Secret) GoString() string { return "config.Secret{" + s.String() + "}" }

// LogValue is String, for slog.
func (s Secret) LogValue() slog.Value { return slog.StringValue(s.String()) }

// MarshalText is String, for encoders.
func (s Secret) MarshalText() ([]byte, error) { return []byte(s.String()), nil }
