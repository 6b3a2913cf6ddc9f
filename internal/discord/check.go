package discord

import (
	"context"
	"fmt"
	"net/url"
	"strconv"
	"time"
)

// Health is what the service says of us.
type Health struct {
	ApplicationID, ApplicationName string
	// PublicKey is the application's, in hexadecimal digits; "" if not told.
	PublicKey string
	// Starts is how many gateway sessions may still be started, of StartsTotal,
	// until the reset after StartsReset.
	Starts, StartsTotal int
	StartsReset         time.Duration
	Shards              int // advised
}

// Check asks whether the token works and to which application it belongs. A
// configured application id that is not that one is an error.
func Check(ctx context.Context, cfg Config) (Health, error) {
	c, err := cfg.settle()
	if err != nil {
		return Health{}, err
	}
	r := newREST(c)
	defer r.close()
	app, err := r.application(ctx)
	if err != nil {
		return Health{}, fmt.Errorf("check the token: %w", err)
	}
	h := Health{ApplicationID: app.ID, ApplicationName: app.Name, PublicKey: app.VerifyKey}
	if c.ApplicationID != "" && c.ApplicationID != app.ID {
		return h, fmt.Errorf("application_id is %s, but the token belongs to %s", c.ApplicationID, printable(app.ID))
	}
	g, err := r.gatewayBot(ctx)
	if err != nil {
		return h, fmt.Errorf("ask about the gateway: %w", err)
	}
	if _, err := gatewayURL(g.URL, c.loopback); err != nil {
		return h, err
	}
	h.Starts, h.StartsTotal, h.Shards = g.Start.Remaining, g.Start.Total, g.Shards
	h.StartsReset = time.Duration(g.Start.ResetAfter) * time.Millisecond
	return h, nil
}

// Permissions that an invitation asks for (Permissions, "Bitwise Permission
// Flags"): as little as the answers need.
const (
	permissionViewChannel  = 1 << 10
	permissionSendMessages = 1 << 11
	permissionEmbedLinks   = 1 << 14
	permissionAttachFiles  = 1 << 15
	permissionReadHistory  = 1 << 16

	invitePermissions = permissionViewChannel | permissionSendMessages | permissionEmbedLinks |
		permissionAttachFiles | permissionReadHistory
)

// InviteURL is the address at which somebody who may manage a server adds the
// bot to it.
func InviteURL(applicationID string) string {
	q := url.Values{
		"client_id":   {applicationID},
		"scope":       {"bot applications.commands"},
		"permissions": {strconv.Itoa(invitePermissions)},
	}
	return "https://discord.com/oauth2/authorize?" + q.Encode()
}
