package main

import (
	"context"
	"errors"
	"os/signal"
)

// errInterrupted ends a run that somebody broke off.
var errInterrupted = errors.New("interrupted")

// interruptible returns a context that is done when the program is asked to end:
// from the terminal, or by the system. A second request ends it at once.
func interruptible() (context.Context, context.CancelFunc) {
	ctx, cancel := signal.NotifyContext(context.Background(), requests()...)
	context.AfterFunc(ctx, cancel)
	return ctx, cancel
}
