//go:build unix

package main

import (
	"os"
	"os/exec"
	"syscall"
)

// shell runs a command line in a group of its own, so that it can be ended with
// everything it started.
func shell(command string) *exec.Cmd {
	cmd := exec.Command("/bin/sh", "-c", "exec "+command)
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	return cmd
}

// requests are the signals by which a program is asked to end.
func requests() []os.Signal { return []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP} }

// killTree ends the group that the command leads.
func killTree(cmd *exec.Cmd) {
	if cmd.Process != nil && cmd.Process.Pid > 1 {
		_ = syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) // it may be gone already
	}
}
