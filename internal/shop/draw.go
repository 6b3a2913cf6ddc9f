package shop

import (
	"encoding/base32"
	"fmt"
	"io"
	"strings"
)

// Draw makes a name that can't be guessed of n random bytes, a multiple of 5:
// 8 lower-case letters and digits (RFC 4648, base 32) for every 5 of them.
func Draw(random io.Reader, n int) (string, error) {
	raw := make([]byte, n)
	if _, err := io.ReadFull(random, raw); err != nil {
		return "", fmt.Errorf("draw a name: %w", err)
	}
	return strings.ToLower(base32.StdEncoding.EncodeToString(raw)), nil
}
