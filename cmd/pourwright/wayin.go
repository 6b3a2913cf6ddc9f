package main

import (
	"context"

	"github.com/pourwright/pourwright/internal/config"
	"github.com/pourwright/pourwright/internal/discord"
)

// wayIn is how the chat service's interactions come in, and how members are
// called: over the gateway, or posted and signed.
type wayIn struct {
	transport
	run func(ctx context.Context) error
	// close gives back what newWayIn took, where run was never called.
	close func() error
	// speaks says that there is a token, without which nobody can be called and
	// no message edited later.
	speaks bool
	// part is what health checks call it, and standing says what keeps it from
	// working, nil if nothing.
	part     string
	standing func() error
}

// Run answers until ctx ends.
func (w *wayIn) Run(ctx context.Context) error { return w.run(ctx) }

func newWayIn(service discord.Config, desk discord.Desk) (*wayIn, error) {
	if service.Listen == "" {
		gateway, err := discord.New(service, desk)
		if err != nil {
			return nil, err
		}
		return &wayIn{
			transport: gateway, run: gateway.Run, close: func() error { return nil }, speaks: true,
			part: "gateway", standing: gateway.Standing,
		}, nil
	}
	endpoint, err := discord.NewEndpoint(service, desk)
	if err != nil {
		return nil, err
	}
	return &wayIn{
		transport: endpoint, run: endpoint.Run, close: endpoint.Close, speaks: service.Token != "",
		part: "interactions", standing: endpoint.Standing,
	}, nil
}

// servedService is the edge's configuration for serve, which may do without a
// token where interactions are posted.
func (p *program) servedService(cfg *config.Config) (discord.Config, error) {
	if cfg.HTTPListen == "" || cfg.Token.Set() {
		return p.chatService(cfg, "serve")
	}
	if cfg.ApplicationID == "" {
		return discord.Config{}, misused("serve with http_listen needs application_id, which stands on the application's page, or a bot token to ask for it:\n%s", noToken)
	}
	return p.serviceOf(cfg), nil
}
