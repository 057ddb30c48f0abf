package main

import (
	"bytes"
	"fmt"
	"os"
	"strconv"
	"syscall"
	"unsafe"
)

// resident is the memory that a process and its children hold, in bytes.
func resident(pid int) int64 {
	var sum int64
	if data, err := os.ReadFile(fmt.Sprintf("/proc/%d/statm", pid)); err == nil {
		if f := bytes.Fields(data); len(f) > 1 {
			pages, _ := strconv.ParseInt(string(f[1]), 10, 64) // the kernel writes a number
			sum = pages * int64(os.Getpagesize())
		}
	}
	children, err := os.ReadFile(fmt.Sprintf("/proc/%d/task/%d/children", pid, pid))
	if err != nil {
		return sum
	}
	for _, f := range bytes.Fields(children) {
		if child, err := strconv.Atoi(string(f)); err == nil {
			sum += resident(child)
		}
	}
	return sum
}

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
