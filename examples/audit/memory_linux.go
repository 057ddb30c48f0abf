package main

import (
	"os"
	"syscall"
	"unsafe"
)

// unread is how many bytes of a pipe nobody has read, or -1 where that cannot be
// seen.
func unread(f *os.File) int {
	conn, err := f.SyscallConn()
	if err != nil {
		return -1
	}
	n := int32(-1)
	err = conn.Control(func(fd uintptr) {
		if _, _, errno := syscall.Syscall(syscall.SYS_IOCTL, fd, syscall.TIOCINQ, uintptr(unsafe.Pointer(&n))); errno != 0 {
			n = -1
		}
	})
	if err != nil {
		return -1
	}
	return int(n)
}

// memoryIsSeen reports whether the memory of a program can be looked at here.
const memoryIsSeen = true
