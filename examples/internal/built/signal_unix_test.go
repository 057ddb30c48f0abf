//go:build unix

package built_test

import "syscall"

const terminate = syscall.SIGTERM
