//go:build unix

package main

import (
	"os"
	"os/signal"
	"syscall"
)

// requests are the signals by which a program is asked to end.
func requests() []os.Signal {
	return []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP, syscall.SIGQUIT}
}

// keepOnPipe lets a write that nobody reads fail like any other, instead of ending
// this process at once. The programs that it starts are not touched by that.
func keepOnPipe() { signal.Notify(make(chan os.Signal, 1), syscall.SIGPIPE) }
