package discord

import "github.com/pourwright/pourwright/internal/discord/fake"

// Unhurried gives a gateway, and the service it talks to, times that a slow
// machine keeps too, for the tests of package discord_test.
func (g *Gateway) Unhurried(s *fake.Server) {
	g.keepPace(quickPace())
	waits(s, g.pace)
}

// Unhurried is the same for an endpoint.
func (e *Endpoint) Unhurried(s *fake.Server) {
	e.keepPace(quickPace())
	waits(s, e.pace)
}
