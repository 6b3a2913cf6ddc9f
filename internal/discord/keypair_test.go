package discord

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	serial "math/big"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/pourwright/pourwright/internal/discord/fake"
)

// writePair makes a certificate of that name for loopback and writes it with
// its key.
func writePair(t *testing.T, dir, name string, ends time.Time) (certFile, keyFile string) {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	sheet := &x509.Certificate{
		SerialNumber: serial.NewInt(time.Now().UnixNano()), Subject: pkix.Name{CommonName: name}, IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)},
		NotBefore: time.Now().Add(-48 * time.Hour), NotAfter: ends, IsCA: true, BasicConstraintsValid: true,
		KeyUsage: x509.KeyUsageDigitalSignature | x509.KeyUsageCertSign, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
	}
	cert, err := x509.CreateCertificate(rand.Reader, sheet, sheet, key.Public(), key)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		t.Fatal(err)
	}
	certFile, keyFile = filepath.Join(dir, "cert.pem"), filepath.Join(dir, "key.pem")
	writePEM(t, certFile, "CERTIFICATE", cert)
	writePEM(t, keyFile, "PRIVATE KEY", raw)
	return certFile, keyFile
}

func writePEM(t *testing.T, path, kind string, raw []byte) {
	t.Helper()
	// Put in place whole, as programs that renew certificates do.
	if err := os.WriteFile(path+".new", pem.EncodeToMemory(&pem.Block{Type: kind, Bytes: raw}), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(path+".new", path); err != nil {
		t.Fatal(err)
	}
}

// Over TLS it answers as over plain HTTP; a certificate that is renewed is used
// without a restart, and one that can't be read leaves the old one in use.
func TestEndpointTLS(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	dir := t.TempDir()
	certFile, keyFile := writePair(t, dir, "first", time.Now().Add(time.Hour))
	var shift atomic.Int64
	r := runPosted(t, s, func(c *Config, _ *pace) {
		c.TLSCert, c.TLSKey = certFile, keyFile
		c.Now = func() time.Time { return time.Now().Add(time.Duration(shift.Load())) }
	})
	url := s.PostsTo()[0]
	posts := func(want string) {
		t.Helper()
		served := ""
		client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{
			InsecureSkipVerify: true, // what is served is looked at below
			VerifyConnection: func(c tls.ConnectionState) error {
				served = c.PeerCertificates[0].Subject.CommonName
				return c.PeerCertificates[0].VerifyHostname("127.0.0.1")
			}}}, Timeout: surely}
		defer client.CloseIdleConnections()
		s.PostTo(client, url)
		if e := s.Send(s.Fresh(fake.Example(t, "01_ping"))); e.Await().Kind != fake.Pong || served != want {
			t.Errorf("answered with the certificate %q, want %q; the log is:\n%s", served, want, r.log)
		}
	}
	later := func() { shift.Add(int64(lookAgain + time.Second)) }
	posts("first")
	writePair(t, dir, "second", time.Now().Add(time.Hour))
	later()
	posts("second")
	if err := os.WriteFile(certFile, []byte("no certificate"), 0o600); err != nil {
		t.Fatal(err)
	}
	later()
	posts("second")
	later()
	posts("second")
	if n := strings.Count(r.log.String(), "can't be used"); n != 1 {
		t.Errorf("told %d times that the files can't be used:\n%s", n, r.log)
	}
	if err := os.Remove(keyFile); err != nil {
		t.Fatal(err)
	}
	later()
	posts("second")
	writePair(t, dir, "third", time.Now().Add(-time.Hour))
	later()
	posts("third")
	if !strings.Contains(r.log.String(), "has ended") {
		t.Errorf("it is not told that the certificate has ended:\n%s", r.log)
	}
	plain := "http" + strings.TrimPrefix(url, "https")
	if status, _, _ := ask(t, http.MethodPost, plain, http.Header{}, nil); status != http.StatusBadRequest {
		t.Errorf("plain HTTP at the TLS port: status %d", status)
	}
	old := &tls.Dialer{Config: &tls.Config{InsecureSkipVerify: true, MaxVersion: tls.VersionTLS11}}
	if c, err := old.DialContext(t.Context(), "tcp", strings.TrimSuffix(strings.TrimPrefix(url, "https://"), endpointPath)); err == nil {
		c.Close()
		t.Error("TLS 1.1 was taken")
	}
}

// A certificate that can't be used is told at the start, with both files.
func TestKeyPairIsCheckedAtTheStart(t *testing.T) {
	t.Parallel()
	good, other := t.TempDir(), t.TempDir()
	certFile, keyFile := writePair(t, good, "good", time.Now().Add(time.Hour))
	_, otherKey := writePair(t, other, "other", time.Now().Add(time.Hour))
	for name, c := range map[string]struct{ cert, key, want string }{
		"no certificate":     {filepath.Join(good, "gone"), keyFile, "http_tls_cert"},
		"no key":             {certFile, filepath.Join(good, "gone"), "http_tls_key"},
		"another's key":      {certFile, otherKey, "does not match"},
		"the wrong way":      {keyFile, certFile, "http_tls_cert"},
		"a folder":           {good, keyFile, "http_tls_cert"},
		"a key alone":        {"", keyFile, "set both"},
		"a certificate only": {certFile, "", "set both"},
	} {
		cfg := Config{Token: "x", PublicKey: strings.Repeat("5a", 32), Listen: "127.0.0.1:0", TLSCert: c.cert, TLSKey: c.key}
		if e, err := NewEndpoint(cfg, newDesk(t, &bench{})); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want an error with %q", name, err, c.want)
			if e != nil {
				e.Close()
			}
		}
	}
}

// A knock finds an endpoint, over TLS too, tells when there is none, and knows
// another program.
func TestProbe(t *testing.T) {
	t.Parallel()
	s := fake.Start(t)
	certFile, keyFile := writePair(t, t.TempDir(), "own", time.Now().Add(time.Hour))
	for name, cfg := range map[string]Config{"plain": {}, "over TLS": {TLSCert: certFile, TLSKey: keyFile}} {
		r := runPosted(t, s, func(c *Config, _ *pace) { c.TLSCert, c.TLSKey = cfg.TLSCert, cfg.TLSKey })
		_, rest, _ := strings.Cut(s.PostsTo()[0], "://")
		cfg.Listen = strings.TrimSuffix(rest, endpointPath)
		if err := Probe(t.Context(), cfg); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		_, port, _ := net.SplitHostPort(cfg.Listen)
		cfg.Listen = ":" + port
		if err := Probe(t.Context(), cfg); err != nil {
			t.Errorf("%s, at every address: %v", name, err)
		}
		if err := r.stop(); err != nil {
			t.Error(err)
		}
		if err := Probe(t.Context(), cfg); !errors.Is(err, ErrNotListening) {
			t.Errorf("%s, after the stop: %v", name, err)
		}
	}
	other := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusTeapot) }))
	defer other.Close()
	for _, cfg := range []Config{{Listen: other.Listener.Addr().String()}, {Listen: other.Listener.Addr().String(), TLSCert: certFile}, {Listen: "no port"}} {
		if err := Probe(t.Context(), cfg); err == nil || errors.Is(err, ErrNotListening) {
			t.Errorf("another program at %s: %v", cfg.Listen, err)
		}
	}
	if ends, err := CertificateEnds(Config{TLSCert: certFile, TLSKey: keyFile}); err != nil || time.Until(ends) > time.Hour || time.Until(ends) < 50*time.Minute {
		t.Errorf("the certificate ends %v, %v", ends, err)
	}
	if _, err := CertificateEnds(Config{TLSCert: keyFile, TLSKey: certFile}); err == nil {
		t.Error("a key was taken for a certificate")
	}
}
