package config

import (
	"encoding/hex"
	"errors"
	"fmt"
)

// keyBytes is the length of an application's public key (Ed25519).
const keyBytes = 32

// checkHTTP finds what is wrong in the settings of signed HTTP interactions.
func (c *Config) checkHTTP() error {
	var errs []error
	bad := func(format string, args ...any) { errs = append(errs, fmt.Errorf(format, args...)) }
	if c.HTTPListen == "" {
		for _, one := range []struct{ key, value string }{
			{"public_key", c.PublicKey}, {"http_tls_cert", c.HTTPTLSCert}, {"http_tls_key", c.HTTPTLSKey},
		} {
			if one.value != "" {
				bad("%s is set without http_listen, which alone would take interactions over HTTP; set http_listen too, or remove %s", one.key, one.key)
			}
		}
		return errors.Join(errs...)
	}
	if err := checkListen("http_listen", c.HTTPListen); err != nil {
		errs = append(errs, err)
	}
	raw, err := hex.DecodeString(c.PublicKey)
	switch {
	case c.PublicKey == "":
		bad("http_listen is set without public_key; copy the public key from the application's page")
	case err != nil || len(raw) != keyBytes:
		bad("public_key has %d characters; it is the %d hexadecimal digits that stand on the application's page", len(c.PublicKey), 2*keyBytes)
	}
	if (c.HTTPTLSCert == "") != (c.HTTPTLSKey == "") {
		bad("http_tls_cert and http_tls_key go together; set both, or none where a proxy ends TLS")
	}
	if c.Shards != 0 {
		bad("shards is for the gateway, and with http_listen there is none; remove one of them")
	}
	return errors.Join(errs...)
}
