// Package discord is the chat-service edge: it turns interactions into
// chat.Invocation values and chat.Reply values into messages. There are two ways
// in, of which a program takes one: a connection to the service's gateway, which
// is kept alive, or an endpoint to which the service posts, each request signed.
//
// It answers nothing itself: what a command says is decided by the dispatcher
// it is given. Behind the decoded interaction both ways are the same code.
//
// The parts, from the wire inward:
//
//   - rest*.go: a client of the HTTP API with the service's rate limits.
//   - payload*.go: the bodies we send, which hold no field the API refuses.
//   - gateway.go, session.go, frames.go: a supervisor round the discordgo
//     gateway client. That library's faults (a deadlock when told to reconnect
//     before it is ready, a resume after a refused token, reads without a
//     deadline) are met at the connection, where frames can be seen early.
//   - endpoint*.go, signature.go, keypair.go: the endpoint, whom it believes,
//     and its certificate; probe.go knocks at it.
//   - decode*.go: raw JSON of an interaction to plain values.
//   - download.go: files that members attach.
//   - pool.go, handler.go: who works on an interaction, and when to answer.
//   - render*.go: a reply within the message limits of the service.
//   - register.go, check.go, invite.go: what the command line needs.
//
// Limits, routes and codes are those of the service's developer documentation
// (copy of 2026-08-06) and of its OpenAPI description (2026-07-18).
//
//	gw, err := discord.New(discord.Config{Token: token}, dispatcher)
//	if err != nil { … }
//	err = gw.Run(ctx)
package discord
