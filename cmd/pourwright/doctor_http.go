package main

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/pourwright/pourwright/internal/config"
	"github.com/pourwright/pourwright/internal/discord"
)

// renewBefore is how long before its end a certificate should be renewed.
const renewBefore = 14 * 24 * time.Hour

// posted looks at signed HTTP interactions, where they are set. That the key
// has its form was checked when the settings were read.
func (p *program) posted(ctx context.Context, cfg *config.Config) []finding {
	if cfg.HTTPListen == "" {
		return nil
	}
	service := p.serviceOf(cfg)
	lines := []finding{p.publicKey(cfg)}
	if cfg.HTTPTLSCert != "" {
		lines = append(lines, p.certificate(service))
	}
	return append(lines, p.knock(ctx, service))
}

func (p *program) publicKey(cfg *config.Config) finding {
	if _, err := discord.ParsePublicKey(cfg.PublicKey); err != nil {
		return finding{what: "interactions: " + err.Error(), do: "copy the public key from the application's page"}
	}
	return well("interactions: posted to %s, public key of 32 bytes", cfg.HTTPListen)
}

func (p *program) certificate(service discord.Config) finding {
	ends, err := discord.CertificateEnds(service)
	left := ends.Sub(p.Now())
	switch {
	case err != nil:
		return finding{what: "certificate: " + err.Error(), do: "name a certificate and its key, as PEM files that this user can read"}
	case left < 0:
		return finding{what: "certificate: it ended on " + ends.UTC().Format(time.DateOnly), do: "renew it; serve reads the new files by itself"}
	case left < renewBefore:
		return finding{what: "certificate: it ends on " + ends.UTC().Format(time.DateOnly), do: "renew it soon; serve reads the new files by itself", later: true}
	}
	return well("certificate: good until %s", ends.UTC().Format(time.DateOnly))
}

// knock tries whether serve listens. It can't tell whether the service gets
// there: that is tried when the address is entered on the application's page.
func (p *program) knock(ctx context.Context, service discord.Config) finding {
	if strings.HasSuffix(service.Listen, ":0") {
		return finding{what: "listener: http_listen has port 0, another one at every start", do: "choose a port, for the proxy to find it", later: true}
	}
	err := discord.Probe(ctx, service)
	switch {
	case errors.Is(err, discord.ErrNotListening):
		return finding{what: fmt.Sprintf("listener: nothing answers at %s", service.Listen), do: "start serve, then run doctor again", later: true}
	case err != nil:
		return finding{what: "listener: " + err.Error(), do: "look which program uses the address, or choose another one with http_listen"}
	}
	return well("listener: answers at %s, and refuses what is not signed", service.Listen)
}

// keyOf holds the key that is set against the application that the token
// belongs to.
func keyOf(cfg *config.Config, h discord.Health) []finding {
	switch {
	case cfg.HTTPListen == "" || h.PublicKey == "":
		return nil
	case !strings.EqualFold(cfg.PublicKey, h.PublicKey):
		return []finding{{what: "public key: it is not that of the token's application", do: "copy public_key from the same page as the token"}}
	}
	return []finding{well("public key: the application's own")}
}
