package discord

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"net/http"
	"strings"
	"time"
)

// ErrNotListening says that nothing answers at the address of an endpoint.
var ErrNotListening = errors.New("nothing answers there")

// probePatience bounds a knock.
const probePatience = 5 * time.Second

// Probe knocks at an endpoint on this machine without a signature, and wants to
// be refused as a stranger is. Nothing is carried out.
func Probe(ctx context.Context, cfg Config) error {
	address, err := ownAddress(cfg.Listen)
	if err != nil {
		return err
	}
	scheme := "http"
	if cfg.TLSCert != "" {
		scheme = "https"
	}
	ctx, cancel := context.WithTimeout(ctx, probePatience)
	defer cancel()
	request, err := http.NewRequestWithContext(ctx, http.MethodPost, scheme+"://"+address+endpointPath, strings.NewReader(`{"type":1}`))
	if err != nil {
		return fmt.Errorf("knock at %s: %w", address, err)
	}
	request.Header.Set("Content-Type", "application/json")
	client := &http.Client{
		// The certificate is for the name that the service calls, and was looked
		// at for itself; nothing is sent that others must not see.
		Transport:     &http.Transport{TLSClientConfig: &tls.Config{MinVersion: tls.VersionTLS12, InsecureSkipVerify: true}},
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}
	defer client.CloseIdleConnections()
	response, err := client.Do(request)
	var refused *net.OpError
	switch {
	case errors.As(err, &refused) && refused.Op == "dial":
		return ErrNotListening
	case err != nil:
		return fmt.Errorf("knock at %s: %w", address, withoutURL(err))
	}
	defer response.Body.Close()
	if response.StatusCode != http.StatusUnauthorized {
		return fmt.Errorf("something else answers at %s: a request without a signature got status %d and not %d", address, response.StatusCode, http.StatusUnauthorized)
	}
	return nil
}

// ownAddress is where this machine reaches what listens at an address.
func ownAddress(listen string) (string, error) {
	host, port, err := net.SplitHostPort(listen)
	if err != nil {
		return "", fmt.Errorf("http_listen: %w", err)
	}
	if ip := net.ParseIP(host); host == "" || ip != nil && ip.IsUnspecified() {
		host = "127.0.0.1"
	}
	return net.JoinHostPort(host, port), nil
}

// CertificateEnds is until when the certificate of an endpoint is good. It is
// an error if the files can't be used.
func CertificateEnds(cfg Config) (time.Time, error) {
	pair, err := loadPair(cfg.TLSCert, cfg.TLSKey)
	if err != nil {
		return time.Time{}, err
	}
	return pair.Leaf.NotAfter, nil
}
