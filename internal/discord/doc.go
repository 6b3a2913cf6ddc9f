// Package discord is the chat-service edge: it turns interactions into
// chat.Invocation values and chat.Reply values into messages, and keeps one
// connection to the service's gateway alive.
//
// It answers nothing itself: what a command says is decided by the dispatcher
// it is given. It leaves out signed HTTP interactions, but Decode and the
// renderer know nothing of the gateway, so that another way in can use them.
//
// The parts, from the wire inward:
//
//   - rest*.go: a client of the HTTP API with the service's rate limits.
//   - payload*.go: the bodies we send, which hold no field the API refuses.
//   - gateway.go, session.go, frames.go: a supervisor round the discordgo
//     gateway client. That library's faults (a deadlock when told to reconnect
//     before it is ready, a resume after a refused token, reads without a
//     deadline) are met at the connection, where frames can be seen early.
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
