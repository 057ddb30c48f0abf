//go:build !unix

package main

import (
	"os"
	"os/exec"
	"strings"
)

// cage ends generators. What they start is not seen here.
type cage struct{}

func newCage() (*cage, error) { return &cage{}, nil }

func enter() {}

// shell splits a command line at blanks: there is no shell to ask.
func shell(command string) *exec.Cmd {
	words := strings.Fields(command)
	if len(words) == 0 {
		words = []string{""}
	}
	return exec.Command(words[0], words[1:]...)
}

func requests() []os.Signal { return []os.Signal{os.Interrupt} }

func keepOnPipe() {}

func (*cage) start(cmd *exec.Cmd) error { return cmd.Start() }

func (*cage) wait(cmd *exec.Cmd) error { return cmd.Wait() }

func (*cage) look(*exec.Cmd) (memory int64, runs bool) { return 0, true }

func (*cage) clear(cmd *exec.Cmd) (others int) {
	_ = cmd.Process.Kill() // it may be gone already
	return 0
}
