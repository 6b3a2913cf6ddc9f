// Package serving lets an HTTP server answer for as long as its owner wants it
// to, as the pages and figures of this program are all served.
//
//	err := serving.Run(ctx, ln, &http.Server{Handler: pages}, 3*time.Second)
package serving

import (
	"context"
	"errors"
	"net"
	"net/http"
	"time"
)

// Run answers on ln until ctx ends, then lets running requests go on for
// patience, cuts off what is left over and returns nil. Requests see ctx end.
// It returns an error only for a server that ended by itself. ln is closed then
// in any case.
func Run(ctx context.Context, ln net.Listener, srv *http.Server, patience time.Duration) error {
	srv.BaseContext = func(net.Listener) context.Context { return ctx }
	served := make(chan error, 1)
	go func() { served <- srv.Serve(ln) }()
	select {
	case err := <-served:
		return err
	case <-ctx.Done():
	}
	ending, cancel := context.WithTimeout(context.WithoutCancel(ctx), patience)
	defer cancel()
	if err := srv.Shutdown(ending); err != nil {
		_ = srv.Close() // the connections that were left over
	}
	if err := <-served; !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}
