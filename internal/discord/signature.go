package discord

import (
	"crypto/ed25519"
	"encoding/hex"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"time"
)

// The headers of a signed interaction (Interactions Overview, "Setting Up an
// Endpoint").
const (
	headerSignature = "X-Signature-Ed25519"
	headerTimestamp = "X-Signature-Timestamp"
)

const (
	// clockSkew is how far the time of a request may be from ours: clocks
	// differ, and what is older may be a request that somebody kept.
	clockSkew = 5 * time.Minute
	// mostDigits is the length of a time in seconds that no clock reaches.
	mostDigits = 12
)

// What is wrong with a request that is not signed as it must be. Each gets the
// same answer; the log tells them apart.
var (
	errNoSignature   = errors.New("no signature, or more than one")
	errBadSignature  = errors.New("the signature is no 128 hexadecimal digits in lower case")
	errBadTimestamp  = errors.New("the time of the signature is no number")
	errOldTimestamp  = errors.New("the time of the signature is more than 5 min from this machine's clock")
	errNotItsOwnSeal = errors.New("the signature does not fit: public_key is another application's, or somebody else sent this")
)

// ParsePublicKey reads an application's public key as its page shows it.
func ParsePublicKey(text string) (ed25519.PublicKey, error) {
	raw, err := hex.DecodeString(text)
	if err != nil || len(raw) != ed25519.PublicKeySize {
		return nil, fmt.Errorf("public_key is not the %d hexadecimal digits that stand on the application's page", 2*ed25519.PublicKeySize)
	}
	// Of the points that are weak keys this is the one that a placeholder is.
	if ed25519.PublicKey(raw).Equal(make(ed25519.PublicKey, ed25519.PublicKeySize)) {
		return nil, errors.New("public_key is all zeros; copy it from the application's page")
	}
	return raw, nil
}

// verify holds a request against the key. A signature has one spelling and
// each header one value, so that nothing in front of us can read it otherwise.
func verify(key ed25519.PublicKey, h http.Header, body []byte, now time.Time) error {
	signature, timestamp := h.Values(headerSignature), h.Values(headerTimestamp)
	if len(signature) != 1 || len(timestamp) != 1 {
		return errNoSignature
	}
	seal, ok := lowerHex(signature[0])
	if !ok {
		return errBadSignature
	}
	if err := checkTime(timestamp[0], now); err != nil {
		return err
	}
	signed := make([]byte, 0, len(timestamp[0])+len(body))
	signed = append(append(signed, timestamp[0]...), body...)
	if !ed25519.Verify(key, signed, seal) {
		return errNotItsOwnSeal
	}
	return nil
}

func lowerHex(text string) ([]byte, bool) {
	raw, err := hex.DecodeString(text)
	return raw, err == nil && len(raw) == ed25519.SignatureSize && hex.EncodeToString(raw) == text
}

func checkTime(text string, now time.Time) error {
	if text == "" || len(text) > mostDigits {
		return errBadTimestamp
	}
	for _, r := range text {
		if r < '0' || r > '9' {
			return errBadTimestamp
		}
	}
	seconds, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		return errBadTimestamp
	}
	if off := now.Sub(time.Unix(seconds, 0)); off > clockSkew || off < -clockSkew {
		return errOldTimestamp
	}
	return nil
}
