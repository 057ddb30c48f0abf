//go:build !unix

package main

import (
	"os"
	"os/exec"
	"strings"
)

// shell splits a command line at blanks: there is no shell to ask.
func shell(command string) *exec.Cmd {
	words := strings.Fields(command)
	if len(words) == 0 {
		words = []string{""}
	}
	return exec.Command(words[0], words[1:]...)
}

func requests() []os.Signal { return []os.Signal{os.Interrupt} }

func killTree(cmd *exec.Cmd) {
	if cmd.Process != nil {
		_ = cmd.Process.Kill() // it may be gone already
	}
}
