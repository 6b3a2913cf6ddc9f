// Package ops tells whoever runs the program how it is: /healthz says that the
// process lives, /readyz whether it can do its work, and /metrics counts what it
// did, in the text format that Prometheus reads.
//
//	metrics := ops.New("v1.2.3", time.Now)
//	metrics.Know(ops.Parts{Commands: names, Checks: checks})
//	server, err := ops.Listen("127.0.0.1:9090", metrics, log)
//	err = server.Run(ctx)
//
// The packages that are watched know nothing of it: each declares what it has
// to tell as a small interface of plain values, and Metrics fills them all.
//
// No member, no shop and no text of anyone's is ever a label. Each label has a
// closed list of values that stands in declared.go or is given at the start;
// anything else counts as "other", so that no stranger can make series grow.
package ops
