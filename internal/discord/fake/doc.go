// Package fake is a chat service on a loopback address, for tests: a REST API
// and a gateway with real sockets and real JSON. It judges every request by the
// service's published schema and by the documented rules that no schema says,
// and it can be slow, lose connections, limit, fail, and close with any code.
//
// What it finds wrong is collected and fails the test when it ends; the
// request itself gets the answer that the service would give.
//
//	s := fake.Start(t)
//	cfg := discord.Config{Token: fake.Token, APIBase: s.APIBase()}
//	…
//	shown := s.Send(fake.Example(t, "02_slash_subcommand_strings")).Await()
package fake
