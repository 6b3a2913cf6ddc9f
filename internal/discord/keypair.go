package discord

import (
	"crypto/tls"
	"crypto/x509"
	"fmt"
	"log/slog"
	"os"
	"sync"
	"time"
)

// lookAgain is how often, at most, handshakes look whether the files changed.
const lookAgain = 10 * time.Second

// keyPair is a certificate with its key from two files, read again when they
// change. What can't be read then leaves the one in use as it is.
type keyPair struct {
	certFile, keyFile string
	log               *slog.Logger
	now               func() time.Time

	mu     sync.Mutex
	pair   *tls.Certificate
	looked time.Time
	seen   [2]os.FileInfo // of the files as they were read last, well or not
}

func newKeyPair(certFile, keyFile string, log *slog.Logger, now func() time.Time) (*keyPair, error) {
	if certFile == "" || keyFile == "" {
		return nil, fmt.Errorf("http_tls_cert and http_tls_key go together; set both or none")
	}
	p := &keyPair{certFile: certFile, keyFile: keyFile, log: log, now: now}
	var err error
	p.looked = now()
	if p.seen, err = p.stat(); err != nil {
		return nil, err
	}
	if p.pair, err = loadPair(certFile, keyFile); err != nil {
		return nil, err
	}
	p.tellEnd()
	return p, nil
}

// get gives the certificate to a handshake.
func (p *keyPair) get(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	now := p.now()
	if now.Sub(p.looked) < lookAgain {
		return p.pair, nil
	}
	p.looked = now
	seen, err := p.stat()
	if err == nil && same(seen[0], p.seen[0]) && same(seen[1], p.seen[1]) {
		return p.pair, nil
	}
	if err == nil {
		p.seen = seen
		var fresh *tls.Certificate
		if fresh, err = loadPair(p.certFile, p.keyFile); err == nil {
			p.pair = fresh
			p.log.Info("the certificate was read anew", "ends", fresh.Leaf.NotAfter.UTC())
			p.tellEnd()
			return p.pair, nil
		}
	}
	p.log.Warn("the certificate's files changed and can't be used; the one read before stays in use", "err", err)
	return p.pair, nil
}

func (p *keyPair) tellEnd() {
	if end := p.pair.Leaf.NotAfter; end.Before(p.now()) {
		p.log.Error("the certificate in http_tls_cert has ended: the service will not take it; renew it", "ended", end.UTC())
	}
}

func (p *keyPair) stat() (seen [2]os.FileInfo, err error) {
	if seen[0], err = os.Stat(p.certFile); err != nil {
		return seen, fmt.Errorf("http_tls_cert: %w", err)
	}
	if seen[1], err = os.Stat(p.keyFile); err != nil {
		return seen, fmt.Errorf("http_tls_key: %w", err)
	}
	return seen, nil
}

func same(a, b os.FileInfo) bool {
	return os.SameFile(a, b) && a.Size() == b.Size() && a.ModTime().Equal(b.ModTime())
}

func loadPair(certFile, keyFile string) (*tls.Certificate, error) {
	pair, err := tls.LoadX509KeyPair(certFile, keyFile)
	if err == nil && pair.Leaf == nil {
		pair.Leaf, err = x509.ParseCertificate(pair.Certificate[0])
	}
	if err != nil {
		return nil, fmt.Errorf("http_tls_cert %s with http_tls_key %s: %w", certFile, keyFile, err)
	}
	return &pair, nil
}
